"""What is worked out once is what would be worked out anew, and does not pile up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose import outcome
from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import open_rig
from diagnose.drill.choosing import drawn, given
from diagnose.drill.path import advised
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.pairs import weigh_pairs
from diagnose.report.mode_page import mode_page
from diagnose.report.telling_apart import Apart
from diagnose.walkthrough import Walk
from tests import once

pytestmark = pytest.mark.skipif(once.AFRESH, reason="everything is worked out afresh")

FOUND = (Seen("pump-action", "slow"), Seen("motor-heat", "warm"), Seen("flow", "weak"))


def test_two_faults_are_considered_as_they_are_anew(bowser: Bench) -> None:
    walk = Walk(bowser)
    for count in range(len(FOUND) + 1):
        walk.tell(FOUND[count - 1 : count])
        belief = walk.belief()
        for _ in range(2):
            assert outcome.__dict__["consider"](bowser.predictions, belief) == weigh_pairs(
                bowser.predictions, belief
            )


def test_a_drill_and_its_advised_path_are_as_they_are_anew(shop: Shop) -> None:
    bench = once.bench("mist-bench")
    kept, anew = once.drawn_once(bench, 1, 3), drawn(bench, 1, 3)

    assert once.drawn_once(bench, 1, 3) is kept
    assert (kept.ticket, kept.told) == (anew.ticket, anew.told)
    assert once.advised_once(kept).ranking == advised(anew).ranking


def test_a_drill_of_one_fault_is_as_it_is_anew() -> None:
    bench, mode = once.bench("mist-bench"), "ground-resistive"
    for level in (1, 2):
        kept, anew = once.given_once(bench, level, 3, mode), given(bench, level, 3, mode)

        assert once.given_once(bench, level, 3, mode) is kept
        assert (kept.ticket, kept.told) == (anew.ticket, anew.told)


def test_a_page_of_the_handbook_is_as_it_is_anew() -> None:
    apart = Apart(once.bench("mist-bench"))
    mode = once.shop().catalogue.failure_modes["ground-resistive"]

    assert once.page(apart, mode) is once.page(apart, mode) == mode_page(apart, mode)


def test_few_benches_are_kept_and_each_is_of_its_own_rig(shop: Shop) -> None:
    rig = open_rig("mist-bench")
    others = [replace(rig, pump_current=rig.pump_current + n) for n in (1, 2, 3)]
    benches = [Bench.for_rig(one, shop) for one in others]

    assert Bench.for_rig(rig, shop) is once.bench("mist-bench")
    assert [one.rig for one in benches] == others
    assert Bench.for_rig(others[-1], shop) is benches[-1]
    assert len(once.BUILT) == once.MOST_BENCHES
