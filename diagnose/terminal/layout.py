"""Shapes that several screens share: lists with marks, rows in columns, bars, blocks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from diagnose.pages.blocks import PLAIN, SOFT, STOP, STRONG, WARN, Block, Points, Section, Shares
from diagnose.terminal.plain import Renderable, Screen, mark, para

NARROW = 60
"""Below this many columns, what would stand beside each other stands below each other."""


def items(texts: Iterable[str], sign: str = "-", indent: int = 2) -> list[Renderable]:
    """Each text as a paragraph with a mark before it; sign "1" numbers them."""
    marks = ((f"{n}." if sign == "1" else sign, text) for n, text in enumerate(texts, 1))
    return [rows([(label, text)], [max(len(label), 1), None], indent) for label, text in marks]


def rows(
    cells: Iterable[Sequence[str]],
    widths: Sequence[int | None],
    indent: int = 2,
    styles: Sequence[str] = (),
    right: Sequence[int] = (),
) -> Renderable:
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


def numbered(
    cells: Iterable[Sequence[str]],
    widths: Sequence[int | None] = (None,),
    right: Sequence[int] = (),
    first: int = 1,
) -> Renderable:
    """Rows to pick from: a number before each. right: as of `rows`, the numbers being column 0."""
    lines = [(str(number), *row) for number, row in enumerate(cells, first)]
    return rows(lines, [2, *widths], indent=0, styles=["bold"], right=[0, *right])


def options_view(screen: Screen, options: Iterable[tuple[str, str]]) -> Renderable:
    """Options with their numbers and meanings."""
    found = [*options]
    if screen.width < NARROW:
        return numbered([(f"{name}: {meaning}",) for name, meaning in found])
    lines = [(str(number), *option) for number, option in enumerate(found, 1)]
    widest = max(len(name) for name, _ in found)
    return rows(lines, [2, widest, None], styles=["bold", "bold"], right=[0])


def shares_view(screen: Screen, found: Shares) -> Renderable:
    """Shares with bars: how a share is said, the share, and what it is of."""
    cells = 12 if screen.width >= NARROW else 5
    shown = [(one.said, screen.bar(one.share, cells), one.what) for one in found.rows]
    return rows(shown, [5, cells, None], styles=["", "cyan"], right=[0])


STYLES = {STRONG: "bold", SOFT: "dim", WARN: "yellow", STOP: "bold red", PLAIN: ""}
"""How the tones of a text look here; each can be told without colour too."""


def block_view(screen: Screen, shown: Block) -> list[Renderable]:
    """A block of a page."""
    if isinstance(shown, Points):
        return items(shown.texts, shown.sign)
    if isinstance(shown, Shares):
        return [shares_view(screen, shown)]
    return [para(shown.words, STYLES[shown.tone], indent=2 * shown.inset)]


def section_view(screen: Screen, shown: Section) -> Iterator[Renderable]:
    """A section of a page under its title."""
    return block(shown.title, *(one for part in shown.blocks for one in block_view(screen, part)))


def heading(screen: Screen, text: str) -> Renderable:
    """A heading with a line under it, so that it stands out without colour too."""
    from rich.console import Group

    line = ("─" if screen.drawn else "-") * min(len(text), screen.width)
    return Group(mark(text, "bold"), mark(line, "dim"))


def block(title: str, *body: Renderable) -> Iterator[Renderable]:
    """A title and what stands under it, in one piece; nothing where there is nothing."""
    from rich.console import Group

    if body:
        yield Group(para(""), mark(title, "bold"), *body)


def blocks(named: Iterable[tuple[str, Iterable[Renderable]]]) -> Iterator[Renderable]:
    """The blocks of titles, as of `block`."""
    for title, body in named:
        yield from block(title, *body)


def rule(screen: Screen) -> Renderable:
    """A line across the screen between one question and the next."""
    return mark(("─" if screen.drawn else "-") * screen.width, "dim")
