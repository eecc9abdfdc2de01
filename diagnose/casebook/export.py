"""Cases for other programs: a table as CSV, or whole cases as JSON Lines. What somebody wrote in
words of their own comes only when asked for; it may be personal."""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import replace

from diagnose.casebook.case_fields import line, value_text, written_time
from diagnose.casebook.case_file import case_values
from diagnose.casebook.record import Case, ReadAt, Verification
from diagnose.catalogue.records import Catalogue

_IDENTITY = ("id", "opened", "closed", "status", "confirmed_by", "rig", "topology", "control")
_FINDINGS = ("complaint", "seen", "read", "minutes", "questions")
_CAUSES = ("cause", "probability", "true_cause", "true_words", "root_cause")
_MENDING = ("repair", "parts", "verification", "came_back", "knowledge")
COLUMNS = (*_IDENTITY, *_FINDINGS, *_CAUSES, *_MENDING, "notes")
_ONLY_WORDS = {"true_words", "notes"}
"""Columns that hold nothing but somebody's own words."""

_BEGINS_A_FORMULA = ("=", "+", "-", "@", "−", "\t", "\r", "\n")
"""What begins a formula for some spreadsheet, in whatever width the sign is written."""


def json_lines(cases: Iterable[Case], book: Catalogue | None = None) -> Iterator[str]:
    """Each case as one line of JSON (RFC 8259), with the keys and values of its file.

    book: only what is said in its words comes; None for everything
    """
    for case in cases:
        yield json.dumps(case_values(case if book is None else in_its_words(case, book))) + "\n"


def csv_lines(cases: Iterable[Case], book: Catalogue | None = None) -> Iterator[str]:
    """A heading and a line a case, as RFC 4180 has it, line ends included; book as above.

    A text that a spreadsheet would take for a formula is led by an apostrophe.
    """
    columns = [name for name in COLUMNS if book is None or name not in _ONLY_WORDS]
    yield _csv_line(columns)
    for case in cases:
        values = _flat(case if book is None else in_its_words(case, book))
        yield _csv_line([_cell(values[column]) for column in columns])


def in_its_words(case: Case, book: Catalogue) -> Case:
    """The case without anything that somebody wrote in words of their own: notes, the complaint,
    what it was, what was behind it, what was fitted. What the book says in the same words stays."""
    modes = book.failure_modes.values()
    causes = {line(one.cause) for mode in modes for one in mode.root_causes}
    parts = {line(part) for mode in modes for part in mode.parts}
    kept = case.root_cause in causes
    return replace(
        case,
        notes="",
        true_words="",
        complaint=tuple(said for said in case.complaint if said in book.complaints),
        parts=tuple(part for part in case.parts if part in parts),
        root_cause=case.root_cause if kept else "",
        root_cause_seen=case.root_cause_seen and kept,
    )


def _csv_line(cells: Iterable[object]) -> str:
    row = io.StringIO()
    csv.writer(row).writerow(cells)
    return row.getvalue()


def _cell(value: object) -> object:
    """A value as a spreadsheet may have it. Signs of double width, small and raised ones count as
    the plain ones that Unicode says they stand for (NFKC)."""
    if isinstance(value, str):
        plain = unicodedata.normalize("NFKC", value).lstrip(" ")
        if plain.startswith(_BEGINS_A_FORMULA):
            return f"'{value}"
    return value


def _flat(case: Case) -> dict[str, object]:
    """A case as one row: lists as texts with semicolons between."""
    ranking = dict(case.ranking)
    return {
        "id": case.id,
        "opened": written_time(case.opened),
        "closed": written_time(case.closed) if case.closed else "",
        "status": case.status,
        "confirmed_by": case.confirmed_by,
        "rig": case.rig.name,
        "topology": case.rig.topology,
        "control": case.rig.control,
        "complaint": "; ".join(case.complaint),
        "cause": case.cause,
        "probability": ranking.get(case.cause, ""),
        "true_cause": case.true_cause,
        "true_words": case.true_words,
        "root_cause": case.root_cause,
        "repair": case.repair,
        "parts": "; ".join(case.parts),
        "minutes": case.minutes,
        "questions": case.questions,
        "seen": "; ".join(f"{item.observation}={item.option}" for item in case.seen),
        "read": "; ".join(map(_reading, case.read)),
        "verification": _reading(case.verification) if case.verification else "",
        "came_back": len(case.came_back),
        "knowledge": case.knowledge,
        "notes": case.notes,
    }


def _reading(item: ReadAt | Verification) -> str:
    return f"{item.reading} = {item.typed or value_text(item.value, item.reading)}"
