"""The benchmarks: python -m tests.tools benchmarks [--walks 200] [--check]

Prints each measure with its target, all taken in one run. The ranking and the rules are set beside
general engines when those are installed: pip install .[bench]. With --check the exit status is 1
when a target is missed. On a machine that is busy with other things the times are longer.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from itertools import chain

from diagnose.bench import Shop
from diagnose.catalogue.load_rules import shipped_rules
from tests.tools.benchmarks.engines import ranking, rules
from tests.tools.benchmarks.rows import Row
from tests.tools.benchmarks.starts import starts
from tests.tools.benchmarks.walks import benches, waits, walked


def _walking(count: int) -> Iterator[Row]:
    made, built = benches(Shop.shipped())
    walks = walked(made, count)
    yield built
    yield from chain(waits(walks), ranking(walks), rules(walks, shipped_rules()))


def main() -> int:
    """All measures, one a line."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.tools benchmarks",
        description="How fast diagnose is, against its targets.",
    )
    parser.add_argument("--walks", type=int, default=200, help="simulated walks (200)")
    parser.add_argument("--check", action="store_true", help="status 1 when a target is missed")
    given = parser.parse_args()
    missed = 0
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors at the start")
    for row in chain(starts(), _walking(given.walks)):
        print(row, flush=True)
        missed += row.met is False
    return 1 if given.check and missed else 0


if __name__ == "__main__":
    sys.exit(main())
