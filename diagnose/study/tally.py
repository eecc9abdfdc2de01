"""What some cases come to: how many are right, how sure they were, what limits them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from diagnose.reasoning.hypotheses import OTHER
from diagnose.study.play import Left, Played
from diagnose.study.scores import Share, calibration, calibration_error, log_loss, share

WEAK, FEWEST = 0.6, 5
"""A failure mode below this share needs a reason; with fewer cases than this nothing is said."""

SURE = 0.9
"""Stated probability from which a verdict counts as sure: where the walk aims to stop."""


@dataclass(frozen=True)
class Score:
    """How a set of cases went.

    right: the repair named first is the true one; or_behind: it, or a known result of what is true;
    top3: it is among the first three; mode, mode_top3: the same of the failure mode; gap: mean
    stated probability less the share right; log_loss [nat] and brier: over failure modes; tried:
    repairs tried in falling probability until the right one; isolation: mean isolation utility.
    """

    n: int
    right: Share
    or_behind: Share
    top3: Share
    mode: Share
    mode_top3: Share
    stated: float
    gap: float
    error: float
    log_loss: float
    repair_log_loss: float
    brier: float
    repair_brier: float
    questions: float
    mean_questions: float
    minutes: float
    tried: float
    isolation: float
    other_leads: Share


def score(cases: Sequence[Played]) -> Score:
    """The figures of some cases, at least one."""
    verdicts = [case.verdict for case in cases]
    stated, right = [v.stated for v in verdicts], [case.right for case in cases]
    asked = [len(case.asked) for case in cases]
    return Score(
        n=len(cases),
        right=shared(right),
        or_behind=shared(case.right or case.verdict.behind for case in cases),
        top3=shared(v.repair_rank <= 3 for v in verdicts),
        mode=shared(v.rank == 1 for v in verdicts),
        mode_top3=shared(v.rank <= 3 for v in verdicts),
        stated=fmean(stated),
        gap=fmean(stated) - fmean(right),
        error=calibration_error(calibration(stated, right)),
        log_loss=log_loss([v.p for v in verdicts]),
        repair_log_loss=log_loss([v.repair_p for v in verdicts]),
        brier=fmean(v.brier for v in verdicts),
        repair_brier=fmean(v.repair_brier for v in verdicts),
        questions=median(asked),
        mean_questions=fmean(asked),
        minutes=fmean(case.minutes for case in cases),
        tried=fmean(v.repair_rank for v in verdicts),
        isolation=fmean(v.isolation for v in verdicts),
        other_leads=shared(v.repair == OTHER for v in verdicts),
    )


def shared(hits: Iterable[bool]) -> Share:
    found = list(hits)
    return share(sum(found), len(found))


@dataclass(frozen=True)
class Limits:
    """Where the verdicts fall short, and whether more asking would help.

    sure: verdicts stated at SURE or above, and how many of them are right; short: walks that ended
    below that; entropy: what is left to know about their repair [bit]; bits, minutes: the best
    test that was left, on average; asked: how many tests were left; then_right, then_stated: the
    same walks after all of those tests; all_minutes: what that would take.
    """

    sure: Share
    sure_stated: float
    short: Share
    short_right: Share
    short_stated: float
    entropy: float
    bits: float
    minutes: float
    asked: float
    then_right: Share
    then_stated: float
    all_minutes: float
    reasons: tuple[tuple[str, int], ...]


def limits(cases: Sequence[Played]) -> Limits:
    """What limits these cases."""
    sure = [case for case in cases if case.left is None]
    short = [(case, case.left) for case in cases if case.left is not None]
    left = [found for _, found in short]

    def mean(of: Callable[[Left], float]) -> float:
        return fmean(of(found) for found in left) if left else 0.0

    return Limits(
        sure=shared(case.right for case in sure),
        sure_stated=fmean(case.verdict.stated for case in sure) if sure else 0.0,
        short=share(len(short), len(cases)),
        short_right=shared(case.right for case, _ in short),
        short_stated=fmean(case.verdict.stated for case, _ in short) if short else 0.0,
        entropy=mean(lambda found: found.entropy),
        bits=mean(lambda found: found.bits),
        minutes=mean(lambda found: found.minutes),
        asked=mean(lambda found: found.asked),
        then_right=shared(found.right for found in left),
        then_stated=mean(lambda found: found.stated),
        all_minutes=mean(lambda found: found.all_minutes),
        reasons=tuple(Counter(case.why_stopped for case, _ in short).most_common()),
    )


@dataclass(frozen=True)
class ByMode:
    """One failure mode. taken_for: what was named instead, how often; sure_wrong: wrong verdicts
    stated at SURE or above; entropy, bits: of the walks that fell short, what was left to know
    about the repair and the most that one more test would teach; then_right: right after every
    test that was left."""

    mode: str
    n: int
    right: Share
    same_mode: Share
    questions: float
    stated: float
    taken_for: tuple[tuple[str, int], ...]
    sure_wrong: int
    short: int
    entropy: float
    bits: float
    then_right: int

    @property
    def weak(self) -> bool:
        return self.n >= FEWEST and self.right.value < WEAK


def by_mode(mode: str, cases: Sequence[Played]) -> ByMode:
    """How the cases of one failure mode went."""
    wrong = [case for case in cases if not case.right]
    left = [case.left for case in cases if case.left is not None]
    return ByMode(
        mode=mode,
        n=len(cases),
        right=shared(case.right for case in cases),
        same_mode=shared(case.verdict.rank == 1 for case in cases),
        questions=median(len(case.asked) for case in cases),
        stated=fmean(case.verdict.stated for case in cases),
        taken_for=tuple(Counter(case.verdict.cause for case in wrong).most_common(3)),
        sure_wrong=sum(case.verdict.stated >= SURE for case in wrong),
        short=len(left),
        entropy=fmean(found.entropy for found in left) if left else 0.0,
        bits=fmean(found.bits for found in left) if left else 0.0,
        then_right=sum(found.right for found in left),
    )
