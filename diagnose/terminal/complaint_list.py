"""The list of complaints: how it stands on the screen, and how one is picked from it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint
from diagnose.errors import harmless, quoted
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.words import spaced
from diagnose.terminal.layout import rows
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import NotUnderstood, menu_number

if TYPE_CHECKING:
    from rich.console import RenderableType

SIDE_BY_SIDE, COLUMN = 70, 34
"""Screen width from which the list stands in two columns, and the width of one."""

ROOM = 5
"""Lines of a screen that the list leaves to the title, the safety lines and the prompt."""


def complaints_of(bench: Bench) -> tuple[Complaint, ...]:
    """The complaints that this rig can give rise to, in the order of the list."""
    tests = bench.tests
    all_of_it = bench.shop.catalogue.complaints.values()
    order = list(dict.fromkeys(one.group for one in all_of_it))
    fitting = [one for one in all_of_it if all(name in tests for name in one.seen)]
    return tuple(sorted(fitting, key=lambda one: order.index(one.group)))


def list_lines(found: Sequence[Complaint]) -> list[tuple[str, str]]:
    """(number, words) line by line; a heading has no number."""
    lines: list[tuple[str, str]] = []
    for number, complaint in enumerate(found, 1):
        if number == 1 or found[number - 2].group != complaint.group:
            lines.append(("", complaint.group))
        lines.append((str(number), spaced(complaint.id)))
    return lines


def list_pages(screen: Screen, found: Sequence[Complaint]) -> Iterator[RenderableType]:
    """The list on as few screens as it takes, evenly; two columns where there is room."""
    lines = list_lines(found)
    columns = 2 if screen.width >= SIDE_BY_SIDE else 1
    pages = -(-len(lines) // (max(screen.height - ROOM, 5) * columns))
    tall = -(-len(lines) // (pages * columns))
    for start in range(0, len(lines), tall * columns):
        page = lines[start : start + tall * columns]
        yield _page(page[:tall], page[tall:])


def _page(left: list[tuple[str, str]], right: list[tuple[str, str]]) -> RenderableType:
    if not right:
        return rows(map(_cells, left), [2, None], styles=["bold", ""], right=[0], indent=0)
    right += [("", "")] * (len(left) - len(right))
    cells = [[*_cells(a), *_cells(b)] for a, b in zip(left, right, strict=True)]
    styles = ["bold", "", "bold", ""]
    return rows(cells, [2, COLUMN, 2, COLUMN], styles=styles, right=[0, 2], indent=0)


def _cells(line: tuple[str, str]) -> list[str]:
    number, words = line
    return [number, words if number or not words else f"{words}:"]


def picked(text: str, found: Sequence[Complaint]) -> tuple[Complaint, ...]:
    """The complaints meant by numbers or ids; none where it is neither. Raises NotUnderstood."""
    parts = text.replace(",", " ").lower().split()
    if all(part.isascii() and part.isdigit() for part in parts):
        return _once(_numbered(part, found) for part in parts)
    whole = [one for one in found if one.id == "-".join(parts)]
    each = [one for part in parts for one in found if one.id == part]
    return _once(whole or (each if len(each) == len(parts) else ()))


def _once(chosen: Iterable[Complaint]) -> tuple[Complaint, ...]:
    return tuple({one.id: one for one in chosen}.values())


def _numbered(part: str, found: Sequence[Complaint]) -> Complaint:
    wanted = f"There is no number {harmless(part)} in the list of {len(found)}."
    return found[menu_number(part, len(found), wanted) - 1]


def with_words(text: str, found: Sequence[Complaint]) -> Complaint:
    """The one complaint in which all the words stand. Raises NotUnderstood."""
    words = text.lower().split()
    fitting = [
        (number, one)
        for number, one in enumerate(found, 1)
        if all(word in f"{spaced(one.id)} {one.say}".lower() for word in words)
    ]
    if len(fitting) == 1:
        return fitting[0][1]
    if fitting:
        listed = "; ".join(f"{number} {spaced(one.id)}" for number, one in fitting[:6])
        raise NotUnderstood(f"{quoted(text)} fits more than one: {listed}. Type a number.")
    raise NotUnderstood(f"{quoted(text)} was not understood; type the number that is nearest.")


def evidence_of(chosen: Sequence[Complaint]) -> tuple[Evidence, ...]:
    """What the complaints say, together. Raises NotUnderstood when two exclude each other."""
    said: dict[str, str] = {}
    for complaint in chosen:
        for name, option in complaint.seen.items():
            if said.setdefault(name, option) != option:
                raise NotUnderstood(
                    f"For {spaced(name)} these say both {said[name]} and {option}; keep one."
                )
    return tuple(Seen(name, option) for name, option in said.items())


def said(number: int, complaint: Complaint) -> RenderableType:
    """A complaint with its number, in the customer's words."""
    return rows([(str(number), complaint.say)], [2, None], 0, styles=["bold", ""], right=[0])
