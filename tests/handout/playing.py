"""Simulated faults played through the trees of a page and through the walk itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint
from diagnose.errors import DiagnoseError
from diagnose.handout.growing import Grove
from diagnose.handout.tree import CANNOT_TELL, GO_ON, SAFE, Asked, Ended, Halted, Node, Way
from diagnose.outcome import conclude
from diagnose.pages.complaints import evidence_of
from diagnose.reasoning.available_tests import Test
from diagnose.simulate.draw import faulty
from diagnose.simulate.truth import Person, Truth, pick
from diagnose.steps import UNKNOWN, Contradiction
from diagnose.study.play import Verdict, verdict
from diagnose.walkthrough import Walk

TRIES = 60
"""Severities drawn until the fault is bad enough for somebody to complain."""


@dataclass(frozen=True)
class Fault:
    """A faulty rig, who stands beside it, and what is told first."""

    truth: Truth
    person: Person
    complaint: Complaint


def drawn(bench: Bench, seed: tuple[int, ...], person: Person) -> Fault | None:
    """A fault as often as the book has it; None where nobody ever complains of it."""
    h, book = bench.hypotheses, bench.shop.catalogue
    weights = np.bincount(h.mode, h.weight, len(h.modes)).astype(np.float64)
    mode = book.failure_modes[h.modes[pick(np.random.default_rng(seed), weights)]]
    for attempt in range(TRIES):
        truth = faulty(bench.model, [mode], (*seed, attempt))
        if told := truth.complaint(person, book, h.facts):
            complaint = next(one for one in book.complaints.values() if dict(one.seen) == told)
            return Fault(truth, person, complaint)
    return None


@dataclass
class Played:
    """One fault taken through a tree. typed: the tests with what was answered, as it was typed;
    stood_for: the same as the tree has it; unlike: what the walk did otherwise."""

    typed: list[tuple[str, str]]
    stood_for: list[tuple[str, str]]
    end: Ended
    walk: Walk
    unlike: list[str]

    @property
    def verdict(self) -> Verdict:
        """What the page names, beside the truth."""
        return verdict(self.walk, self.walk.belief(), self.modes)

    modes: tuple[str, ...] = ()


def through(bench: Bench, grove: Grove, kind: int, fault: Fault) -> Played:
    """Take a fault through the tree of its complaint, and a walk of its own along the same answers;
    stops are dealt with at once."""
    node = grove.trees[kind][grove.complaints.index(fault.complaint)]
    walk = Walk(bench, able=grove.able[kind])
    walk.tell(evidence_of([fault.complaint]))
    played = Played([], [], Ended((), (), None), walk, [], fault.truth.modes)  # type: ignore[arg-type]
    while not isinstance(node, Ended):
        _compare_stops(played, node)
        node = (
            _stopped(played, node) if isinstance(node, Halted) else _answered(played, node, fault)
        )
    played.end = node
    _compare_end(played)
    return played


def _compare_stops(played: Played, node: Node) -> None:
    """The stops that the tree shows or reminds of are those of the walk."""
    here = {stop.id for stop in played.walk.stops()}
    told = {stop.id for stop in node.standing}
    if isinstance(node, Halted):
        told.add(node.stop.id)
    if not told <= here or (isinstance(node, Asked) and told != here):
        played.unlike.append(f"stops {sorted(told)}, the walk has {sorted(here)}")


def _stopped(played: Played, node: Halted) -> Node:
    way = node.ways[0]
    if way.answer == SAFE:
        played.walk.made_safe(node.stop.id)
        played.typed.append((SAFE, node.stop.id))
    else:
        assert way.answer == GO_ON
    return way.to


def _answered(played: Played, node: Node, fault: Fault) -> Node:
    assert isinstance(node, Asked)
    walk, asked = played.walk, played.walk.question()
    if asked is None or (asked.id, asked.again) != (node.question.id, node.question.again):
        played.unlike.append(f"{node.question.id} where the walk asks {asked and asked.id}")
    test, walk_question = node.question.test, walk.ask(node.question.id)
    before = sum(step.test == test.id for step in walk.steps)
    typed = fault.truth.answer(fault.person, test, walk.bench.shop.catalogue, before)
    way = way_of(node, walk, test, typed)
    played.typed.append((test.id, CANNOT_TELL if way.answer == CANNOT_TELL else typed or ""))
    played.stood_for.append((test.id, way.answer))
    if way.answer == CANNOT_TELL:
        walk.pass_over(walk_question, UNKNOWN)
        return way.to
    try:
        walk.answer(walk_question, way.answer)
        said = ""
    except Contradiction as problem:
        said = problem.message
        walk.answer(walk_question, way.answer)
    if said != way.doubt:
        played.unlike.append(f"doubt of {test.id}: {way.doubt!r}, the walk says {said!r}")
    return way.to


def way_of(node: Asked, walk: Walk, test: Test, typed: str | None) -> Way:
    """Where an answer leads: its option, or the bin that its value falls in."""
    if typed is None:
        return node.ways[-1]
    if node.question.reading is None:
        return next(way for way in node.ways if way.answer == typed)
    try:
        value = getattr(walk.read(walk.ask(test.id), typed), "value")  # noqa: B009
    except DiagnoseError:
        return node.ways[-1]
    bins = [way for way in node.ways if way.bin]
    return bins[sum(way.bin.high is not None and value >= way.bin.high for way in bins if way.bin)]


def _compare_end(played: Played) -> None:
    """The ranking at the end of a branch is that of the walk."""
    ending, walk = played.end.ending, played.walk
    ranking = conclude(walk).ranking if ending.whole else walk.belief().ranking
    here, there = dict(ending.ranking), dict(ranking)
    if here.keys() != there.keys() or any(abs(here[name] - there[name]) > 1e-9 for name in here):
        played.unlike.append("another ranking")
    if [name for name, _ in ending.ranking] != [name for name, _ in ranking]:
        played.unlike.append("another order")
