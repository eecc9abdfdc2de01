"""How the findings on a rig's design look: a table, then each one with its sums."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.catalogue.checklist import Item
from diagnose.catalogue.records import Source
from diagnose.design.check import leaned_on
from diagnose.design.checks_switch import cured
from diagnose.design.drawing import draw
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.recommend import Row
from diagnose.design.wording import n, q
from diagnose.reasoning import words
from diagnose.terminal.layout import NARROW, heading, items, rows
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.rig.size import never_thinner, site_line, wire_table

if TYPE_CHECKING:
    from rich.console import RenderableType

STYLES = {
    Severity.UNSAFE: "bold red",
    Severity.SHOULD_CHANGE: "yellow",
    Severity.NOTE: "bold",
    Severity.FINE: "dim",
}
HEADS = {
    Severity.UNSAFE: "Unsafe: change it before the pump runs again",
    Severity.SHOULD_CHANGE: "Should change: it will disappoint, wear out or blow its fuse",
    Severity.NOTE: "Could be better",
    Severity.FINE: "In order",
}
SUMMED = {
    Severity.UNSAFE: "unsafe",
    Severity.SHOULD_CHANGE: "should change",
    Severity.NOTE: "could be better",
    Severity.FINE: "in order",
}
CURED = "switch-carries-motor"
"""The finding whose cure is a circuit of its own, which is drawn."""


@dataclass(frozen=True)
class Report:
    """A rig with its findings; items: what only a look can tell; wire: by length; sources: by
    key; cautions: what to mind before anything is changed."""

    plan: Plan
    findings: Sequence[Finding]
    items: Sequence[Item]
    wire: Sequence[Row]
    sources: Mapping[str, Source]
    cautions: Sequence[str]


def view(screen: Screen, report: Report) -> Iterator[RenderableType]:
    """What must change and why, what could be better, what is in order; then the figures."""
    rig = report.plan.rig
    yield heading(screen, words.rig_line(rig))
    yield para(_summary(report.findings), "bold")
    for severity in Severity:
        yield from _group(screen, report, severity)
    yield from _before_changing(report)
    yield from _to_look_at(report)
    yield from _stretches(screen, report.plan)
    yield para("")
    yield mark(f"Wire for {q(rig.pump_current, 'A')}, this rig's length first", "bold")
    yield wire_table(screen, report.wire)
    yield para(never_thinner(report.wire[0].protected, report.plan.fused), "dim")
    yield para("")
    yield para(site_line(report.plan.site), "dim")
    yield para(f"Pumping between two charges: {n(report.plan.site.duty)} h.", "dim")
    if rig.assumed:
        yield para(f"Of the rig taken as usual: {words.usual(rig.assumed)}.", "dim")


def _summary(findings: Sequence[Finding]) -> str:
    """How it stands, the worst first."""
    count = Counter(finding.severity for finding in findings)
    told = ", ".join(f"{count[one]} {SUMMED[one]}" for one in Severity if count[one])
    if count[Severity.UNSAFE]:
        return f"Do not use it as it is: {told}."
    if count[Severity.SHOULD_CHANGE] or count[Severity.NOTE]:
        return f"Nothing unsafe by its sums: {told}."
    return f"By its sums it is well built: {told}."


def _group(screen: Screen, report: Report, severity: Severity) -> Iterator[RenderableType]:
    """All findings of one severity; those that are in order in one block."""
    found = [one for one in report.findings if one.severity is severity]
    if not found:
        return
    yield para("")
    yield mark(HEADS[severity], STYLES[severity])
    if severity is Severity.FINE:
        yield para("; ".join(f"{words.spaced(one.id)}: {one.figure}" for one in found), indent=2)
        return
    for finding in found:
        yield from _detail(screen, report, finding)


def _detail(screen: Screen, report: Report, finding: Finding) -> Iterator[RenderableType]:
    """One finding: what to do, why, the sums, and where the limit comes from."""
    yield mark(f"- {words.spaced(finding.id)}", "bold")
    if finding.change:
        yield para(f"Do: {finding.change}", indent=2)
    yield para(f"Why: {finding.what}", indent=2)
    yield para(f"This rig: {finding.figure}. Wanted: {finding.limit}.", indent=2)
    yield from (para(sum_, "dim", indent=4) for sum_ in finding.working)
    if left := leaned_on(report.plan.rig, finding):
        yield para(f"Taken as usual, so look at the rig first: {words.usual(left)}.", indent=2)
    source = report.sources.get(finding.source)
    yield para(f"From: {source.title if source else finding.source}", "dim", indent=2)
    better = cured(report.plan)
    bad = finding.severity in (Severity.UNSAFE, Severity.SHOULD_CHANGE)
    if finding.id == CURED and bad and better is not report.plan.rig:
        yield para("")
        yield mark("The same rig with a relay:", "bold")
        ascii_only = not screen.console.encoding.startswith("utf")
        yield mark(draw(better, screen.width, ascii_only))


def _stretches(screen: Screen, plan: Plan) -> Iterator[RenderableType]:
    """Where the volts go, running and starting."""
    yield para("")
    yield mark("Where the volts go", "bold")
    found = [*_lost(plan)]
    if screen.width < NARROW:
        text = [(f"{where}: {run} V ({share} %)",) for where, _, _, run, share, _ in found]
        yield rows(text, [None])
    else:
        head = ("between", "through", "mohm", "run V", "%", "start V")
        yield rows([head, *found], [22, 22, 5, 5, 5, 7], indent=0, right=[2, 3, 4, 5])
    fair, most = (100 * plan.figures.get(name) for name in ("drop-fair", "drop-largest"))
    yield para(
        f"Running at {q(plan.running, 'A')}, % of {q(plan.nominal, 'V')}: the whole way is fair "
        f"with {n(fair)} %, and {n(most)} % is the most. Starting at {q(plan.starting, 'A')}, for "
        "some hundredths of a second, it may lose far more.",
        "dim",
    )


def _lost(plan: Plan) -> Iterator[tuple[str, ...]]:
    """Each stretch of the way, all of it, and the battery itself; other loads counted in."""
    for one in plan.loop.stretches:
        amps = plan.loads.on(one)
        yield _row(plan, f"{one.start} {one.end}", one.parts, one.ohms, amps * one.ohms)
    yield _row(plan, "whole way", "", plan.loop.ohms, plan.loads.volts())
    inside = plan.battery_ohms
    yield _row(plan, "battery inside", "", inside, plan.loads.amps * inside)


def _row(plan: Plan, where: str, parts: str, ohms: float, others: float) -> tuple[str, ...]:
    """others: volts that other loads take there [V]."""
    run, start = (amps * ohms + others for amps in (plan.running, plan.starting))
    share = f"{100 * run / plan.nominal:.1f}"
    return where, parts, f"{1000 * ohms:.1f}", f"{run:.2f}", share, f"{start:.2f}"


def _before_changing(report: Report) -> Iterator[RenderableType]:
    if not any(finding.change for finding in report.findings):
        return
    yield para("")
    yield mark("Before you change anything", "bold")
    yield from items(report.cautions)


def _to_look_at(report: Report) -> Iterator[RenderableType]:
    if not report.items:
        return
    yield para("")
    yield mark("To look at, since no sum shows it (rig check --ask asks one by one)", "bold")
    yield from items(item.ask for item in report.items)
