"""Two faults at once: weighed where they explain what no single one does."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.pairs import FEWEST, LIKELIER, partial_explanations, weigh_pairs
from diagnose.reasoning.posterior import posterior


def volts(words: str, value: float) -> Measured:
    return Measured(reading_of(f"voltage {words}"), value)


TWO: tuple[Evidence, ...] = (
    Seen("pump-action", "slow"),
    volts("fuse.in fuse.out calling", 1.6),
    volts("ground lug- calling", 1.4),
    volts("motor- ground calling", 0.06),
    volts("battery+ battery- calling", 12.5),
    Seen("fuse-holder-look", "corroded"),
    Seen("fuse-holder-heat", "too-hot-to-hold"),
    Seen("ground-look", "corroded"),
    volts("motor- lug- calling", 1.46),
)
"""A bad fuse holder and a bad ground, each measured and seen; by hand, Ohm's law."""

ONE = tuple(item for item in TWO if "ground" not in item.id and "motor-" not in item.id)


def test_two_faults_that_are_both_measured_are_named_together(bowser: Bench) -> None:
    belief = posterior(bowser.predictions, TWO)

    found = weigh_pairs(bowser.predictions, belief)

    first, second, _ = found.pairs[0]
    assert {first, second} & {"fuse-holder-corroded", "fuse-holder-loose"}
    assert {first, second} & {"ground-resistive", "ground-open"}
    assert sum(p for *_, p in found.pairs) > LIKELIER
    assert {name for name, _ in found.ranking[:2]} == {first, second}
    assert sum(p for _, p in found.ranking) == pytest.approx(1, abs=1e-9)
    assert found.ranking != belief.ranking


def test_one_fault_is_left_alone(bowser: Bench) -> None:
    belief = posterior(bowser.predictions, ONE)

    found = weigh_pairs(bowser.predictions, belief)

    assert found.ranking == belief.ranking
    assert sum(p for *_, p in found.pairs) < LIKELIER
    assert [p for *_, p in found.pairs] == sorted((p for *_, p in found.pairs), reverse=True)


def test_few_findings_make_no_pairs(bowser: Bench) -> None:
    few = posterior(bowser.predictions, TWO[: FEWEST - 1])
    enough = posterior(bowser.predictions, TWO[:FEWEST])

    assert weigh_pairs(bowser.predictions, few).pairs == ()
    assert weigh_pairs(bowser.predictions, few).ranking == few.ranking
    assert weigh_pairs(bowser.predictions, enough).pairs


def test_a_consequence_is_no_second_fault(bowser: Bench) -> None:
    """A blown fuse and what has blown it are both suspects, and no pair."""
    book = bowser.shop.catalogue.failure_modes
    told = (Seen("pump-action", "silent"), Seen("main-fuse-element", "open"), Seen("smell", "none"))
    belief = posterior(bowser.predictions, told)
    pairs = [{a, b} for a, b, _ in weigh_pairs(bowser.predictions, belief).pairs]

    assert {"main-fuse-blown", "motor-seized"} <= {*partial_explanations(belief, 12)}
    assert "motor-seized" in book["main-fuse-blown"].result_of
    assert any("main-fuse-blown" in pair for pair in pairs)
    assert {"main-fuse-blown", "motor-seized"} not in pairs


def test_modes_that_explain_part_of_the_findings_come_first(bowser: Bench) -> None:
    belief = posterior(bowser.predictions, TWO)
    some = partial_explanations(belief, 5)

    assert len(some) == len(set(some)) == 5
    assert "fuse-holder-corroded" in some
    assert "ground-resistive" in some
    assert partial_explanations(belief, 3) == some[:3]
