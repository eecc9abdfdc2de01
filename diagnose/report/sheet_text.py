"""A build sheet as plain text, for a printer or a wall: 80 columns, letters that every one has."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from diagnose.design.drawing import draw
from diagnose.errors import harmless
from diagnose.report.sheet import Change, Sheet

WIDE, NAME, VALUE = 80, 34, 22
"""Columns of the sheet, of the name of a part, and of its rating."""

BLANK, LONG = "_" * 10, "_" * 18
"""Room to write: a value or a date, and a name."""


def sheet_text(sheet: Sheet, ascii_only: bool = False) -> str:
    """The whole sheet."""
    lines = [row for part in _sections(sheet, ascii_only) for row in part]
    return "\n".join(row.rstrip() for row in lines).strip() + "\n"


def _sections(sheet: Sheet, ascii_only: bool) -> Iterator[Iterable[str]]:
    yield _head(sheet)
    yield draw(sheet.rig, WIDE, ascii_only).split("\n")[1:]
    yield _titled("Parts, along the copper", _parts(sheet))
    yield _titled("Wire, crimps and fuses", _wire(sheet))
    yield _titled("What it should read, asked to run, black on battery-", _points(sheet))
    yield _titled("Read it while it is new, and keep it: diagnose rig record", _readings(sheet))
    yield _titled(f"Checks: {sheet.verdict}", _checks(sheet))
    yield _titled("To look at when it is built", _list(sheet.look, "[ ]"))
    yield _titled("Cautions", _list(sheet.cautions, "!"))
    if sheet.usual:
        keys = ", ".join(key.replace(".", " ").replace("_", " ") for key in sheet.usual)
        yield _titled("Taken as usual, not from the rig file", _wrapped(keys, "  "))


def _head(sheet: Sheet) -> Iterator[str]:
    name = harmless(sheet.rig.name, 200)
    yield from wrap(f"Build sheet: {name}", WIDE)
    yield from wrap(sheet.about, WIDE)
    yield f"Built by {LONG}  on {BLANK}  looked over by {LONG}"


def _titled(title: str, body: Iterable[str]) -> Iterator[str]:
    yield ""
    yield from wrap(title.upper() if len(title) < 40 else title, WIDE)
    yield from body


def _parts(sheet: Sheet) -> Iterator[str]:
    for number, one in enumerate(sheet.parts, 1):
        first = f"{number:3}  {harmless(one.what, 30):<{NAME - 3}}{one.rating:<{VALUE - 2}}"
        yield from _hung(first, one.note)


def _hung(first: str, note: str) -> Iterator[str]:
    """A note behind the first columns; what does not fit stands below."""
    rows = wrap(note, WIDE - len(first)) or [""]
    yield f"{first}{rows[0]}"
    for row in rows[1:]:
        yield " " * len(first) + row


def _wire(sheet: Sheet) -> Iterator[str]:
    for told in sheet.wire:
        yield from _wrapped(told, "  ")
    sizes = dict.fromkeys(run.size for run in sheet.runs)
    for size in sizes:
        ends = [f"{run.start} to {run.end}" for run in sheet.runs if run.size == size]
        yield from _wrapped(f"{size}: {'; '.join(ends)}.", "  ")


def _points(sheet: Sheet) -> Iterator[str]:
    yield from _wrapped(sheet.held, "  ")
    half = (len(sheet.points) + 1) // 2
    left, right = _column(sheet.points[:half]), [*_column(sheet.points[half:]), ""]
    column = max(map(len, left))
    beside = column + max(map(len, right)) <= WIDE
    yield from (
        (f"{one:<{column}}{other}" for one, other in zip(left, right, strict=False))
        if beside
        else (*left, *right)
    )


def _column(points: Sequence[tuple[str, str]]) -> list[str]:
    width = max((len(name) for name, _ in points), default=0) + 1
    return [f"  {_two(*one, width)}" for one in points]


def _two(name: str, value: str, width: int) -> str:
    return f"{name:<{width}}{value}" if len(name) < width else f"{name}  {value}"


def _checks(sheet: Sheet) -> Iterator[str]:
    for one in sheet.changes:
        yield from _change(one)
    yield from _list(sheet.notes, "-")
    if sheet.passed:
        yield from _wrapped(f"Passed: {', '.join(sheet.passed)}.", "  ")


def _change(one: Change) -> Iterator[str]:
    mark = "UNSAFE" if one.unsafe else "Change"
    usual = f" Taken as usual, so look first: {', '.join(one.usual)}." if one.usual else ""
    yield from _wrapped(f"{mark}: {one.name}. {one.what} {one.do}{usual}", "  ")


def _readings(sheet: Sheet) -> Iterator[str]:
    """Each reading with what a sound rig shows, and room for what this one does."""
    for name, sound in sheet.readings:
        yield f"  {_two(name, sound, 46):<66}{BLANK}"


def _list(texts: Iterable[str], mark: str) -> Iterator[str]:
    for text in texts:
        yield from _wrapped(text, f"  {mark} ")


def _wrapped(text: str, start: str) -> list[str]:
    return wrap(text, WIDE, initial_indent=start, subsequent_indent=" " * len(start))
