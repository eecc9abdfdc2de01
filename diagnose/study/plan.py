"""What a study plays: how many cases on how many rigs, and under which terms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

from diagnose.bench import Shop
from diagnose.circuit.model import Model
from diagnose.design.facts import rig_facts
from diagnose.reasoning.hypotheses import applicable
from diagnose.simulate.rigs import invented_rig
from diagnose.simulate.truth import Person

RATES = (0.0, 0.05, 0.10, 0.20)
"""Shares of wrong answers on the curve."""

ASKED_FOR = 0.05
"""Share of wrong answers unless another is asked for."""


NO_METER, HALF = "phone", "only voltmeter, lamp, bucket, spare-fuse"
"""What other persons can do, in the words of reasoning.means: somebody on the phone without a
meter, and somebody at the rig who has some things and opens nothing."""


@dataclass(frozen=True)
class Terms:
    """How a case is played. policy: of policies.POLICIES; mismatch: 1 for rigs that differ from
    their rig file as the study says, 0 for rigs exactly as described; able: what the person can
    do, "" for everything."""

    name: str
    policy: str = "own"
    person: Person = field(default_factory=Person)
    mismatch: float = 1.0
    able: str = ""


@dataclass(frozen=True)
class Plan:
    """cases: faults drawn as often as the book says they come; rigs: how many they are spread
    over; times: cases of each failure mode in turn, beside them; curve, compared: how many of the
    cases are played again under other terms, with other policies; held: faults of each kind left
    out of the book; pairs: cases of two faults at once; evenly: failure modes are drawn evenly, not
    as often as the book says they come; able: what the person can do, as of Terms; others: how many
    of the cases are played again by persons who can do less."""

    seed: int
    wrong: float
    cases: int
    rigs: int
    times: int = 0
    curve: int = 0
    compared: int = 0
    held: int = 0
    pairs: int = 0
    evenly: bool = False
    able: str = ""
    others: int = 0

    @property
    def main(self) -> Terms:
        return Terms("own", person=Person(self.wrong), able=self.able)

    @property
    def again(self) -> tuple[tuple[Terms, int], ...]:
        """Other terms, each with how many of the cases are played under them."""
        rates = [rate for rate in RATES if abs(rate - self.wrong) > 1e-9]
        curve = [Terms(f"{rate:.0%} wrong", person=Person(rate)) for rate in rates]
        person = Person(self.wrong)
        others = (
            Terms("one in five not known", person=Person(self.wrong, unsure=0.2)),
            Terms("rigs as described", person=person, mismatch=0.0),
            Terms("rigs as described, 0% wrong", person=Person(0.0), mismatch=0.0),
            Terms("checklist", policy="checklist", person=person),
            Terms("random", policy="random", person=person),
        )
        return (
            *((t, self.curve) for t in curve),
            *((t, self.compared) for t in others),
            *((t, self.others) for t in self.less_able),
        )

    @property
    def less_able(self) -> tuple[Terms, ...]:
        """The same by somebody without a meter, and by somebody who can do half."""
        person = Person(self.wrong)
        return (
            Terms("no meter, by phone", person=person, able=NO_METER),
            Terms("half of the things", person=person, able=HALF),
        )


def full(cases: int, seed: int, wrong: float = ASKED_FOR) -> Plan:
    """A study of so many cases: at 2,000 of them a fifth again on the curve, 5 % for the rest."""
    return Plan(
        seed=seed,
        wrong=wrong,
        cases=cases,
        rigs=min(cases, max(4, round(cases / 50))),
        times=round(cases / 250),
        curve=cases // 5,
        compared=cases // 20,
        held=round(cases / 800),
        pairs=cases // 20,
        others=cases // 5,
    )


def quick(seed: int, wrong: float = ASKED_FOR) -> Plan:
    """About a minute on two cores: enough to see that nothing is broken, no more."""
    return Plan(seed, wrong, cases=36, rigs=6, curve=6, compared=6)


def dealt(can_have: Sequence[frozenset[str]], times: int) -> list[list[str]]:
    """Every failure mode `times` times, evenly over the rigs that can have it.

    can_have: failure modes that each rig can have.
    """
    hands: list[list[str]] = [[] for _ in can_have]
    modes = frozenset().union(*can_have)
    rigs = {mode: [r for r, here in enumerate(can_have) if mode in here] for mode in modes}
    for mode in sorted(rigs, key=lambda name: (len(rigs[name]), name)):
        for _ in range(times):
            here = min(rigs[mode], key=lambda r: (hands[r].count(mode), len(hands[r]), r))
            hands[here].append(mode)
    return hands


def spread(count: int, over: int) -> list[int]:
    """`count` things dealt over so many rigs, as evenly as it goes."""
    return [count * (i + 1) // over - count * i // over for i in range(over)]


@dataclass(frozen=True)
class Task:
    """What is played on one rig. again: other terms, with how many of the cases."""

    plan: Plan
    rig: int
    cases: int
    in_turn: tuple[str, ...]
    held: tuple[str, ...]
    pairs: int
    again: tuple[tuple[Terms, int], ...]

    @property
    def size(self) -> int:
        counted = sum(count for _, count in self.again)
        return self.cases + len(self.in_turn) + len(self.held) + self.pairs + counted


@cache
def shop() -> Shop:
    return Shop.shipped()


def _can_have(plan: Plan, number: int) -> frozenset[str]:
    rig = invented_rig(plan.seed, number)
    facts = rig_facts(Model.of(rig))
    return frozenset(mode.id for mode in applicable(shop().catalogue, facts, rig))


def tasks(plan: Plan) -> list[Task]:
    """One task a rig."""
    can_have = [_can_have(plan, rig) for rig in range(plan.rigs)]
    in_turn, held = dealt(can_have, plan.times), dealt(can_have, plan.held)
    cases, pairs = (spread(n, plan.rigs) for n in (plan.cases, plan.pairs))
    again = [spread(count, plan.rigs) for _, count in plan.again]
    return [
        Task(
            plan=plan,
            rig=rig,
            cases=cases[rig],
            in_turn=tuple(in_turn[rig]),
            held=tuple(held[rig]),
            pairs=pairs[rig],
            again=tuple((terms, n[rig]) for (terms, _), n in zip(plan.again, again, strict=True)),
        )
        for rig in range(plan.rigs)
    ]
