"""What a commissioning record is worth: python -m tests.tools study_record [--cases N] [--bands]

Each fault is played twice by the same person on the same rig: held against the book, and against
what the rig read when it was new, taken with the same meter error. Shares with their 95 % interval
(Wilson); how many cases only one of the two got right (McNemar's exact test). With --bands: how
often a reading is called off on sound rigs and on faulty ones, which takes a few minutes only.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from math import comb
from multiprocessing import get_context
from statistics import fmean

from rich.progress import track

from diagnose.study.play import Episode
from diagnose.study.run import ONE_THREAD, cores
from diagnose.study.scores import log_loss, share
from tests.study.research import HOME, OTHER_WORLD
from tests.tools.study_record.off_band import STATES, Off, off_band
from tests.tools.study_record.played import Twice, on_one_rig, tasks


def column(cases: Sequence[Episode]) -> list[str]:
    """The figures of one way of playing them."""
    verdicts = [case.verdict for case in cases]
    right = [case.right for case in cases]
    stated = fmean(one.stated for one in verdicts)
    return [
        f"{share(sum(right), len(cases))}",
        f"{share(sum(one.repair_rank <= 3 for one in verdicts), len(cases))}",
        f"{log_loss([one.repair_p for one in verdicts]):.3f}",
        f"{fmean(one.repair_p for one in verdicts):.3f}",
        f"{stated - fmean(right):+.3f}",
        f"{fmean(len(case.asked) for case in cases):.2f}",
        f"{fmean(case.minutes for case in cases):.1f}",
    ]


ROWS = (
    "right repair first",
    "among the first three",
    "log loss of the repair [nat]",
    "probability of the right repair",
    "stated less right",
    "questions, mean",
    "minutes, mean",
)


def by_chance(one: int, other: int) -> float:
    """How often as uneven a split of so many cases comes by chance alone. Source: McNemar 1947,
    exact form, from memory."""
    total, least = one + other, min(one, other)
    tail = sum(comb(total, k) for k in range(least + 1)) / 2**total if total else 1.0
    return min(2 * tail, 1.0)


def report(found: Sequence[Twice]) -> list[str]:
    """The table, and the cases that only one of the two got right."""
    book, own = column([one.book for one in found]), column([one.own for one in found])
    lines = [f"{'':<33}{'by the book':<32}by its own readings"]
    lines += [f"{name:<33}{a:<32}{b}" for name, a, b in zip(ROWS, book, own, strict=True)]
    gained = sum(one.own.right and not one.book.right for one in found)
    lost = sum(one.book.right and not one.own.right for one in found)
    lines.append(f"{fmean(one.count for one in found):.1f} readings a record")
    chance = by_chance(gained, lost)
    lines.append(
        f"right only with the record {gained}, only without {lost} (by chance {chance:.2f})"
    )
    return lines


def bands(found: Sequence[Off]) -> list[str]:
    """Share of readings called off, on rigs in each state."""
    lines = [f"{'readings called off':<33}{'by the book':<34}by its own readings"]
    for state in STATES:
        here = [one for one in found if one.state == state]
        read = sum(one.read for one in here)
        counts = (sum(one.book for one in here), sum(one.own for one in here))
        book, own = (f"{share(count, read)}" for count in counts)
        lines.append(f"{state:<33}{book:<34}{own}")
    return lines


def main() -> int:
    ask = argparse.ArgumentParser(prog="python -m tests.tools study_record", description=__doc__)
    ask.add_argument("--cases", type=int, default=200)
    ask.add_argument("--rigs", type=int, default=20)
    ask.add_argument("--world", choices=(HOME, OTHER_WORLD), default=HOME)
    ask.add_argument("--wrong", type=float, default=0.05)
    ask.add_argument("--bands", action="store_true", help="only how often a reading is off")
    said = ask.parse_args()
    if said.bands:
        found_off = [*track(off_band(said.cases, said.rigs), "rigs", 3 * said.cases)]
        print("\n".join(bands(found_off)))
        return 0
    todo = tasks(said.cases, said.rigs, said.world, said.wrong)
    for name in ONE_THREAD:  # each process has a core of its own
        os.environ.setdefault(name, "1")
    with ProcessPoolExecutor(cores(), get_context("spawn")) as pool:
        parts = pool.map(on_one_rig, todo)
        found = [*track(parts, "rigs", len(todo), disable=not sys.stderr.isatty())]
    print("\n".join(report([one for part in found for one in part])))
    return 0


if __name__ == "__main__":
    sys.exit(main())
