"""Counts as bars of text, for 80 and for 40 columns; they read without colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.layout import NARROW, rows
from diagnose.terminal.plain import Screen, para

if TYPE_CHECKING:
    from rich.console import RenderableType

WIDE, SLIM = 20, 6
"""Cells of a bar on a wide and on a narrow screen."""

MONTHS = 18
"""Months up to which a time line has a line a month; beyond, a line a year."""


def bars(
    screen: Screen, counts: Sequence[tuple[str, int]], most: int, whole: int = 0
) -> Iterator[RenderableType]:
    """A count a line: number, bar, name. whole: what a full bar stands for, else the largest."""
    if not counts:
        return
    cells = WIDE if screen.width >= NARROW else SLIM
    room = 5 if screen.width >= NARROW else max(len(str(count)) for _, count in counts)
    full = whole or max(count for _, count in counts) or 1
    shown = [(str(n), screen.bar(n / full, cells), name) for name, n in counts[:most]]
    yield rows(shown, [room, cells, None], styles=["", "cyan", ""], right=[0])
    yield from listed(counts[most:], f" with {sum(n for _, n in counts[most:])} in all")


def table(
    screen: Screen,
    heads: Sequence[str],
    cells: Sequence[Sequence[str]],
    counts: Sequence[int],
    wholes: Sequence[int] = (),
) -> Iterator[RenderableType]:
    """Rows that begin with a count: count, bar, name, then what else there is to say.

    counts, wholes: for the bars, a row each; without wholes the largest count fills its bar
    On a narrow screen the name stands above all the rest.
    """
    largest = max(counts, default=1) or 1
    full = wholes or [largest] * len(counts)
    drawn = [screen.bar(n / of, SLIM) for n, of in zip(counts, full, strict=True)]
    lines = [(row[0], bar, *row[1:]) for row, bar in zip(cells, drawn, strict=False)]
    styles, widest = ["", "cyan"], max(len(row[1]) for row in cells)
    if screen.width < NARROW:
        yield from (part for line in lines for part in _stacked(heads, line))
        return
    widths = [len(heads[0]), SLIM, min(widest, 36), *(len(head) for head in heads[2:-1]), None]
    yield rows([(heads[0], "", *heads[1:]), *lines], widths, styles=styles, right=[0, 3, 4])


def _stacked(heads: Sequence[str], line: Sequence[str]) -> Iterator[RenderableType]:
    count, bar, name, *rest = line
    said = (f"{head} {cell}" for head, cell in zip(heads[2:], rest, strict=True))
    yield para(name, indent=2)
    yield rows([(count, bar, "; ".join(said))], [4, SLIM, None], styles=["", "cyan"], right=[0])


def listed(left: Sequence[object], said: str = "") -> Iterator[RenderableType]:
    """What was left out of a table, and what is to be said of it."""
    if left:
        yield para(f"and {len(left)} more{said}; --all shows them", "dim", indent=2)


def timeline(screen: Screen, months: Mapping[str, int]) -> Iterator[RenderableType]:
    """A line a month, those without a case too; or a line a year. months: "2026-03" to count."""
    every = _every_month(min(months), max(months))
    if len(every) <= MONTHS:
        yield from bars(screen, [(month, months.get(month, 0)) for month in every], MONTHS)
        return
    years: dict[str, int] = dict.fromkeys((month[:4] for month in every), 0)
    for month, count in months.items():
        years[month[:4]] += count
    yield from bars(screen, [*years.items()], len(years))


def _every_month(first: str, last: str) -> list[str]:
    start, end = (12 * int(text[:4]) + int(text[5:7]) - 1 for text in (first, last))
    return [f"{number // 12:04}-{number % 12 + 1:02}" for number in range(start, end + 1)]
