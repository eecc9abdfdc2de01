"""Faults that the book does not know: each failure mode in turn is taken out of it and played."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnose.bench import Bench, Shop
from diagnose.reasoning.hypotheses import OTHER
from diagnose.simulate.answers import AtHome
from diagnose.simulate.policies import own
from diagnose.simulate.truth import Person, faulty
from diagnose.study.play import Played, Unnoticed, play
from diagnose.walkthrough import Walk

SHOWN = 0.2
"""Probability from which "not in the book" is to be shown to the person."""

TRIES = 100


@dataclass(frozen=True)
class HeldOut:
    """One unknown fault, walked. leads: OTHER was named first; shown: it stood above SHOWN;
    mended: what was named has the right repair all the same; sure: another cause was stated so
    surely that the walk stopped for it."""

    mode: str
    leads: bool
    shown: bool
    mended: bool
    sure: bool
    played: Played


def without(shop: Shop, mode: str) -> Shop:
    """The same knowledge with one failure mode less."""
    kept = {name: m for name, m in shop.catalogue.failure_modes.items() if name != mode}
    return replace(shop, catalogue=replace(shop.catalogue, failure_modes=kept))


def held_out(bench: Bench, mode: str, seed: tuple[int, ...], person: Person) -> HeldOut | None:
    """Walk a rig that has `mode` with a book that lacks it; None if nobody ever complains."""
    shop = bench.shop
    blind = Bench.for_rig(bench.rig, without(shop, mode))
    for attempt in range(TRIES):
        truth = faulty(bench.model, [shop.catalogue.failure_modes[mode]], (*seed, attempt))
        try:
            return _outcome(
                mode, shop.repair[mode], play(Walk(blind), AtHome(truth), person, own), blind
            )
        except Unnoticed:
            continue
    return None


def _outcome(mode: str, repair: str, played: Played, blind: Bench) -> HeldOut:
    verdict = played.verdict
    leads = verdict.cause == OTHER
    return HeldOut(
        mode=mode,
        leads=leads,
        shown=verdict.other >= SHOWN,
        mended=verdict.repair == repair,
        sure=not leads and verdict.stated >= blind.model.figures.get("stop-at"),
        played=played,
    )
