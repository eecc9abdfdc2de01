"""A joint that makes and breaks may be parted all the while that somebody reads.

Source: common practice; a loose joint is now whole, now parted.
"""

from __future__ import annotations

from diagnose.bench import Bench, Shop
from diagnose.circuit.meter import Reading
from diagnose.circuit.rig import open_rig
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.posterior import posterior

DROP = Reading("voltage", ("fuse.in", "fuse.out"), "calling")


def test_the_whole_voltage_over_a_loose_joint_speaks_for_it() -> None:
    bench = Bench.for_rig(open_rig("bowser"), Shop.shipped())
    told: list[Evidence] = [Seen("pump-action", "cuts-in-and-out")]

    before = dict(posterior(bench.predictions, told).ranking)
    parted = dict(posterior(bench.predictions, [*told, Measured(DROP, 12.4)]).ranking)

    assert parted["fuse-holder-loose"] > 2 * before["fuse-holder-loose"]
