"""The tables of the index, and how a case goes into them and comes out in brief."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from diagnose.casebook.brief import Brief, brief_of
from diagnose.casebook.record import Case, ComeBack
from diagnose.casebook.store import singly
from diagnose.errors import DiagnoseError, Place

FORM = 3
"""Of the tables; an index of another form is made anew."""

TABLES = (
    """CREATE TABLE file (
        file INTEGER PRIMARY KEY, path TEXT, changed INTEGER, size INTEGER, number INTEGER,
        problems TEXT)""",
    """CREATE TABLE brief (
        file INTEGER PRIMARY KEY, id TEXT, opened INTEGER, closed INTEGER, rig TEXT,
        topology TEXT, control TEXT, status TEXT, confirmed_by TEXT, cause TEXT, true_cause TEXT,
        place INTEGER, minutes REAL, questions INTEGER, parts TEXT, came_back TEXT)""",
    """CREATE TABLE finding (
        file INTEGER, test TEXT, answer TEXT, how TEXT, minutes REAL, moved REAL)""",
    "CREATE INDEX brief_id ON brief (id)",
    "CREATE INDEX finding_file ON finding (file)",
    "CREATE INDEX finding_test ON finding (test, how, answer, file, moved, minutes)",
)

Row = tuple[Any, ...]


def finding_rows(file: int, case: Case) -> Iterator[Row]:
    """A row a test: those answered, and those passed over."""
    for item in case.found:
        yield file, item.test, item.answer, "answered", item.minutes, item.moved
    for passed in case.passed_over:
        yield file, passed.test, "", passed.how, passed.minutes, None


def brief_row(file: int, case: Case) -> Row:
    """A case in brief; times as seconds since 1970, what is empty as an empty text."""
    brief = brief_of(case)
    returns = [[_seconds(back.at), _seconds(back.closed)] for back in brief.came_back]
    return (
        file,
        brief.id,
        _seconds(brief.opened),
        _seconds(brief.closed),
        brief.rig,
        brief.topology,
        brief.control,
        brief.status,
        brief.confirmed_by,
        brief.cause,
        brief.true_cause,
        brief.place,
        brief.minutes,
        brief.questions,
        json.dumps(brief.parts) if brief.parts else "",
        json.dumps(returns) if returns else "",
    )


def brief_from(row: Row) -> Brief:
    """The case of a row of the table brief."""
    _, name, opened, closed, *middle, parts, returns = row
    came_back = tuple(ComeBack(_time(at), _time(before)) for at, before in _list(returns))
    fields = [name, _time(opened), _time(closed), *middle, tuple(_list(parts)), came_back]
    return Brief(*fields)


def _list(text: str) -> list[Any]:
    return list(json.loads(text)) if text else []


def _seconds(at: datetime | None) -> int | None:
    return int(at.timestamp()) if at else None


def _time(seconds: int | None) -> Any:
    return None if seconds is None else datetime.fromtimestamp(seconds, UTC)


def problem_text(problem: DiagnoseError) -> str:
    """Every sentence with line and key; the file's own name may change."""
    places = [(single.message, single.place or Place("")) for single in singly(problem)]
    return json.dumps([[message, place.line, place.key] for message, place in places])


def problems_from(path: Path, text: str) -> Iterator[DiagnoseError]:
    """The problems again, of the file at `path`."""
    for message, line, key in _list(text):
        yield DiagnoseError(message, Place(str(path), line, key))
