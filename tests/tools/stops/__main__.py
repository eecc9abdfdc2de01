"""Every answer that raises a stop, alone and in pairs, on each rig: python -m tests.tools stops"""

from __future__ import annotations

import sys

from rich.progress import track

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import bundled_rigs, open_rig
from tests.tools.stops.promise import Counted, checked, raisers, sets_of


def main() -> int:
    """Print what was looked at, rig by rig; status 1 when anything was under power."""
    total = Counted()
    for name in bundled_rigs():
        bench = Bench.for_rig(open_rig(name), Shop.shipped())
        sets = list(sets_of(bench))
        one = checked(bench, track(sets, name))
        print(
            f"{name}: {len(raisers(bench))} answers that raise a stop, {len(sets)} alone and in "
            f"pairs; {one.looked_at} questions, offers and acts looked at; {len(one.wrong)} wrong"
        )
        total.add(one)
    for line in dict.fromkeys(total.wrong):
        print(line)
    print(f"in all {total.looked_at} looked at, {len(total.wrong)} wrong")
    return 1 if total.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
