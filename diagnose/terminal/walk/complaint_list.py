"""The list of complaints: six groups, the items of one, and how a complaint is picked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint
from diagnose.errors import harmless, quoted
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.words import spaced
from diagnose.terminal.layout import NARROW, rows
from diagnose.terminal.plain import Screen, mark
from diagnose.terminal.prompts import NotUnderstood, menu_number

if TYPE_CHECKING:
    from rich.console import RenderableType

ROOM = 4
"""Lines of a screen that a group leaves to its heading, what was just said, and the prompt."""

NAMED = 6
"""Complaints that are named at once where words fit several."""


@dataclass(frozen=True)
class Group:
    """Complaints under one heading."""

    title: str
    items: tuple[Complaint, ...]


def complaints_of(bench: Bench) -> tuple[Complaint, ...]:
    """The complaints that this rig can give rise to, group after group."""
    tests = bench.tests
    all_of_it = bench.shop.catalogue.complaints.values()
    order = list(dict.fromkeys(one.group for one in all_of_it))
    fitting = [one for one in all_of_it if all(name in tests for name in one.seen)]
    return tuple(sorted(fitting, key=lambda one: order.index(one.group)))


def groups_of(found: Sequence[Complaint]) -> tuple[Group, ...]:
    """The groups in their order; one that this rig has nothing in is left out."""
    titles = dict.fromkeys(one.group for one in found)
    return tuple(Group(t, tuple(one for one in found if one.group == t)) for t in titles)


def groups_view(groups: Sequence[Group]) -> RenderableType:
    """The first screen: a number and a heading a group."""
    shown = [(str(number), group.title) for number, group in enumerate(groups, 1)]
    return rows(shown, [2, None], indent=0, styles=["bold", ""], right=[0])


def group_pages(screen: Screen, group: Group) -> Iterator[RenderableType]:
    """The items of a group: in the customer's words where they fit a screen, else by their short
    names, and on as few screens as that takes."""
    room = max(screen.height - ROOM, 5)
    yield mark(f"{group.title}:", "bold")
    if screen.width >= NARROW and screen.lines_of(items_view(group.items)) <= room:
        yield items_view(group.items)
        return
    for start in range(0, len(group.items), room):
        part = group.items[start : start + room]
        named = [(str(n), spaced(one.id)) for n, one in enumerate(part, start + 1)]
        yield rows(named, [2, None], indent=0, styles=["bold", ""], right=[0])


def items_view(items: Sequence[Complaint]) -> RenderableType:
    """Complaints with their numbers, in the customer's words."""
    shown = [(str(number), one.say) for number, one in enumerate(items, 1)]
    return rows(shown, [2, None], indent=0, styles=["bold", ""], right=[0])


def are_numbers(text: str) -> bool:
    """Whether nothing but numbers was typed."""
    parts = text.replace(",", " ").split()
    return bool(parts) and all(part.isascii() and part.isdigit() for part in parts)


def group_numbered(text: str, groups: Sequence[Group]) -> Group:
    """The group of a number. Raises NotUnderstood."""
    wanted = f"One number from 1 to {len(groups)} shows what belongs to it."
    return groups[menu_number(text.strip(" ,"), len(groups), wanted) - 1]


def picked(text: str, listed: Sequence[Complaint]) -> tuple[Complaint, ...]:
    """The complaints of a list that numbers mean. Raises NotUnderstood."""
    return once(_numbered(part, listed) for part in text.replace(",", " ").split())


def _numbered(part: str, listed: Sequence[Complaint]) -> Complaint:
    wanted = f"There is no number {harmless(part)} in the list of {len(listed)}."
    return listed[menu_number(part, len(listed), wanted) - 1]


def named(text: str, found: Sequence[Complaint]) -> tuple[Complaint, ...]:
    """The complaints whose ids, or whose sentence as it stands on the screen, were typed; none
    where it is neither."""
    parts = text.replace(",", " ").lower().split()
    plain = _plain(text)
    whole = [one for one in found if one.id == "-".join(parts) or _plain(one.say) == plain]
    each = [one for part in parts for one in found if one.id == part]
    return once(whole or (each if len(each) == len(parts) else ()))


def _plain(text: str) -> str:
    return " ".join(text.lower().split()).strip(" .")


def once(chosen: Iterable[Complaint]) -> tuple[Complaint, ...]:
    """Each complaint once, in the order in which it was picked."""
    return tuple({one.id: one for one in chosen}.values())


def with_words(text: str, found: Sequence[Complaint]) -> Complaint:
    """The one complaint in which all the words stand. Raises NotUnderstood."""
    words = text.lower().split()
    fitting = [
        one for one in found if all(word in f"{spaced(one.id)} {one.say}".lower() for word in words)
    ]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        listed = "; ".join(spaced(one.id) for one in fitting[:NAMED])
        raise NotUnderstood(f"{quoted(text)} fits more than one: {listed}. Type one of them.")
    raise NotUnderstood(
        f"{quoted(text)} was not understood; say it in other words, or type a number."
    )


def evidence_of(chosen: Sequence[Complaint]) -> tuple[Evidence, ...]:
    """What the complaints say, together. Raises NotUnderstood when two exclude each other."""
    said: dict[str, str] = {}
    for complaint in chosen:
        for name, option in complaint.seen.items():
            if said.setdefault(name, option) != option:
                raise NotUnderstood(
                    f"For {spaced(name)} these say both {spaced(said[name])} and {spaced(option)}; "
                    "keep one."
                )
    return tuple(Seen(name, option) for name, option in said.items())
