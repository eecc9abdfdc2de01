"""The command rig check: what was found on a rig's design, and what is left to look at."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.catalogue.checklist import Item, checklist_for
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import Rig
from diagnose.design.ampacity import smallest_for
from diagnose.design.check import check, leaned_on, unsafe
from diagnose.design.finding import Finding, worst_first
from diagnose.design.plan import Plan
from diagnose.design.recommend import LENGTHS, Row, wire_rows
from diagnose.design.site import Site
from diagnose.design.wording import FOOT
from diagnose.terminal.json_records import Record, written
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Keyboard, Prompt, Talk, Word, ask, yes_or_no
from diagnose.terminal.rig.check_view import Report, view
from diagnose.terminal.rig.size import site_record, wire_record

CAUTIONS = ("battery-short", "never-larger-fuse", "water-and-mains", "local-codes")
"""What to mind before a rig is changed: ids of cautions."""

ANSWERS = "Answer yes, no or unknown; back goes to the one before, quit leaves the rest."

UNSAFE = 1
"""Exit status when something is unsafe."""


def checked(rig: Rig, where: Site, with_questions: bool, as_json: bool) -> int:
    """Check, show, and say by the exit status whether anything is unsafe. Raises DiagnoseError."""
    plan = Plan(Model.of(rig), where)
    items = checklist_for(plan.model)
    screen = Screen.standard()
    missed, items = _asked(Talk(screen, Keyboard()), items) if with_questions else ((), items)
    findings = worst_first([*check(plan), *missed])
    book = shipped_catalogue()
    told = [" ".join(book.cautions[name].text.split()) for name in CAUTIONS]
    report = Report(plan, findings, items, wire(plan), book.sources, told)
    if as_json:
        print(written(record(report), indent=2))
    else:
        screen.show(*view(screen, report))
    return UNSAFE if unsafe(findings) else 0


def wire(plan: Plan) -> tuple[Row, ...]:
    """Wire that this rig's fuse protects, for its length first, then for the usual ones."""
    own = plan.one_way
    protected = smallest_for(plan.fused, plan.site, plan.figures)
    others = [feet * FOOT for feet in LENGTHS if abs(feet * FOOT - own) > 0.01]
    return wire_rows(plan.running, [own, *others], protected, plan.figures)


def _asked(talk: Talk, items: Sequence[Item]) -> tuple[tuple[Finding, ...], tuple[Item, ...]]:
    """Findings for what was answered no, and the items that nobody could answer."""
    said: list[bool | Word] = []
    while len(said) < len(items):
        item = items[len(said)]
        talk.screen.say(f"{len(said) + 1} of {len(items)}: {item.ask}", "bold")
        answer = ask(talk, _question(talk, item))
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


def _question(talk: Talk, item: Item) -> Prompt[bool]:
    def why() -> None:
        talk.screen.say(item.why)

    def explained() -> None:
        talk.screen.say(f"{item.why} {ANSWERS}")

    return Prompt("yes, no, Enter for unknown", yes_or_no, explained, why, enter=Word.UNKNOWN)


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
