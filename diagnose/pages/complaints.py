"""The complaints of the book: those that a rig can give rise to, in groups, and what they say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint
from diagnose.errors import NotUnderstood, one_line, quoted
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.words import spaced

NAMED = 6
"""Complaints that are named at once where words fit several."""

Complaints = tuple[Complaint, ...]


@dataclass(frozen=True)
class Group:
    """Complaints under one heading."""

    title: str
    items: Complaints


def complaints_of(bench: Bench) -> Complaints:
    """The complaints that this rig can give rise to, group after group."""
    every = bench.shop.catalogue.complaints.values()
    order = list(dict.fromkeys(one.group for one in every))
    fitting = [one for one in every if all(name in bench.tests for name in one.seen)]
    return tuple(sorted(fitting, key=lambda one: order.index(one.group)))


def groups_of(found: Sequence[Complaint]) -> tuple[Group, ...]:
    """The groups in their order; one that this rig has nothing in is left out."""
    titles = dict.fromkeys(one.group for one in found)
    return tuple(Group(t, tuple(one for one in found if one.group == t)) for t in titles)


def by_name(text: str, found: Sequence[Complaint]) -> Complaints:
    """The complaints whose ids, or whose sentence as it stands on the screen, were typed; none
    where it is neither."""
    parts = text.replace(",", " ").lower().split()
    plain = _plain(text)
    whole = [one for one in found if one.id == "-".join(parts) or _plain(one.say) == plain]
    each = [one for part in parts for one in found if one.id == part]
    return unique(whole or (each if len(each) == len(parts) else ()))


def _plain(text: str) -> str:
    return one_line(text.lower()).strip(" .")


def unique(chosen: Iterable[Complaint]) -> Complaints:
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
    told: dict[str, str] = {}
    for complaint in chosen:
        for name, option in complaint.seen.items():
            if told.setdefault(name, option) != option:
                raise NotUnderstood(
                    f"For {spaced(name)} these say both {spaced(told[name])} and {spaced(option)}; "
                    "keep one."
                )
    return tuple(Seen(name, option) for name, option in told.items())
