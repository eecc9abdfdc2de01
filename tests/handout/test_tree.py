"""The trees of a page say what the walk says after the same answers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from diagnose.bench import Bench
from diagnose.handout.bins import bins_of
from diagnose.handout.growing import Grove
from diagnose.handout.tree import Asked, Ended, Halted, Node, begun
from diagnose.reasoning.evidence import Measured
from diagnose.simulate.draw import faulty
from diagnose.simulate.truth import Person
from tests.handout.playing import Fault, through


def paths(node: Node, above: tuple[Node, ...] = ()) -> Iterator[tuple[Node, ...]]:
    """Every node with those above it."""
    yield (*above, node)
    for way in getattr(node, "ways", ()):
        yield from paths(way.to, (*above, node))


def nodes(grove: Grove) -> list[tuple[Node, ...]]:
    return [path for kind in grove.trees for tree in kind for path in paths(tree)]


@pytest.mark.parametrize("kind", [0, 1])
@pytest.mark.parametrize(
    "mode", ["fuse-holder-corroded", "battery-discharged", "relay-coil-ground-resistive"]
)
def test_a_fault_is_asked_stopped_and_ranked_as_by_the_walk(
    bowser: Bench, grove: Grove, mode: str, kind: int
) -> None:
    truth = faulty(bowser.model, [bowser.shop.catalogue.failure_modes[mode]], (4, 7))
    for complaint in grove.complaints:
        played = through(bowser, grove, kind, Fault(truth, Person(), complaint))
        assert played.unlike == []


def test_nothing_that_a_stop_forbids_is_asked(grove: Grove) -> None:
    stopped = [path[-1] for path in nodes(grove) if path[-1].standing]
    asked = [node for node in stopped if isinstance(node, Asked)]
    assert asked
    assert not any(stop.forbids(node.question.test) for node in asked for stop in node.standing)


def test_a_stop_comes_before_anything_else(grove: Grove) -> None:
    """A stop that stands has been shown on the way there."""
    for *above, node in nodes(grove):
        shown = {one.stop.id for one in above if isinstance(one, Halted)}
        assert {stop.id for stop in node.standing} <= shown


def test_it_can_always_be_said_that_it_cannot_be_told(grove: Grove) -> None:
    asked = [path[-1] for path in nodes(grove) if isinstance(path[-1], Asked)]
    assert asked
    assert {node.ways[-1].answer for node in asked} == {"?"}


def test_the_bins_of_a_reading_follow_each_other_and_hold_their_values(
    bowser: Bench, grove: Grove
) -> None:
    walk = begun(bowser, "", grove.complaints[0])
    for test in ("voltage fuse.in fuse.out calling", "resistance fuse.out ground"):
        question = walk.ask(test)
        bins = bins_of(walk, question)
        assert [one.low for one in bins] == [None, *(one.high for one in bins[:-1])]
        assert bins[-1].high is None
        assert sum(one.share for one in bins) == pytest.approx(1, abs=1e-6)
        for one in bins:
            item = walk.read(question, one.stands_for)
            assert isinstance(item, Measured)
            assert (one.low or -100) <= item.value < (one.high or 1e9)


def test_without_a_meter_nothing_is_to_be_measured_with_one(grove: Grove) -> None:
    for tree in grove.trees[1]:
        for *_, node in paths(tree):
            if isinstance(node, Asked):
                assert not {"voltmeter", "ohmmeter"}.intersection(node.question.entry.needs)


def test_no_branch_is_deeper_than_was_asked_for(grove: Grove) -> None:
    deepest = max(sum(isinstance(node, Asked) for node in path) for path in nodes(grove))
    assert deepest == 3
    assert any(isinstance(path[-1], Ended) for path in nodes(grove))
