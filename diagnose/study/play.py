"""One case from complaint to conclusion, and what is to be known about it afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.errors import DiagnoseError
from diagnose.outcome import leading
from diagnose.reasoning.available_tests import Test, cost
from diagnose.reasoning.evidence import Evidence, check_answer
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.information import entropy
from diagnose.reasoning.next_test import ExpectedGain
from diagnose.reasoning.pairs import weigh_pairs
from diagnose.reasoning.posterior import Posterior, by_repair, posterior
from diagnose.simulate.policies import Policy, make_safe
from diagnose.simulate.truth import Person
from diagnose.study.scores import brier, isolation_utility
from diagnose.walkthrough import Question, Walk


@dataclass(frozen=True)
class Turn:
    """One step. answer: "" when it was not known; top, p: the likeliest repair after it, with its
    probability; minutes: of this step."""

    test: str
    answer: str
    top: str
    p: float
    minutes: float


@dataclass(frozen=True)
class Shortfall:
    """What a walk that stopped short of its aim could still have learnt.

    entropy: about the repair [bit]; best, bits, minutes: the test that would teach most; asked:
    how many tests were left to ask; right, stated: the verdict after all of them at once.
    """

    entropy: float
    best: str
    bits: float
    minutes: float
    asked: int
    all_minutes: float
    right: bool
    stated: float


@dataclass(frozen=True)
class Verdict:
    """What was concluded, beside the truth.

    cause, repair: named first; stated: probability of that repair; other: of OTHER; rank,
    repair_rank: places of the true failure mode and repair, from 1; in_first_three: how many of
    the true failure modes are; p, repair_p: probabilities of what is true; brier, repair_brier:
    sum over causes and over repairs; isolation: utility of naming what the repair mends; behind:
    the cause named is known as a result of what is true, which the outcome lists behind it.
    """

    cause: str
    repair: str
    stated: float
    other: float
    rank: int
    repair_rank: int
    in_first_three: int
    p: float
    repair_p: float
    brier: float
    repair_brier: float
    isolation: float
    behind: bool


@dataclass(frozen=True)
class Episode:
    """One case. modes: what was wrong; told: the complaint; contradictions: answers refused."""

    modes: tuple[str, ...]
    variant: str
    facts: Mapping[str, str]
    told: Mapping[str, str]
    asked: tuple[Turn, ...]
    why_stopped: str
    contradictions: int
    verdict: Verdict
    left: Shortfall | None

    @property
    def minutes(self) -> float:
        return sum(step.minutes for step in self.asked)

    @property
    def right(self) -> bool:
        """Whether the repair named first mends what was wrong, or a part of it."""
        return self.verdict.repair_rank == 1


class FaultyRig(Protocol):
    """A faulty rig and somebody beside it: simulate.truth.Truth, or one of other laws."""

    @property
    def modes(self) -> tuple[str, ...]: ...

    @property
    def how(self) -> str: ...

    def complaint(
        self, person: Person, book: Catalogue, facts: Mapping[str, str]
    ) -> dict[str, str]: ...

    def answer(
        self, person: Person, test: Test, book: Catalogue, attempt: int = 0
    ) -> str | None: ...


class NoComplaint(DiagnoseError):
    """A fault so mild that nobody would complain of it."""


def _top(walk: Walk, belief: Posterior) -> tuple[str, float]:
    return next(iter(by_repair(belief.ranking, walk.bench.shop.repair).items()))


@dataclass
class _Player:
    """A person at a rig, and the walk that asks."""

    walk: Walk
    rig: FaultyRig
    person: Person
    refused: int = 0

    def say(self, question: Question, attempt: int = 0) -> str | None:
        book = self.walk.bench.shop.catalogue
        return self.rig.answer(self.person, question.test, book, attempt)

    def reply(self, question: Question) -> str:
        """Answer; when that is refused, look once more; then give it up. "" for not known."""
        before = sum(step.test == question.id for step in self.walk.steps)
        for attempt in (before, before + 1):
            text = self.say(question, attempt)
            if text is None:
                break
            try:
                self.walk.answer(question, text)
                return text
            except DiagnoseError:
                self.refused += 1
        self.walk.pass_over(question, "unknown")
        return ""

    def step(self, question: Question) -> Turn:
        text = self.reply(question)
        top, p = _top(self.walk, self.walk.belief())
        return Turn(question.id, text, top, p, self.walk.steps[-1].minutes)


def play(walk: Walk, rig: FaultyRig, person: Person, policy: Policy) -> Episode:
    """Walk a case to its end. Raises NoComplaint when there is nothing to complain of."""
    bench = walk.bench
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    told = rig.complaint(person, book, facts)
    if not told:
        raise NoComplaint(f"{' and '.join(rig.modes)}: nobody would notice.")
    walk.tell(check_answer(book, facts, name, option) for name, option in told.items())
    player = _Player(walk, rig, person)
    asked = []
    make_safe(walk)
    while question := policy(walk):
        asked.append(player.step(question))
        make_safe(walk)
    belief = walk.belief()
    worths = walk.worths(belief)
    return Episode(
        modes=rig.modes,
        variant=rig.how,
        facts=facts,
        told=told,
        asked=tuple(asked),
        why_stopped=walk.stop_reason(belief, walk.choices(belief)),
        contradictions=player.refused,
        verdict=verdict(walk, belief, rig.modes),
        left=_left(player, belief, worths),
    )


def _place(order: Mapping[str, float], names: frozenset[str]) -> int:
    """Place of the best placed of the names, from 1; one past the end when none is there."""
    places = [place for place, name in enumerate(order, 1) if name in names]
    return min(places, default=len(order) + 1)


def verdict(walk: Walk, belief: Posterior, modes: tuple[str, ...]) -> Verdict:
    """What the person is told at the end, beside what was wrong."""
    bench, repair_of = walk.bench, walk.bench.shop.repair
    ranking = weigh_pairs(bench.predictions, belief).ranking
    cause, repair = leading(bench, ranking)
    by_mode, repairs = dict(ranking), by_repair(ranking, repair_of)
    true = frozenset(modes)
    named = frozenset(name for name in by_mode if repair_of.get(name) == repair)
    mends = frozenset(repair_of.get(mode, mode) for mode in modes)  # it may not be in the book
    named_mode = bench.shop.catalogue.failure_modes.get(cause)
    return Verdict(
        cause=cause,
        repair=repair,
        stated=repairs[repair],
        other=by_mode[OTHER],
        rank=_place(by_mode, true),
        repair_rank=_place(repairs, mends),
        in_first_three=sum(name in true for name in list(by_mode)[:3]),
        p=sum(by_mode.get(name, 0.0) for name in true),
        repair_p=sum(repairs.get(name, 0.0) for name in mends),
        brier=brier(by_mode, true),
        repair_brier=brier(repairs, mends),
        isolation=isolation_utility(named, true, len(by_mode) - 1),
        behind=not true.isdisjoint(named_mode.result_of if named_mode else ()),
    )


def _left(player: _Player, belief: Posterior, worths: tuple[ExpectedGain, ...]) -> Shortfall | None:
    """None where the walk reached its aim."""
    walk, figures = player.walk, player.walk.bench.model.figures
    repair_of = walk.bench.shop.repair
    repairs = by_repair(belief.ranking, repair_of)
    top, stated = next(iter(repairs.items()))
    if stated >= figures.get("stop-at") and top != OTHER:
        return None
    best = max(worths, key=lambda worth: worth.bits, default=None)
    last, stated = _top(walk, everything_asked(player, belief, worths))
    mends = {repair_of.get(mode, mode) for mode in player.rig.modes}
    spent = sum(cost(worth.test, worth.test.state, figures) for worth in worths)
    return Shortfall(
        entropy=float(entropy(np.array(list(repairs.values())))),
        best=best.test.id if best else "",
        bits=best.bits if best else 0.0,
        minutes=best.minutes if best else 0.0,
        asked=len(worths),
        all_minutes=spent,
        right=last in mends,
        stated=stated,
    )


def everything_asked(
    player: _Player, belief: Posterior, worths: tuple[ExpectedGain, ...]
) -> Posterior:
    """Belief if all that may still be asked were asked at once, whatever its worth."""
    walk, more = player.walk, list[Evidence]()
    for worth in worths:
        question = walk.ask(worth.test.id)
        text = player.say(question)
        if text is not None:
            try:
                more.append(walk.read(question, text))
            except DiagnoseError:
                continue
    return posterior(walk.bench.predictions, [*belief.evidence, *more])
