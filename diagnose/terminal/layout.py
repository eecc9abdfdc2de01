"""Shapes that several screens share: lists with marks, rows in columns, pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.plain import Screen, mark, para

if TYPE_CHECKING:
    from rich.console import RenderableType

NARROW = 60
"""Below this many columns, what would stand beside each other stands below each other."""


def items(texts: Iterable[str], sign: str = "-", indent: int = 2) -> list[RenderableType]:
    """Each text as a paragraph with a mark before it; sign "1" numbers them."""
    found = list(texts)
    marks = [f"{n}." if sign == "1" else sign for n in range(1, len(found) + 1)]
    return [_hung(label, text, indent) for label, text in zip(marks, found, strict=True)]


def _hung(label: str, text: str, indent: int) -> RenderableType:
    return rows([(label, text)], [max(len(label), 1), None], indent)


def rows(
    cells: Iterable[Sequence[str]],
    widths: Sequence[int | None],
    indent: int = 2,
    styles: Sequence[str] = (),
    right: Sequence[int] = (),
) -> RenderableType:
    """Rows in columns two apart. widths: of the columns, None for what is left; right: columns
    that are set flush right."""
    from rich.padding import Padding
    from rich.table import Table

    table = Table.grid(padding=(0, 2, 0, 0), pad_edge=False, expand=False)
    for index, width in enumerate(widths):
        style = styles[index] if index < len(styles) else ""
        table.add_column(
            width=width, justify="right" if index in right else "left", style=style, overflow="fold"
        )
    for row in cells:
        table.add_row(*(mark(cell) for cell in row))
    return Padding(table, (0, 0, 0, indent), expand=False)


def heading(screen: Screen, text: str) -> RenderableType:
    """A heading with a line under it, so that it stands out without colour too."""
    from rich.console import Group

    line = ("─" if screen.drawn else "-") * min(len(text), screen.width)
    return Group(mark(text, "bold"), mark(line, "dim"))


def block(screen: Screen, title: str, body: Iterable[RenderableType]) -> RenderableType | None:
    """A title and what stands under it, or None where there is nothing."""
    from rich.console import Group

    parts = list(body)
    return Group(para(""), mark(title, "bold"), *parts) if parts else None


def rule(screen: Screen) -> RenderableType:
    """A line across the screen between one question and the next."""
    return mark(("─" if screen.drawn else "-") * screen.width, "dim")
