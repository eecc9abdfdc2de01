"""Cases for other programs: a table as CSV, or whole cases as JSON Lines; notes only when asked."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator

from diagnose.casebook.case_file import case_values, value_text, written_time
from diagnose.casebook.record import Case, ReadAt, Verification

_IDENTITY = ("id", "opened", "closed", "status", "confirmed_by", "rig", "topology", "control")
_FINDINGS = ("complaint", "seen", "read", "minutes", "questions")
_CAUSES = ("cause", "probability", "true_cause", "true_words", "root_cause")
_MENDING = ("repair", "parts", "verification", "came_back", "knowledge")
COLUMNS = (*_IDENTITY, *_FINDINGS, *_CAUSES, *_MENDING)
_BEGINS_A_FORMULA = ("=", "+", "-", "@")


def json_lines(cases: Iterable[Case], notes: bool = False) -> Iterator[str]:
    """Each case as one line of JSON (RFC 8259), with the keys and values of its file."""
    for case in cases:
        values = case_values(case)
        if not notes:
            values.pop("notes", None)
        yield json.dumps(values) + "\n"


def csv_lines(cases: Iterable[Case], notes: bool = False) -> Iterator[str]:
    """A heading and a line a case, as RFC 4180 has it, line ends included.

    A text that a spreadsheet would take for a formula is led by an apostrophe.
    """
    columns = [*COLUMNS, "notes"] if notes else COLUMNS
    yield _csv_line(columns)
    for case in cases:
        values = _flat(case)
        yield _csv_line([_cell(values[column]) for column in columns])


def _csv_line(cells: Iterable[object]) -> str:
    line = io.StringIO()
    csv.writer(line).writerow(cells)
    return line.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, str) and value.startswith(_BEGINS_A_FORMULA):
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
