"""What was recorded of a rig, and how it narrows what the rig should read from now on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.reasoning import words
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import value_words
from diagnose.terminal.layout import NARROW, rows
from diagnose.terminal.plain import Screen, mark, para

if TYPE_CHECKING:
    from rich.console import RenderableType


def recorded_view(
    screen: Screen, path: Path, rig_file: Path, whole: CommissioningRecord, own: Healthy
) -> Iterator[RenderableType]:
    """Where it stands, and each reading beside what a sound rig and this one should show."""
    days = len(whole.days)
    over = "one day" if days == 1 else f"{days} days"
    yield para(f"Recorded: {path}, {whole.count} readings of {over}.")
    yield para("")
    yield mark("What was read, and what is to be read while the rig is well", "bold")
    latest = {item.id: item for day in whole.days for item in day.read}
    yield _table(screen, [*latest.values()], own)
    yield para("")
    yield para(f"diagnose walk, rank and expect {rig_file} hold the rig against it from now on.")


def _table(screen: Screen, read: list[Measured], own: Healthy) -> RenderableType:
    """One line a reading; on a narrow screen below each other."""
    cells = [(item.id, value_words(item), *_bands(item, own)) for item in read]
    if screen.width < NARROW:
        stacked = [(f"{a} = {b}\n  by the book {c}\n  this rig {d}",) for a, b, c, d in cells]
        return rows(stacked, [None], indent=0)
    head = ("", "read", "by the book", "this rig")
    return rows([head, *cells], [28, 11, 16, 16], indent=0, right=[1])


def _bands(item: Measured, own: Healthy) -> tuple[str, str]:
    found = own.expected(item.reading)
    book = found.book or found
    return (
        words.band(book.low, book.high, item.reading),
        words.band(found.low, found.high, item.reading),
    )
