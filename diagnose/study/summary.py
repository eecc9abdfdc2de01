"""What a study comes to: every figure of its report, from the cases as they were played."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from diagnose.reasoning.hypotheses import OTHER
from diagnose.study.heldout import HeldOut
from diagnose.study.informed import Informed
from diagnose.study.plan import BESIDE, Plan
from diagnose.study.play import Played
from diagnose.study.run import AS_THEY_COME, IN_TURN, PAIRS, Findings
from diagnose.study.scores import Bin, Parts, Share, brier_parts, calibration
from diagnose.study.subsets import Regret
from diagnose.study.tally import ByMode, Limits, Score, by_mode, limits, score, shared


@dataclass(frozen=True)
class Unknown:
    """Faults that were taken out of the book. mended: the answer had the right repair anyway;
    sure: another cause was stated at the aim or above."""

    n: int
    leads: Share
    shown: Share
    mended: Share
    sure: Share


@dataclass(frozen=True)
class Optimum:
    """Mean minutes over the subsets, and how much dearer the tool's way is than the best."""

    n: int
    best: float
    tool: float
    floor: float
    dearer: float
    noisy_best: float
    noisy_tool: float
    noisy_dearer: float
    in_vain: float


@dataclass(frozen=True)
class TwoFaults:
    """Two faults at once. one_first: a true repair is named first; one, both: how many of the true
    failure modes are among the first three."""

    n: int
    one_first: Share
    one: Share
    both: Share
    stated: float
    other_leads: Share


@dataclass(frozen=True)
class Known:
    """Verdicts of one who knows how the cases were drawn, from the same answers. both: cases that
    the tool has right as well; rigs: that a verdict rests on, in effect, median."""

    right: Share
    top3: Share
    both: Share
    stated: float
    rigs: float


@dataclass(frozen=True)
class Again:
    """The same cases under other terms. beside: exactly those cases under the study's own."""

    score: Score
    beside: Score
    limits: Limits


@dataclass(frozen=True)
class Elsewhere:
    """As many cases of the same failure modes in the other world."""

    score: Score
    even: float
    modes: tuple[ByMode, ...]


@dataclass(frozen=True)
class Summary:
    """All figures of a study. groups: by rig fact; modes: worst first; even: mean over failure
    modes of the share that is right; again: other terms on the same cases, by name; other: what
    stands beside."""

    plan: Plan
    whole: Score
    parts: Parts
    table: tuple[Bin, ...]
    even: float
    even_mode: float
    groups: Mapping[str, Score]
    modes: tuple[ByMode, ...]
    limits: Limits
    known: Known | None
    again: Mapping[str, Again]
    unknown: Unknown | None
    optimum: Optimum | None
    two: TwoFaults | None
    other: Elsewhere | None
    unnoticed: tuple[str, ...]


GROUPED = ("topology", "control", "remote", "control-tap", "switch-carries-motor")
"""Rig facts by which the cases are told apart in the report."""


def summary(plan: Plan, found: Findings) -> Summary:
    """Everything that the report says."""
    drawn = _played(found, AS_THEY_COME, plan.main.name)
    everything = [*drawn, *_played(found, IN_TURN, plan.main.name)]
    modes = _modes(everything)
    stated, right = [c.verdict.stated for c in drawn], [c.right for c in drawn]
    return Summary(
        plan=plan,
        whole=score(drawn),
        parts=brier_parts(stated, right),
        table=tuple(calibration(stated, right)),
        even=fmean(row.right.value for row in modes),
        even_mode=fmean(row.same_mode.value for row in modes),
        groups=_groups(drawn),
        modes=modes,
        limits=limits(drawn),
        known=_known(found.informed),
        again=_again(plan, found),
        unknown=_unknown(found.held),
        optimum=_optimum(found.regrets),
        two=_two(_played(found, PAIRS, plan.main.name)),
        other=_elsewhere(_played(found, AS_THEY_COME, BESIDE)),
        unnoticed=tuple(sorted(set(found.unnoticed))),
    )


def _played(found: Findings, drawn: str, terms: str) -> list[Played]:
    return [case.played for case in found.cases if (case.drawn, case.terms) == (drawn, terms)]


def _modes(cases: Sequence[Played]) -> tuple[ByMode, ...]:
    names = sorted({case.modes[0] for case in cases})
    rows = [by_mode(name, [c for c in cases if c.modes == (name,)]) for name in names]
    return tuple(sorted(rows, key=lambda row: (row.right.value, row.mode)))


def _groups(cases: Sequence[Played]) -> dict[str, Score]:
    found = {}
    for fact in GROUPED:
        for value in sorted({case.facts[fact] for case in cases if fact in case.facts}):
            here = [case for case in cases if case.facts.get(fact) == value]
            found[f"{fact} {value}"] = score(here)
    return found


def _again(plan: Plan, found: Findings) -> dict[str, Again]:
    own = {
        (case.rig, case.number): case.played
        for case in found.cases
        if (case.drawn, case.terms) == (AS_THEY_COME, plan.main.name)
    }
    scores = {}
    for terms, _ in plan.again:
        here = [case for case in found.cases if case.terms == terms.name]
        here = [case for case in here if (case.rig, case.number) in own]
        if here:
            played = [case.played for case in here]
            beside = [own[case.rig, case.number] for case in here]
            scores[terms.name] = Again(score(played), score(beside), limits(played))
    return scores


def _elsewhere(cases: Sequence[Played]) -> Elsewhere | None:
    if not cases:
        return None
    modes = _modes(cases)
    return Elsewhere(score(cases), fmean(row.right.value for row in modes), modes)


def _known(informed: Sequence[Informed]) -> Known | None:
    if not informed:
        return None
    return Known(
        right=shared(one.right for one in informed),
        top3=shared(one.place <= 3 for one in informed),
        both=shared(one.right and one.tool for one in informed),
        stated=fmean(one.stated for one in informed),
        rigs=median(one.rigs for one in informed),
    )


def _unknown(held: Sequence[HeldOut]) -> Unknown | None:
    if not held:
        return None
    return Unknown(
        n=len(held),
        leads=shared(one.leads for one in held),
        shown=shared(one.shown for one in held),
        mended=shared(one.mended for one in held),
        sure=shared(one.sure for one in held),
    )


def _optimum(regrets: Sequence[Regret]) -> Optimum | None:
    if not regrets:
        return None
    best, tool = fmean(r.best for r in regrets), fmean(r.tool for r in regrets)
    noisy_best = fmean(r.noisy_best for r in regrets)
    noisy_tool = fmean(r.noisy_tool for r in regrets)
    return Optimum(
        n=len(regrets),
        best=best,
        tool=tool,
        floor=fmean(r.floor for r in regrets),
        dearer=tool / best - 1,
        noisy_best=noisy_best,
        noisy_tool=noisy_tool,
        noisy_dearer=noisy_tool / noisy_best - 1,
        in_vain=fmean(r.in_vain for r in regrets),
    )


def _two(cases: Sequence[Played]) -> TwoFaults | None:
    if not cases:
        return None
    return TwoFaults(
        n=len(cases),
        one_first=shared(case.right for case in cases),
        one=shared(case.verdict.in_first_three >= 1 for case in cases),
        both=shared(case.verdict.in_first_three == 2 for case in cases),
        stated=fmean(case.verdict.stated for case in cases),
        other_leads=shared(case.verdict.repair == OTHER for case in cases),
    )
