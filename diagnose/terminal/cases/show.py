"""The command `cases show`: everything about one case, in the order in which it happened."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.casebook.proving import LOADED, doubt
from diagnose.casebook.proving import shown as proven
from diagnose.casebook.record import Case, ReadAt, SeenAt, Verification
from diagnose.casebook.store import Casebook
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.stops import ActiveStop
from diagnose.report.case_html import behind, standing_in
from diagnose.terminal.layout import NARROW, block, heading, items, rows
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.stops import stop_view

if TYPE_CHECKING:
    from rich.console import RenderableType

LIKELY = 0.01
"""Probability from which a failure mode of the ranking is shown."""

MOVED = ((1.0, "much"), (0.3, "some"), (0.05, "a little"), (float("-inf"), "hardly"))
"""Words for how far an answer moved the ranking, from these values up; 1 is as much as settles one
even choice of two."""

CONFIRMED = {
    "none": "not confirmed",
    "verification": "confirmed by the reading after the repair",
    "part-swapped": "confirmed by the part that was swapped",
}


def shown(folder: Path | None, name: str) -> None:
    """Raises DiagnoseError: no such case, or a broken file."""
    casebook, screen = Casebook.open(folder), Screen.standard()
    case = casebook.load(casebook.find(name))
    screen.show(*view(screen, case, shipped_catalogue()))


def view(screen: Screen, case: Case, book: Catalogue) -> Iterator[RenderableType]:
    """The blocks of a case; what it does not hold is left out."""
    yield heading(screen, case.id)
    for stop in standing_in(case, book):
        yield from stop_view(ActiveStop(stop))
    yield mark(words.rig_line(case.rig))
    yield mark(_status(case))
    named = (
        ("What the customer said", items(_said(case, book))),
        (_taken_for(case), [*_cause(case, book)]),
        ("Seen and read, and how far it moved the ranking", [*_findings(screen, case)]),
        ("What this says", items(case.findings)),
        ("Stops", items(_stops(case, book))),
        ("Passed over", items(f"{words.of_test(one.test)}: {one.how}" for one in case.passed_over)),
        ("Ranking at the end", [*_ranking(screen, case, book)]),
        ("Repair", [*_repair(case, book)] if case.looked_into else []),
        ("Came back", items(_returns(case))),
        ("Notes", [para(case.notes, indent=2)] if case.notes else []),
        ("Values of the rig that were taken as usual", items(_assumed(case))),
    )
    for title, body in named:
        part = block(screen, title, body)
        if part is not None:
            yield part
    yield para("")
    yield para(f"{_spent(case)} Knowledge {case.knowledge}. Times are UTC.", "dim")


def titled(book: Catalogue, mode: str) -> str:
    """A failure mode in words with its id; the bare id where today's book has none."""
    if mode == OTHER:
        return "Not in the book"
    known = book.failure_modes.get(mode)
    return f"{known.title} ({mode})" if known else mode


def moment(at: datetime) -> str:
    """A time to the minute."""
    return f"{at:%Y-%m-%d %H:%M}"


def _status(case: Case) -> str:
    end = f", closed {moment(case.closed)}, {CONFIRMED[case.confirmed_by]}" if case.closed else ""
    return f"Opened {moment(case.opened)}{end or f', {case.status}'}."


def _stops(case: Case, book: Catalogue) -> Iterator[str]:
    """What stopped the work, and whether it was made safe."""
    for one in case.stops:
        known = book.stops.get(one.stop)
        named = f"{known.title} ({one.stop})" if known else one.stop
        if one.lifted:
            yield f"{named}: made safe {moment(one.lifted)}."
        else:
            yield f"{named}: it stands."


def _taken_for(case: Case) -> str:
    return "What it was taken for" if case.status == "reopened" else "What it was"


def _said(case: Case, book: Catalogue) -> Iterator[str]:
    for said in case.complaint:
        known = book.complaints.get(said)
        yield known.say if known else said


def _cause(case: Case, book: Catalogue) -> Iterator[RenderableType]:
    if case.true_cause:
        yield para(f"{titled(book, case.true_cause)}.", "bold", indent=2)
    if case.true_words:
        yield para(case.true_words, indent=2)
    if not case.looked_into:
        yield para("Nothing was asked after the complaint, so there is no diagnosis.", indent=2)
        return
    if case.true_cause == case.cause:
        yield para("The walk had ended on the same.", indent=2)
    else:
        so_far = "The walk had ended on" if case.true_cause else "Not known yet; the walk ended on"
        yield para(f"{so_far}: {titled(book, case.cause)}.", indent=2)
    if said := behind(case):
        yield para(said, indent=2)


def _findings(screen: Screen, case: Case) -> Iterator[RenderableType]:
    """What was found, and how far each moved the ranking."""
    shown = [(_moved(item), *_finding(item)) for item in case.found]
    if not shown:
        return
    if screen.width < NARROW:
        stacked = [(moved, f"{test}: {answer}") for moved, test, answer in shown]
        yield rows(stacked, [8, None], right=[0])
        return
    yield rows(shown, [8, 38, None], right=[0])


def _moved(item: SeenAt | ReadAt) -> str:
    if item.moved is None:
        return ""
    return next(said for least, said in MOVED if item.moved >= least)


def _finding(item: SeenAt | ReadAt) -> tuple[str, str]:
    sure = ", twice" if item.sure else ""
    if isinstance(item, SeenAt):
        return words.spaced(item.observation), f"{words.spaced(item.option)}{sure}"
    sound = words.band(item.low, item.high, item.reading)
    value = item.typed or words.value(item.value, item.reading)
    return in_words(item.reading), f"{value}, {item.verdict}{sure} (sound: {sound})"


def _ranking(screen: Screen, case: Case, book: Catalogue) -> Iterator[RenderableType]:
    cells = 12 if screen.width >= NARROW else 5
    shown = [
        (words.per_cent(p), screen.bar(p, cells), titled(book, mode))
        for mode, p in case.ranking
        if p >= LIKELY
    ]
    if shown:
        yield rows(shown, [5, cells, None], styles=["", "cyan", ""], right=[0])


def _repair(case: Case, book: Catalogue) -> Iterator[RenderableType]:
    known = book.failure_modes.get(case.true_cause or case.cause)
    yield from items([words.spaced(known.repair if known else case.repair)])
    if case.parts:
        yield from items([f"Parts: {', '.join(case.parts)}"])
    if case.verification:
        yield from items([_proof(case.verification)])


def _proof(proof: Verification) -> str:
    band = words.band(proof.low, proof.high, proof.reading)
    how = "within" if proof.within else "outside"
    load = f" ({LOADED[proof.load]})" if proof.load else ""
    said = f"Then {in_words(proof.reading)} read {proven(proof)}{load}, {how} {band}"
    return f"{said}. {doubt(proof)}" if doubt(proof) else said


def _returns(case: Case) -> Iterator[str]:
    for back in case.came_back:
        after = "" if back.days is None else f", {back.days} days after it was closed"
        yield f"{moment(back.at)}{after}"


def _assumed(case: Case) -> Sequence[str]:
    return [words.usual(case.rig.assumed)] if case.rig.assumed else []


def _spent(case: Case) -> str:
    count = f"{case.questions} question{'s' * (case.questions != 1)}"
    return f"{count}, {words.time(case.minutes)}."
