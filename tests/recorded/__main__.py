"""Recorded cases of others against the ranking.

python -m tests.recorded [--half learning] [--list]
python -m tests.recorded --base-rates

From the first report alone, and with all facts: the share of cases whose cause stands first, among
three, among five, with its 95 % interval (Wilson), beside a blind reading of the same words by
somebody who has not seen the causes; and how many of a person's facts were asked for.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

import yaml
from rich.progress import track

from diagnose.study.scores import share as scored
from tests.recorded import base_rates
from tests.recorded.records import Held, Record, held, records

BLIND = Path(__file__).parent / "blind.yaml"


def share(count: int, total: int) -> str:
    found = scored(count, total)
    return f"{found.value:.2f} ({found.low:.2f} to {found.high:.2f})"


def line(name: str, places: Sequence[int]) -> str:
    """First, among three, among five."""
    counts = [sum(place <= most for place in places) for most in (1, 3, 5)]
    return f"  {name:<44}" + "  ".join(share(count, len(places)) for count in counts)


def blind_places(cases: Sequence[Record]) -> list[int]:
    """Where the blind reading has the true cause."""
    rows = yaml.safe_load(BLIND.read_text(encoding="utf-8")) if BLIND.exists() else {}
    found = []
    for one in cases:
        named = rows.get(one.id)
        if named is not None:
            found.append(min((named.index(t) + 1 for t in one.truth if t in named), default=99))
    return found


def report(name: str, cases: Sequence[Held]) -> None:
    total = len(cases)
    print(f"{name}: {total} cases{'':<28}first               among three         among five")
    print(line("first report, failure mode", [one.first for one in cases]))
    print(line("first report, repair", [one.first_repair for one in cases]))
    blind = blind_places([one.record for one in cases])
    if blind:
        print(line(f"the same words read blind ({len(blind)})", blind))
    print(line("all facts, failure mode", [one.full for one in cases]))
    print(line("all facts, repair", [one.full_repair for one in cases]))
    asked, had = sum(one.asked for one in cases), sum(one.had for one in cases)
    print(f"  later facts asked for within ten questions: {asked} of {had}")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.recorded")
    parser.add_argument("--half", choices=("learning", "kept-back"), default="")
    parser.add_argument("--list", action="store_true", help="a line a case of the learning half")
    parser.add_argument("--base-rates", action="store_true", help="counts of the learning half")
    given = parser.parse_args()
    if given.base_rates:
        base_rates.report()
        return 0
    found = [
        held(one) for one in track(records(given.half), "cases", disable=not sys.stderr.isatty())
    ]
    for half in ("learning", "kept-back"):
        cases = [one for one in found if one.record.half == half]
        if cases:
            report(half, cases)
            for use in sorted({one.record.use for one in cases}):
                some = [one for one in cases if one.record.use == use]
                print(line(f"{use} ({len(some)}), first report", [one.first for one in some]))
    if given.list:
        for one in found:
            if one.record.half == "learning":
                print(
                    one.record.id,
                    one.record.use,
                    one.first,
                    one.full,
                    dict(one.record.seen),
                    one.record.truth,
                )
    return 0


if __name__ == "__main__":
    sys.exit(main())
