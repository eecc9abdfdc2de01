"""What a study plays: how many cases on how many rigs, and under which terms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
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


HOME, OTHER_WORLD, BOTH = "home", "other", "both"
WORLDS = (HOME, OTHER_WORLD, BOTH)
"""By whose laws rigs fail: the reasoner's own circuit, those of other_world, or either in turn."""

BESIDE = "other world"
"""Name of the terms under which the cases are played a second time, in the other world."""

NO_METER, HALF = "phone", "only voltmeter, lamp, bucket, spare-fuse"
"""What other persons can do, in the words of reasoning.means: somebody on the phone without a
meter, and somebody at the rig who has some things and opens nothing."""

CROWD = 2500
"""Rigs of each failure mode; with more the verdicts change little, with fewer they are unsure."""


@dataclass(frozen=True)
class Terms:
    """How a case is played. policy: of policies.POLICIES; mismatch: 1 for rigs that differ from
    their rig file as the study says, 0 for rigs exactly as described; world: HOME or OTHER_WORLD,
    which has a mismatch of its own; able: what the person can do, "" for everything."""

    name: str
    policy: str = "own"
    person: Person = field(default_factory=Person)
    mismatch: float = 1.0
    world: str = HOME
    able: str = ""


@dataclass(frozen=True)
class Plan:
    """cases: faults drawn as often as the book says they come; rigs: how many they are spread
    over; times: cases of each failure mode in turn, beside them; curve, compared: how many of the
    cases are played again under other terms, with other policies; held: faults of each kind left
    out of the book; subsets: small problems solved exactly; pairs: cases of two faults at once;
    crowd: rigs of each failure mode drawn for the verdict of one who knows how cases are drawn;
    world: one of WORLDS; evenly: failure modes are drawn evenly, not as often as the book says
    they come; able: what the person can do, as of Terms; others: how many of the cases are played
    again by persons who can do less."""

    seed: int
    wrong: float
    cases: int
    rigs: int
    times: int = 0
    curve: int = 0
    compared: int = 0
    held: int = 0
    subsets: int = 0
    pairs: int = 0
    crowd: int = 0
    world: str = HOME
    evenly: bool = False
    able: str = ""
    others: int = 0

    @property
    def main(self) -> Terms:
        world = OTHER_WORLD if self.world == OTHER_WORLD else HOME
        return Terms("own", person=Person(self.wrong), world=world, able=self.able)

    @property
    def beside(self) -> tuple[tuple[Terms, int], ...]:
        """The same failure modes in the other world, if it is to stand beside."""
        if self.world != BOTH:
            return ()
        person = Person(self.wrong)
        terms = Terms(BESIDE, person=person, world=OTHER_WORLD, able=self.able)
        return ((terms, self.cases),)

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
            *((t, self.others) for t in self._less_able()),
        )

    def _less_able(self) -> Iterator[Terms]:
        """The same by somebody without a meter and by somebody who can do half, in each world."""
        for world in (HOME, OTHER_WORLD) if self.world == BOTH else (self.world,):
            where = ", other world" if world == OTHER_WORLD else ""
            for name, able in (("no meter, by phone", NO_METER), ("half of the things", HALF)):
                person = Person(self.wrong)
                yield Terms(f"{name}{where}", person=person, world=world, able=able)


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
        subsets=max(cases // 20, min(cases, 10)),
        pairs=cases // 20,
        crowd=min(CROWD, 50 * cases),
        others=cases // 5,
    )


def quick(seed: int, wrong: float = ASKED_FOR) -> Plan:
    """About a minute on two cores: enough to see that nothing is broken, no more."""
    return Plan(seed, wrong, cases=36, rigs=6, curve=6, compared=6, subsets=12)


def in_world(plan: Plan, world: str, evenly: bool = False, able: str = "") -> Plan:
    """The same plan for one world or for both, and for somebody who can do so much; what only the
    home world can tell is left out of a study of the other."""
    others = 0 if able else plan.others
    plan = replace(plan, world=world, evenly=evenly, able=able, others=others)
    if world != OTHER_WORLD:
        return plan
    return replace(plan, curve=0, compared=0, held=0, subsets=0, crowd=0)


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
    subsets: int
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
    others = (*plan.beside, *plan.again)
    cases, subsets, pairs = (spread(n, plan.rigs) for n in (plan.cases, plan.subsets, plan.pairs))
    again = [spread(count, plan.rigs) for _, count in others]
    return [
        Task(
            plan=plan,
            rig=rig,
            cases=cases[rig],
            in_turn=tuple(in_turn[rig]),
            held=tuple(held[rig]),
            subsets=subsets[rig],
            pairs=pairs[rig],
            again=tuple((terms, n[rig]) for (terms, _), n in zip(others, again, strict=True)),
        )
        for rig in range(plan.rigs)
    ]
