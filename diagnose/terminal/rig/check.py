"""The command rig check: what was found on a rig's design, and what is left to look at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.catalogue.checklist import Item, checklist_for
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Source
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, rig_called
from diagnose.design.ampacity import smallest_for
from diagnose.design.check import check as check_design
from diagnose.design.check import leaned_on, unsafe
from diagnose.design.checks_switch import cured
from diagnose.design.drawing import draw
from diagnose.design.finding import Finding, Severity, worst_first
from diagnose.design.plan import Plan
from diagnose.design.recommend import LENGTHS, Row, wire_rows
from diagnose.design.wording import FOOT, n, q
from diagnose.errors import one_line
from diagnose.reasoning import words
from diagnose.terminal.json_lines import Record, print_json
from diagnose.terminal.layout import NARROW, block, heading, items, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para
from diagnose.terminal.prompts import Keyboard, Prompt, Talk, Word, ask, yes_or_no
from diagnose.terminal.rig.size import (
    never_thinner,
    site_from,
    site_line,
    site_record,
    wire_record,
    wire_table,
)

CAUTIONS = ("battery-short", "never-larger-fuse", "water-and-mains", "local-codes")
"""What to mind before a rig is changed: ids of cautions."""

ANSWERS = "Answer yes, no or unknown; back goes to the one before, quit leaves the rest."

UNSAFE = 1
"""Exit status when something is unsafe."""

LOOKS = {
    Severity.UNSAFE: ("unsafe", "Unsafe: change it before the pump runs again", "bold red"),
    Severity.SHOULD_CHANGE: (
        "should change",
        "Should change: it will disappoint, wear out or blow its fuse",
        "yellow",
    ),
    Severity.NOTE: ("could be better", "Could be better", "bold"),
    Severity.FINE: ("in order", "In order", "dim"),
}
"""How findings of a severity are counted, headed and coloured."""

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


def check(rig: str, with_questions: bool, as_json: bool, **site: Any) -> int:
    """Check, show, and say by the exit status whether anything is unsafe. Raises DiagnoseError."""
    where = site_from(**site)
    plan, screen = Plan(Model.of(rig_called(rig)), where), Screen.standard()
    missed: tuple[Finding, ...] = ()
    left = checklist_for(plan.model)
    if with_questions:
        missed, left = _ask_all(Talk(screen, Keyboard()), left)
    findings, book = worst_first([*check_design(plan), *missed]), shipped_catalogue()
    told = [one_line(book.cautions[name].text) for name in CAUTIONS]
    report = Report(plan, findings, left, wire(plan), book.sources, told)
    if as_json:
        print_json(record(report))
    else:
        screen.show(*view(screen, report))
    return UNSAFE if unsafe(findings) else 0


def wire(plan: Plan) -> tuple[Row, ...]:
    """Wire that this rig's fuse protects, for its length first, then for the usual ones."""
    own = plan.one_way
    protected = smallest_for(plan.fused, plan.site, plan.figures)
    others = [feet * FOOT for feet in LENGTHS if abs(feet * FOOT - own) > 0.01]
    return wire_rows(plan.running, [own, *others], protected, plan.figures)


def _ask_all(talk: Talk, items: Sequence[Item]) -> tuple[tuple[Finding, ...], tuple[Item, ...]]:
    """Findings for what was answered no, and the items that nobody could answer."""
    said: list[bool | Word] = []
    while len(said) < len(items):
        item = items[len(said)]
        talk.screen.say(f"{len(said) + 1} of {len(items)}: {item.ask}", "bold")
        label, told = "yes, no, Enter for unknown", f"{item.why} {ANSWERS}"
        answer = ask(talk, Prompt(label, yes_or_no, told, item.why, enter=Word.UNKNOWN))
        if answer is Word.QUIT:
            break
        if answer is not Word.BACK:
            said.append(answer)
        elif said:
            said.pop()
        else:
            talk.screen.say("This is the first question.")
    answers = [*zip(items, said, strict=False)]
    missed = [item.missed() for item, answer in answers if answer is False]
    left = [item for item, answer in answers if isinstance(answer, Word)]
    return tuple(missed), (*left, *items[len(said) :])


