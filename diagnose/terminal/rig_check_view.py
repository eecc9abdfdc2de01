"""How the findings on a rig's design look: a table, then each one with its sums."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.catalogue.records import Source
from diagnose.design.check import leaned_on
from diagnose.design.checklist import Item
from diagnose.design.checks_switch import cured
from diagnose.design.drawing import draw
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.recommend import Row
from diagnose.design.wording import n, q
from diagnose.reasoning import words
from diagnose.terminal.layout import NARROW, heading, items, rows
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.rig_size_screen import never_thinner, site_line, wire_table

if TYPE_CHECKING:
    from rich.console import RenderableType

STYLES = {
    Severity.UNSAFE: "bold red",
    Severity.SHOULD_CHANGE: "yellow",
    Severity.NOTE: "bold",
    Severity.FINE: "dim",
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
    """Everything, the unsafe first."""
    rig = report.plan.rig
    yield heading(screen, words.rig_line(rig))
    yield para(_summary(report.findings), "bold")
    yield para("")
    yield _table(screen, report.findings)
    for finding in report.findings:
        if finding.severity is not Severity.FINE:
            yield from _detail(screen, report, finding)
    yield from _stretches(screen, report.plan)
    yield para("")
    yield mark(f"Wire for {q(rig.pump_current, 'A')}, this rig's length first", "bold")
    yield wire_table(screen, report.wire)
    yield para(never_thinner(report.wire[0].protected, rig.main_fuse_rating), "dim")
    yield from _to_look_at(report)
    yield from _before_changing(report)
    yield para("")
    yield para(site_line(report.plan.site), "dim")
    yield para(f"Pumping between two charges: {n(report.plan.site.duty)} h.", "dim")
    if rig.assumed:
        yield para(f"Of the rig taken as usual: {words.usual(rig.assumed)}.", "dim")


def _summary(findings: Sequence[Finding]) -> str:
    count = Counter(finding.severity for finding in findings)
    return ", ".join(f"{count[one]} {one.value}" for one in Severity if count[one]) + "."


def _table(screen: Screen, findings: Sequence[Finding]) -> RenderableType:
    """One line a rule where there is room: how it stands, its name, what is, and the limit."""
    if screen.width < NARROW:
        stacked = [
            (f"{one.severity.value}: {one.id}\n  {one.figure}\n  limit: {one.limit}",)
            for one in findings
        ]
        return rows(stacked, [None], indent=0)
    head = ("", "rule", "this rig", "limit")
    cells = [(one.severity.value, one.id, one.figure, one.limit) for one in findings]
    return rows([head, *cells], [13, 20, 20, None], indent=0)


def _detail(screen: Screen, report: Report, finding: Finding) -> Iterator[RenderableType]:
    style = STYLES[finding.severity]
    yield para("")
    yield mark(f"{finding.severity.value}: {words.spaced(finding.id)}", style)
    yield para(finding.what, indent=2)
    yield from (para(sum_, "dim", indent=4) for sum_ in finding.working)
    if finding.change:
        yield para(f"Do: {finding.change}", indent=2)
    if left := leaned_on(report.plan.rig, finding):
        yield para(f"Taken as usual, so look at the rig first: {', '.join(left)}.", indent=2)
    source = report.sources.get(finding.source)
    yield para(f"From: {source.title if source else finding.source}", "dim", indent=2)
    if finding.id == CURED and finding.severity in (Severity.UNSAFE, Severity.SHOULD_CHANGE):
        yield para("")
        yield mark("The same rig with a relay:", "bold")
        ascii_only = not screen.console.encoding.startswith("utf")
        yield mark(draw(cured(report.plan), screen.width, ascii_only))


def _stretches(screen: Screen, plan: Plan) -> Iterator[RenderableType]:
    """Where the volts go, running and starting."""
    running, starting = plan.running, plan.starting
    yield para("")
    yield mark(f"Volts lost: running {q(running, 'A')}, starting {q(starting, 'A')}", "bold")
    total = [("whole way", "", plan.loop.ohms), ("battery inside", "", plan.battery_ohms)]
    lines = [(f"{one.start} {one.end}", one.parts, one.ohms) for one in plan.loop.stretches]
    found = [_stretch(plan, *line) for line in (*lines, *total)]
    if screen.width < NARROW:
        text = [(f"{where}: {run} V ({share} %)",) for where, _, _, run, share, _, _ in found]
        yield rows(text, [None])
        return
    head = ("between", "through", "mohm", "run V", "%", "start V", "%")
    yield rows([head, *found], [21, 17, 5, 5, 6, 7, 6], indent=0, right=[2, 3, 4, 5, 6])
    yield para("% of 12 V; ! is over 3 %, !! over 10 %.", "dim")


def _stretch(plan: Plan, where: str, parts: str, ohms: float) -> tuple[str, ...]:
    volts = (plan.running * ohms, plan.starting * ohms)
    cells = [(f"{lost:.2f}", _marked(plan, lost)) for lost in volts]
    return where, parts, f"{1000 * ohms:.1f}", *cells[0], *cells[1]


def _marked(plan: Plan, lost: float) -> str:
    share = lost / plan.nominal
    good, most = (plan.figures.get(name) for name in ("drop-critical", "drop-largest"))
    return f"{100 * share:.1f}{'!!' if share > most else '!' if share > good else ''}"


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
