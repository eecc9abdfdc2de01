"""What a branch of the page comes to: the walk's outcome there, as far as the page tells it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.errors import one_line
from diagnose.outcome import Ranking, Result, conclude
from diagnose.pages.reasons import why_stopped
from diagnose.pages.repair import proof_sentence
from diagnose.pages.result import LIKELY, SETTLED, headline, ruling_out
from diagnose.reasoning.hypotheses import OTHER
from diagnose.walkthrough import Walk

NAMED = 4
"""Likely causes that an ending names."""


@dataclass(frozen=True)
class Ending:
    """One outcome. ranking: the whole of it; causes: ids of the likely ones and how likely, 0
    to 1; sure: how likely the repair is; settled: whether one repair is
    likely enough; steps: what to do, in their order; mends: what brought it about; proof: what
    proves it mended; avoid: cautions in full; whole: whether the walk itself ended here."""

    ranking: Ranking
    cause: str
    headline: str
    sure: float
    settled: bool
    causes: tuple[tuple[str, float], ...]
    steps: tuple[str, ...]
    mends: tuple[str, ...]
    proof: str
    avoid: tuple[str, ...]
    whole: bool


def ending_of(walk: Walk, whole: bool) -> Ending:
    """What the walk comes to now. whole: it has ended; else it is what is known so far."""
    result = conclude(walk, why_stopped(walk)) if whole else conclude(walk, quick=True)
    bench = walk.bench
    before = () if result.ended else tuple(ruling_out(bench, result))
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    count = 0 if result.ended else len(mode.fix if mode else result.fix)
    stops = result.fix[: len(result.fix) - count]
    return Ending(
        ranking=result.ranking,
        cause=result.cause,
        headline=headline(bench, result),
        sure=result.repair_probability,
        settled=result.repair_probability >= SETTLED,
        causes=_causes(result),
        steps=tuple(map(one_line, (*stops, *before, *result.fix[len(stops) :]))),
        mends=_mends(result),
        proof=proof_sentence(result.verify) if result.verify else "",
        avoid=tuple(map(one_line, result.cautions)),
        whole=whole,
    )


def _causes(result: Result) -> tuple[tuple[str, float], ...]:
    """The likely causes; the first whatever its probability."""
    named = [(name, p) for name, p in result.ranking if name != OTHER][:NAMED]
    return tuple(pair for place, pair in enumerate(named) if place == 0 or pair[1] >= LIKELY)


def _mends(result: Result) -> tuple[str, ...]:
    """What something that was seen says brought it about, and how that is mended."""
    seen = (cause for cause in result.root_causes if cause.seen and not result.ended)
    return tuple(
        f"{one_line(one.cause).rstrip('.')}. {one_line(one.mend).rstrip('.')}." for one in seen
    )