def view(screen: Screen, report: Report) -> Iterator[Renderable]:
    """What must change and why, what could be better, what is in order; then the figures."""
    rig = report.plan.rig
    yield heading(screen, words.rig_line(rig))
    yield para(_summary(report.findings), "bold")
    for severity in Severity:
        yield from _group(screen, report, severity)
    if any(finding.change for finding in report.findings):
        yield from block("Before you change anything", *items(report.cautions))
    to_look_at = "To look at, since no sum shows it (rig check --ask asks one by one)"
    yield from block(to_look_at, *items(item.ask for item in report.items))
    yield from block("Where the volts go", *_stretches(screen, report.plan))
    thinnest = para(never_thinner(report.wire[0].protected, report.plan.fused), "dim")
    title = f"Wire for {q(rig.pump_current, 'A')}, this rig's length first"
    yield from block(title, wire_table(screen, report.wire), thinnest)
    yield para("")
    yield para(site_line(report.plan.site), "dim")
    yield para(f"Pumping between two charges: {n(report.plan.site.duty)} h.", "dim")
    if rig.assumed:
        yield para(f"Of the rig taken as usual: {words.usual(rig.assumed)}.", "dim")


def _summary(findings: Sequence[Finding]) -> str:
    """How it stands, the worst first."""
    count = Counter(finding.severity for finding in findings)
    told = ", ".join(f"{count[one]} {LOOKS[one][0]}" for one in Severity if count[one])
    if count[Severity.UNSAFE]:
        return f"Do not use it as it is: {told}."
    if count[Severity.SHOULD_CHANGE] or count[Severity.NOTE]:
        return f"Nothing unsafe by its sums: {told}."
    return f"By its sums it is well built: {told}."


def _group(screen: Screen, report: Report, severity: Severity) -> Iterator[Renderable]:
    """All findings of one severity; those that are in order in one block."""
    found = [one for one in report.findings if one.severity is severity]
    if not found:
        return
    _, head, style = LOOKS[severity]
    yield para("")
    yield mark(head, style)
    if severity is Severity.FINE:
        yield para("; ".join(f"{words.spaced(one.id)}: {one.figure}" for one in found), indent=2)
        return
    for finding in found:
        yield from _detail(screen, report, finding)


def _detail(screen: Screen, report: Report, finding: Finding) -> Iterator[Renderable]:
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
        yield mark(draw(better, screen.width, screen.ascii_only))


def _stretches(screen: Screen, plan: Plan) -> Iterator[Renderable]:
    """Where the volts go, running and starting."""
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


def record(report: Report) -> Record:
    """The same as one JSON object."""
    plan = report.plan
    return {
        "type": "check",
        "rig": plan.rig.name,
        "unsafe": unsafe(report.findings),
        "findings": [_finding(plan.rig, finding) for finding in report.findings],
        "stretches": [
            {
                "points": [stretch.start, stretch.end],
                "parts": stretch.parts,
                "ohms": stretch.ohms,
                "running_volts": plan.lost(stretch),
                "starting_volts": (plan.starting + plan.loads.on(stretch)) * stretch.ohms,
            }
            for stretch in plan.loop.stretches
        ],
        "running_current": plan.running,
        "starting_current": plan.starting,
        "wire": [wire_record(row) for row in report.wire],
        "checklist": [{"id": item.id, "ask": item.ask, "why": item.why} for item in report.items],
        "site": site_record(plan.site),
        "leaned_on": [*plan.rig.assumed],
        "cautions": [*report.cautions],
    }


def _finding(rig: Rig, finding: Finding) -> Record:
    return {
        "id": finding.id,
        "severity": finding.severity.value,
        "what": finding.what,
        "figure": finding.figure,
        "limit": finding.limit,
        "change": finding.change,
        "working": [*finding.working],
        "source": finding.source,
        "leaned_on": [*leaned_on(rig, finding)],
    }
