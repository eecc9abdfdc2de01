"""Spoiled input to every reader: python -m tests.tools fuzz [--inputs 50000] [--only LOT]

Rig files, knowledge, cases, answers, quantities, lines of the protocol, complaints, command lines:
each is spoiled by chance and must be taken, or refused in one clear sentence a mistake, soon,
without a traceback, and without harm to a file beside it. Then every kind of place in real
documents gets the values at which schemas break (lots from 100000 on).
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from multiprocessing import get_context

from rich.progress import track

from tests.tools.fuzz.trying import LOT, WALKED, Tally, inputs_walked, lot


def _lots(tasks: list[tuple[int, int]], workers: int) -> Iterator[Tally]:
    if len(tasks) == 1:
        yield lot(tasks[0])
        return
    with get_context("spawn").Pool(workers) as pool:
        yield from pool.imap(lot, tasks)


def summary(tally: Tally) -> str:
    """A line a reader, and the sum of all."""
    names = sorted(tally.slowest)
    rows = [
        f"{name:<34} {tally.taken[name]:>8} {tally.refused[name]:>8} {tally.slowest[name]:>9.3f} s"
        for name in names
    ]
    taken, refused = sum(tally.taken.values()), sum(tally.refused.values())
    most = max(tally.slowest.values(), default=0.0)
    return "\n".join(
        [
            f"{'reader':<34} {'taken':>8} {'refused':>8} {'slowest':>11}",
            *rows,
            f"{'all':<34} {taken:>8} {refused:>8} {most:>9.3f} s",
            f"{tally.sentences} mistakes named, each in one sentence; "
            f"inputs that did harm: {len(tally.wrong)}",
        ]
    )


def main() -> int:
    """Try all lots and print what came of them; status 1 when anything went wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.tools fuzz")
    parser.add_argument("--inputs", type=int, default=50_000, help="by chance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, help="the number of one lot to try again")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    given = parser.parse_args()
    walked = len(inputs_walked())
    chance, places = range(-(-given.inputs // LOT)), range(WALKED, WALKED - (-walked // LOT))
    numbers = [*chance, *places] if given.only is None else [given.only]
    tasks, whole = [(given.seed, number) for number in numbers], Tally()
    for number, tally in enumerate(track(_lots(tasks, given.workers), "lots", len(tasks))):
        whole.add(tally)
        if tally.wrong:
            print(f"lot {numbers[number]}: {tally.wrong[0]}", file=sys.stderr)
    print(summary(whole))
    return 1 if whole.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
