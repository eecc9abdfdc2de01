"""What a study plays beyond `diagnose study`: the other world, and how good anybody could be.

In the other world rigs fail by laws written apart from those that the tool reasons with
(other_world/). How good anybody could be: verdicts of one who knows how the cases were drawn
(bayes.py), and small problems solved exactly (optimum.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean, median

import numpy as np

from diagnose.simulate.truth import Person
from diagnose.study.plan import Plan, Task, Terms, spread
from diagnose.study.play import Episode, FaultyRig
from diagnose.study.run import AS_THEY_COME, Findings, RigStudy, bench_of
from diagnose.study.tally import Figures, modes_of, played, score, share_of
from diagnose.study.tally import summary as home_summary
from tests.study.bayes import IdealObserver, IdealVerdict, sample
from tests.study.optimum import Regret, regret
from tests.study.other_world import world as other_world

HOME, OTHER_WORLD, BOTH = "home", "other", "both"
WORLDS = (HOME, OTHER_WORLD, BOTH)
"""By whose laws rigs fail: the reasoner's own circuit, those of other_world, or either in turn."""

BESIDE = "other world"
"""Name of the terms under which the cases are played a second time, in the other world."""

CROWD = 2500
"""Rigs of each failure mode; with more the verdicts change little, with fewer they are unsure."""

SUBSETS, KNOWING = 4, 5
"""Streams of chance, beside those of diagnose.study.run."""


@dataclass(frozen=True)
class Elsewhere(Terms):
    """Terms under which rigs fail by the other world's laws, which have a mismatch of their own."""


def elsewhere(terms: Terms, name: str) -> Elsewhere:
    return Elsewhere(**vars(terms) | {"name": name})


@dataclass(frozen=True)
class Research(Plan):
    """world: one of WORLDS; subsets: small problems solved exactly; crowd: rigs of each failure
    mode drawn for the verdict of one who knows how cases are drawn."""

    world: str = HOME
    subsets: int = 0
    crowd: int = 0

    @property
    def main(self) -> Terms:
        terms = super().main
        return elsewhere(terms, terms.name) if self.world == OTHER_WORLD else terms

    @property
    def again(self) -> tuple[tuple[Terms, int], ...]:
        """Those of any study; in both worlds, the cases themselves once more in the other one."""
        if self.world == HOME:
            return super().again
        there = [(elsewhere(t, f"{t.name}, other world"), self.others) for t in self.less_able]
        if self.world == OTHER_WORLD:
            return tuple(there)
        beside = Elsewhere(BESIDE, person=Person(self.wrong), able=self.able)
        return ((beside, self.cases), *super().again, *there)


def research(plan: Plan, world: str) -> Research:
    """The same plan with all that is played here; what only the home world can tell is left out
    of a study of the other."""
    if world == OTHER_WORLD:
        return Research(**vars(replace(plan, curve=0, compared=0, held=0)), world=world)
    subsets = max(plan.cases // 20, min(plan.cases, 10))
    return Research(**vars(plan), world=world, subsets=subsets, crowd=min(CROWD, 50 * plan.cases))


@dataclass
class Researched(Findings):
    """All that was found. informed: verdicts of one who knows how cases are drawn, on the cases
    as they come; regrets: the small problems."""

    informed: list[IdealVerdict] = field(default_factory=list)
    regrets: list[Regret] = field(default_factory=list)


@dataclass
class RigResearch(RigStudy):
    """A bench at work on its task."""

    found: Researched = field(default_factory=Researched)

    @property
    def plan(self) -> Research:
        assert isinstance(self.task.plan, Research)
        return self.task.plan

    def run(self) -> Researched:
        super().run()
        self._inform()
        for number in range(spread(self.plan.subsets, self.plan.rigs)[self.task.rig]):
            self.found.regrets.append(regret(self.bench, (*self.seed(SUBSETS), number)))
        return self.found

    def case(self, drawn: str, number: int, modes: tuple[str, ...], terms: Terms) -> None:
        if isinstance(terms, Elsewhere) and not other_world.makes(modes):
            self.found.unnoticed.append(f"{' and '.join(modes)} (not made in the other world)")
        else:
            super().case(drawn, number, modes, terms)

    def faulty(self, modes: tuple[str, ...], seed: tuple[int, ...], terms: Terms) -> FaultyRig:
        """A rig with these failure modes, of the world that the terms name."""
        if isinstance(terms, Elsewhere):
            return other_world.draw(self.bench.rig, modes, seed)
        return super().faulty(modes, seed, terms)

    def _inform(self) -> None:
        """The same answers, weighed by one who knows how the cases were drawn."""
        if self.plan.crowd:
            random = np.random.default_rng(self.seed(KNOWING))
            who = IdealObserver(sample(self.bench, self.plan.crowd, random), self.plan.wrong)
            cases = played(self.found, AS_THEY_COME, self.plan.main.name)
            self.found.informed += [who.weigh(case) for case in cases]


def work(task: Task) -> Researched:
    """Everything that is played on one rig."""
    return RigResearch(task, bench_of(task)).run()


def summary(plan: Research, found: Researched) -> Figures:
    """All figures of a study; known, optimum, other: None for what was not played."""
    there = played(found, AS_THEY_COME, BESIDE)
    return home_summary(plan, found) | {
        "known": _known(found.informed) if found.informed else None,
        "optimum": _optimum(found.regrets) if found.regrets else None,
        "other": _other(there) if there else None,
    }


def _other(cases: Sequence[Episode]) -> Figures:
    """As many cases of the same failure modes in the other world."""
    modes = modes_of(cases)
    even = fmean(row["right"].value for row in modes)
    return {"score": score(cases), "even": even, "modes": modes}


def _known(informed: Sequence[IdealVerdict]) -> Figures:
    """Verdicts of one who knows how the cases were drawn, from the same answers. both: cases that
    the tool has right as well; rigs: that a verdict rests on, in effect, median."""
    return {
        "right": share_of(one.right for one in informed),
        "top3": share_of(one.place <= 3 for one in informed),
        "both": share_of(one.right and one.tool for one in informed),
        "stated": fmean(one.stated for one in informed),
        "rigs": median(one.rigs for one in informed),
    }


def _optimum(regrets: Sequence[Regret]) -> Figures:
    """Mean minutes over the subsets, and how much dearer the tool's way is than the best."""

    def mean(name: str) -> float:
        return fmean(getattr(one, name) for one in regrets)

    return {
        "n": len(regrets),
        "best": mean("best"),
        "tool": mean("tool"),
        "floor": mean("floor"),
        "dearer": mean("tool") / mean("best") - 1,
        "noisy_best": mean("noisy_best"),
        "noisy_tool": mean("noisy_tool"),
        "noisy_dearer": mean("noisy_tool") / mean("noisy_best") - 1,
        "in_vain": mean("in_vain"),
    }
