"""The questions of a walk along every answer to them, worked out beforehand.

Each branch is a walk of its own, so what is asked, warned of, stopped and found is what the walk
itself says after the same answers. A branch ends where the walk ends, at the depth that was asked
for, and where too few cases come so far.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint, Observation
from diagnose.handout.bins import Bin, bins_of
from diagnose.handout.ending import Ending, ending_of
from diagnose.pages.cautions import Alert, Cautions
from diagnose.pages.complaints import evidence_of
from diagnose.reasoning.stops import ActiveStop
from diagnose.steps import UNKNOWN, Contradiction, Question
from diagnose.walkthrough import Walk

CANNOT_TELL, SAFE, GO_ON = "?", "!", ">"
"""Answers that are no option: it cannot be told; a stop has been dealt with; it has not."""

EVENLY = 0.5
"""Share of those who say that a stop has been dealt with; nobody knows it."""


@dataclass(frozen=True)
class Way:
    """One answer, and where it leads. share: of the cases; doubt: why it cannot be together with
    what was said before, asked once, "" for nothing; bin: of a reading."""

    answer: str
    share: float
    to: Node
    doubt: str = ""
    bin: Bin | None = None


@dataclass(frozen=True)
class Node:
    """A place in a tree. alerts: cautions that begin to hold here; standing: stops that stand."""

    alerts: tuple[Alert, ...]
    standing: tuple[ActiveStop, ...]


@dataclass(frozen=True)
class Asked(Node):
    """A question, its cautions among the alerts; before: those of it that were given earlier."""

    question: Question
    before: tuple[str, ...]
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Halted(Node):
    """A stop before anything else; waiting: nothing is left to ask while it stands."""

    stop: ActiveStop
    waiting: bool
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Ended(Node):
    """The end of a branch."""

    ending: Ending


@dataclass(frozen=True)
class _Here:
    """A place while its tree grows. shown: stops that were shown; declined: those that stood when
    nothing was left to ask, and were left standing; share: of the cases."""

    walk: Walk
    given: Cautions
    share: float
    shown: frozenset[str] = frozenset()
    declined: frozenset[str] = frozenset()


@dataclass
class Grower:
    """Grows trees on one rig. able: what whoever answers can do; depth: most questions of a branch;
    floor, untold: figures page-floor and page-cannot-tell."""

    bench: Bench
    able: str
    depth: int
    floor: float = field(init=False)
    untold: float = field(init=False)

    def __post_init__(self) -> None:
        figures = self.bench.model.figures
        self.floor, self.untold = figures.get("page-floor"), figures.get("page-cannot-tell")

    def tree(self, complaint: Complaint, share: float) -> Node:
        """The tree of a complaint. share: of the cases that come with it."""
        walk = begun(self.bench, self.able, complaint)
        return self._node(_Here(walk, Cautions(self.bench.shop.catalogue.cautions), share))

    def _node(self, here: _Here) -> Node:
        walk, conclusions = here.walk, here.walk.conclusions()
        alerts = here.given.raised(conclusions)
        stops = walk.stops(conclusions)
        new = [stop for stop in stops if stop.id not in here.shown]
        here = replace(here, shown=here.shown & {stop.id for stop in stops})
        if new:
            return self._halted(here, alerts, stops, new[0], waiting=False)
        rare = here.share < self.floor
        question = None if rare else walk.question()
        if question is not None and walk.questions < self.depth:
            return self._asked(here, alerts, stops, question)
        whole = question is None and not rare
        open_ = [stop for stop in stops if not stop.endless and stop.id not in here.declined]
        if whole and open_:
            return self._halted(here, alerts, stops, open_[0], waiting=True)
        return Ended(alerts, stops, ending_of(walk, whole))

    def _halted(
        self,
        here: _Here,
        alerts: tuple[Alert, ...],
        stops: tuple[ActiveStop, ...],
        stop: ActiveStop,
        waiting: bool,
    ) -> Node:
        """A stop, and what comes once it has been dealt with, or while it stands."""
        standing = tuple(one for one in stops if one.id in here.shown)
        left = replace(
            here,
            given=here.given.copied(),
            shown=here.shown | {stop.id},
            declined=here.declined | ({stop.id} if waiting else frozenset()),
        )
        if stop.endless:
            return Halted(
                alerts, standing, stop, waiting, (Way(GO_ON, here.share, self._node(left)),)
            )
        done = replace(here, walk=here.walk.forked(), given=here.given.copied())
        done.walk.made_safe(stop.id)
        done = replace(done, shown=here.shown - {stop.id}, share=here.share * EVENLY)
        left = replace(left, share=here.share * (1 - EVENLY))
        ways = (
            Way(SAFE, done.share, self._node(done)),
            Way(GO_ON, left.share, self._node(left)),
        )
        return Halted(alerts, standing, stop, waiting, ways)

    def _asked(
        self,
        here: _Here,
        alerts: tuple[Alert, ...],
        stops: tuple[ActiveStop, ...],
        question: Question,
    ) -> Node:
        before = here.given.before(question)
        alerts = (*alerts, *here.given.of_step(question))
        ways = [self._way(here, question, *answer) for answer in self._answers(here, question)]
        ways.append(self._cannot_tell(here, question))
        return Asked(alerts, stops, question, before, tuple(ways))

    def _answers(self, here: _Here, question: Question) -> Iterator[tuple[str, float, Bin | None]]:
        """Each answer with its share of the cases that come here."""
        if question.reading is not None:
            for one in bins_of(here.walk, question):
                yield one.stands_for, one.share, one
            return
        assert isinstance(question.entry, Observation)
        chances = self.bench.predictions.chances(question.id) @ here.walk.belief().column
        for option, share in zip(question.entry.options, chances / chances.sum(), strict=True):
            yield option, float(share), None

    def _way(
        self, here: _Here, question: Question, answer: str, share: float, bin_: Bin | None
    ) -> Way:
        walk, doubt = here.walk.forked(), ""
        try:
            walk.answer(question, answer)
        except Contradiction as problem:
            doubt = problem.message
            walk.answer(question, answer)
        share *= here.share * (1 - self.untold)
        after = replace(here, walk=walk, given=here.given.copied(), share=share)
        return Way(answer, share, self._node(after), doubt, bin_)

    def _cannot_tell(self, here: _Here, question: Question) -> Way:
        walk, share = here.walk.forked(), here.share * self.untold
        walk.pass_over(question, UNKNOWN)
        after = replace(here, walk=walk, given=here.given.copied(), share=share)
        return Way(CANNOT_TELL, share, self._node(after))


def begun(bench: Bench, able: str, complaint: Complaint) -> Walk:
    """A walk that has been told a complaint. able: what whoever answers can do."""
    walk = Walk(bench, able=able)
    walk.tell(evidence_of([complaint]))
    return walk


def shares_of(bench: Bench, complaints: Sequence[Complaint]) -> tuple[float, ...]:
    """The share of cases that come with each complaint: partly as the book expects them, partly
    even (figure page-even)."""
    even = bench.model.figures.get("page-even")
    h = bench.hypotheses
    weight = np.append(h.weight, h.other)
    told = [begun(bench, "", one).belief().log_likelihood() for one in complaints]
    whole = [float(weight @ np.exp(likelihood)) for likelihood in told]
    return tuple((1 - even) * one / sum(whole) + even / len(whole) for one in whole)
