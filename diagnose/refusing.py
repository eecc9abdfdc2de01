"""Findings that cannot be together, and findings that say the same again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from diagnose.bench import Bench
from diagnose.catalogue.rule_records import ThenReject
from diagnose.reasoning.consistency import voltages_above_battery
from diagnose.reasoning.evidence import Evidence, Measured, gap, latest
from diagnose.reasoning.posterior import Posterior, suspects
from diagnose.reasoning.rules.conclusions import Firing, Symbols, symbols_of


def symbols(bench: Bench, evidence: Iterable[Evidence], belief: Posterior | None) -> Symbols:
    """What is known, as the rules read it; without a belief nothing is suspected."""
    suspected = suspects(belief) if belief else {}
    return symbols_of(evidence, bench.healthy, bench.hypotheses.facts, suspected)


def settled(bench: Bench, evidence: Iterable[Evidence], item: Evidence) -> Evidence:
    """The same finding, sure when an earlier answer to its test was alike."""
    before = next((old for old in evidence if old.id == item.id), None)
    return replace(item, sure=True) if before and _alike(bench, before, item) else item


def _alike(bench: Bench, a: Evidence, b: Evidence) -> bool:
    if isinstance(a, Measured) and isinstance(b, Measured):
        meter = bench.shop.catalogue.quantities[a.reading.quantity]
        return gap(a, b) <= 3 * meter.absolute + 0.05 * abs(a.value)
    return a == b or replace(a, sure=False) == b


def refusals(bench: Bench, evidence: Iterable[Evidence], item: Evidence) -> Iterator[str]:
    """Why one finding cannot be beside the others, in sentences; nothing where it can."""
    everything = latest([*evidence, item])
    conclusions = bench.shop.refusals.run(symbols(bench, everything, None))
    for rejection in conclusions.rejections:
        if item.id == rejection.then.name or _involves(rejection, item):
            yield f"{rejection.because} Look again; the same answer will stand."
    for one, battery, said in voltages_above_battery(everything, bench.shop.catalogue):
        if item.id in (one.id, battery.id):
            yield f"{said} The same answer will stand."


def _involves(rejection: Firing[ThenReject], item: Evidence) -> bool:
    return any(fact.name == item.id for fact in rejection.facts)
