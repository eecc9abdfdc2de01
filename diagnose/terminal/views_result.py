"""What a walk comes to, in blocks: cause, cause behind it, fix, proof, and why."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.outcome import Cause, Proof, Result, cause_title
from diagnose.reasoning import words
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.spoken import foremost
from diagnose.terminal.layout import block, heading, items
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.shop_cases import said_here
from diagnose.terminal.stop_screen import reminder_view
from diagnose.terminal.views_question import fit_line, ranking_view

if TYPE_CHECKING:
    from rich.console import RenderableType

REASONS, OTHERS, CAUSES = 5, 4, 4
"""Reasons, other failure modes and root causes that are shown."""


def result_view(screen: Screen, bench: Bench, result: Result) -> Iterator[RenderableType]:
    """The blocks of a result, in the order in which they are needed."""
    yield from reminder_view(result.stops)
    yield from _cause(screen, bench, result)
    named = (
        ("What this says", items(one.text for one in foremost(result.findings))),
        ("Or it could be", [*_others(screen, bench, result)]),
        ("Before the new part goes in", [*_behind(bench, result)]),
        ("Why it came about", [*_root_causes(result)]),
        ("Cautions", items(result.cautions, "!")),
        ("What to do", items(result.fix, "1")),
        ("Parts", items(result.parts)),
        ("Proof that it is mended", [*_proof(result)]),
        ("So that it does not come back", items(result.prevention)),
        ("Why this cause", items(result.because[:REASONS])),
        ("Values of the rig that were taken as usual", [*_leaned_on(result)]),
    )
    for title, body in named:
        part = block(screen, title, body)
        if part is not None:
            yield part


def _cause(screen: Screen, bench: Bench, result: Result) -> Iterator[RenderableType]:
    yield heading(screen, f"It comes to: {cause_title(bench, result.cause)}")
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    if mode is not None:
        yield mark(" ".join(mode.about.split()))
    yield mark(_odds(result), "bold")
    if said := said_here(bench, result.cause):
        yield para(f"{said} confirmed cases were this.".capitalize())
    if result.why_stopped:
        yield para(f"Asking ended here: {result.why_stopped}.", "dim")


def _odds(result: Result) -> str:
    probability = words.per_cent(result.repair_probability)
    said = words.chance(result.repair_probability)
    if result.cause == OTHER:
        return f"Probability that it is nothing of the book: {probability}, {said}."
    return f"This repair ({words.spaced(result.repair)}) cures it: {probability}, {said}."


def _others(screen: Screen, bench: Bench, result: Result) -> Iterator[RenderableType]:
    """The failure modes next in line, with those that the same repair mends marked."""
    rest = [(name, p) for name, p in result.ranking if name not in (result.cause, OTHER)][:OTHERS]
    likely = [(name, p) for name, p in rest if p >= 0.01]
    if likely:
        yield ranking_view(screen, bench, likely, OTHERS)
    same = [name for name, _ in likely if bench.shop.repair.get(name) == result.repair]
    if same:
        titles = ", ".join(cause_title(bench, name) for name in same)
        yield para(f"The same repair mends: {titles}.", indent=2)
    yield para(fit_line(result.unknown, result.fit), "" if result.fit.fits else "yellow", indent=2)
    for first, second, p in result.pairs[:2]:
        both = f"{cause_title(bench, first)} and {cause_title(bench, second)}"
        yield para(f"Two faults at once: {both}, {words.per_cent(p)}.", indent=2)


def _behind(bench: Bench, result: Result) -> Iterator[RenderableType]:
    """What the failure mode is often the result of, and what to measure first."""
    measures = [cause.measure for cause in result.root_causes if cause.measure]
    if not result.behind and not measures:
        return
    if result.behind:
        yield para("This is often a result. Rule out first:", indent=2)
        yield from items(
            f"{cause_title(bench, name)} ({words.per_cent(p)})" for name, p in result.behind[:5]
        )
    yield from items(f"Measure {measure}." for measure in dict.fromkeys(measures))


def _root_causes(result: Result) -> Iterator[RenderableType]:
    for cause in result.root_causes[:CAUSES]:
        yield from items([_root_cause(cause)])


def _root_cause(cause: Cause) -> str:
    said = f"{cause.cause.strip().rstrip('.')}. Mend: {cause.mend.strip().rstrip('.')}."
    return said if not cause.because else f"{said} ({cause.because.strip()})"


def _proof(result: Result) -> Iterator[RenderableType]:
    if result.verify is None:
        yield para("Nothing of the book fits, so no single reading proves the repair.", indent=2)
        return
    yield para(proof_sentence(result.verify), indent=2)
    yield para(result.verify.why.strip(), indent=2)


def proof_sentence(proof: Proof) -> str:
    """The reading to take after the repair, with its band."""
    return f"{proof.reading} reads {words.band(proof.low, proof.high, proof.reading)}."


def _leaned_on(result: Result) -> Iterator[RenderableType]:
    if result.leaned_on:
        yield para(", ".join(result.leaned_on), indent=2)
