"""What a study comes to: every figure of its report, by name, from the cases as played."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from statistics import fmean, median
from typing import Any

from diagnose.reasoning.hypotheses import OTHER
from diagnose.study.plan import Plan
from diagnose.study.play import Episode, Shortfall
from diagnose.study.run import AS_THEY_COME, IN_TURN, PAIRS, Findings, HoldOut
from diagnose.study.scores import (
    Share,
    brier_parts,
    calibration,
    calibration_error,
    log_loss,
    share,
)

Figures = dict[str, Any]

SURE = 0.9
"""Stated probability from which a verdict counts as sure: where the walk aims to stop."""

GROUPED = ("topology", "control", "remote", "control-tap", "switch-carries-motor")
"""Rig facts by which the cases are told apart in the report."""


def share_of(hits: Iterable[bool]) -> Share:
    found = list(hits)
    return share(sum(found), len(found))


def score(cases: Sequence[Episode]) -> Figures:
    """The figures of some cases, at least one.

    right: the repair named first is the true one; or_behind: it, or a known result of what is true;
    top3: it is among the first three; mode, mode_top3: the same of the failure mode; gap: mean
    stated probability less the share right; log_loss [nat] and brier: over failure modes; tried:
    repairs tried in falling probability until the right one; isolation: mean isolation utility.
    """
    verdicts = [case.verdict for case in cases]
    stated, right = [v.stated for v in verdicts], [case.right for case in cases]
    asked = [len(case.asked) for case in cases]
    return {
        "n": len(cases),
        "right": share_of(right),
        "or_behind": share_of(case.right or case.verdict.behind for case in cases),
        "top3": share_of(v.repair_rank <= 3 for v in verdicts),
        "mode": share_of(v.rank == 1 for v in verdicts),
        "mode_top3": share_of(v.rank <= 3 for v in verdicts),
        "stated": fmean(stated),
        "gap": fmean(stated) - fmean(right),
        "error": calibration_error(calibration(stated, right)),
        "log_loss": log_loss([v.p for v in verdicts]),
        "repair_log_loss": log_loss([v.repair_p for v in verdicts]),
        "brier": fmean(v.brier for v in verdicts),
        "repair_brier": fmean(v.repair_brier for v in verdicts),
        "questions": median(asked),
        "mean_questions": fmean(asked),
        "minutes": fmean(case.minutes for case in cases),
        "tried": fmean(v.repair_rank for v in verdicts),
        "isolation": fmean(v.isolation for v in verdicts),
        "other_leads": share_of(v.repair == OTHER for v in verdicts),
    }


def limits(cases: Sequence[Episode]) -> Figures:
    """Where the verdicts fall short, and whether more asking would help.

    sure: verdicts stated at SURE or above, and how many of them are right; short: walks that ended
    below that; entropy: what is left to know about their repair [bit]; bits, minutes: the best
    test that was left, on average; asked: how many tests were left; then_right, then_stated: the
    same walks after all of those tests; all_minutes: what that would take.
    """
    sure = [case for case in cases if case.left is None]
    short = [case for case in cases if case.left is not None]
    left = [case.left for case in cases if case.left is not None]

    def mean(of: Callable[[Shortfall], float]) -> float:
        return fmean(map(of, left)) if left else 0.0

    def stated(some: Sequence[Episode]) -> float:
        return fmean(case.verdict.stated for case in some) if some else 0.0

    return {
        "sure": share_of(case.right for case in sure),
        "sure_stated": stated(sure),
        "short": share(len(short), len(cases)),
        "short_right": share_of(case.right for case in short),
        "short_stated": stated(short),
        "entropy": mean(lambda found: found.entropy),
        "bits": mean(lambda found: found.bits),
        "minutes": mean(lambda found: found.minutes),
        "asked": mean(lambda found: found.asked),
        "then_right": share_of(found.right for found in left),
        "then_stated": mean(lambda found: found.stated),
        "all_minutes": mean(lambda found: found.all_minutes),
        "reasons": Counter(case.why_stopped for case in short).most_common(),
    }


def by_mode(mode: str, cases: Sequence[Episode]) -> Figures:
    """How the cases of one failure mode went.

    taken_for: what was named instead, how often; sure_wrong: wrong verdicts stated at SURE or
    above; entropy, bits: of the walks that fell short, what was left to know about the repair and
    the most that one more test would teach; then_right: right after every test that was left.
    """
    wrong = [case for case in cases if not case.right]
    left = [case.left for case in cases if case.left is not None]
    return {
        "mode": mode,
        "n": len(cases),
        "right": share_of(case.right for case in cases),
        "same_mode": share_of(case.verdict.rank == 1 for case in cases),
        "questions": median(len(case.asked) for case in cases),
        "stated": fmean(case.verdict.stated for case in cases),
        "taken_for": Counter(case.verdict.cause for case in wrong).most_common(3),
        "sure_wrong": sum(case.verdict.stated >= SURE for case in wrong),
        "short": len(left),
        "entropy": fmean(found.entropy for found in left) if left else 0.0,
        "bits": fmean(found.bits for found in left) if left else 0.0,
        "then_right": sum(found.right for found in left),
    }


def summary(plan: Plan, found: Findings) -> Figures:
    """All figures of a study. groups: by rig fact; modes: worst first; even: mean over failure
    modes of the share that is right; again: other terms on the same cases, by name; None for what
    was not played."""
    drawn = played(found, AS_THEY_COME, plan.main.name)
    modes = modes_of([*drawn, *played(found, IN_TURN, plan.main.name)])
    stated, right = [c.verdict.stated for c in drawn], [c.right for c in drawn]
    return {
        "plan": plan,
        "whole": score(drawn),
        "parts": brier_parts(stated, right),
        "table": calibration(stated, right),
        "even": fmean(row["right"].value for row in modes),
        "even_mode": fmean(row["same_mode"].value for row in modes),
        "groups": _groups(drawn),
        "modes": modes,
        "limits": limits(drawn),
        "again": _again(plan, found),
        "unknown": _unknown(found.held) if found.held else None,
        "two": _two(pairs) if (pairs := played(found, PAIRS, plan.main.name)) else None,
        "unnoticed": sorted(set(found.unnoticed)),
    }


def played(found: Findings, drawn: str, terms: str) -> list[Episode]:
    return [case.played for case in found.cases if (case.drawn, case.terms) == (drawn, terms)]


def modes_of(cases: Sequence[Episode]) -> list[Figures]:
    names = sorted({case.modes[0] for case in cases})
    rows = [by_mode(name, [c for c in cases if c.modes == (name,)]) for name in names]
    return sorted(rows, key=lambda row: (row["right"].value, row["mode"]))


def _groups(cases: Sequence[Episode]) -> Figures:
    found = {}
    for fact in GROUPED:
        for value in sorted({case.facts[fact] for case in cases if fact in case.facts}):
            here = [case for case in cases if case.facts.get(fact) == value]
            found[f"{fact} {value}"] = score(here)
    return found


def _again(plan: Plan, found: Findings) -> Figures:
    """Other terms, and beside them exactly those cases under the study's own."""
    own = {
        (case.rig, case.number): case.played
        for case in found.cases
        if (case.drawn, case.terms) == (AS_THEY_COME, plan.main.name)
    }
    scores = {}
    for terms, _ in plan.again:
        here = [c for c in found.cases if c.terms == terms.name and (c.rig, c.number) in own]
        if here:
            played = [case.played for case in here]
            beside = [own[case.rig, case.number] for case in here]
            both = {"score": score(played), "beside": score(beside)}
            scores[terms.name] = both | {"limits": limits(played)}
    return scores


def _unknown(held: Sequence[HoldOut]) -> Figures:
    """Faults that were taken out of the book."""
    names = ("leads", "shown", "mended", "sure")
    return {"n": len(held)} | {name: share_of(getattr(h, name) for h in held) for name in names}


def _two(cases: Sequence[Episode]) -> Figures:
    """Two faults at once. one_first: a true repair is named first; one, both: how many of the true
    failure modes are among the first three."""
    return {
        "n": len(cases),
        "one_first": share_of(case.right for case in cases),
        "one": share_of(case.verdict.in_first_three >= 1 for case in cases),
        "both": share_of(case.verdict.in_first_three == 2 for case in cases),
        "stated": fmean(case.verdict.stated for case in cases),
        "other_leads": share_of(case.verdict.repair == OTHER for case in cases),
    }
