"""A rig as far as it was told: answers by key, and the parts that they list.

Keys are those of the form, and for listed parts where they stand: `feed.2` is the kind of the
second part of the feed (DONE where there is no more), `feed.2.rating` one of its values;
`control.1.any.2` the second of the switches side by side; `loads.1` whether there is a first load.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count, takewhile

from diagnose.circuit.form import CONTROL_FUSE, FIRST_PROTECTION, Field, shipped_form
from diagnose.circuit.kinds import Part, kinds, kinds_in
from diagnose.circuit.listing import ANY, LOAD
from diagnose.circuit.placed import Placed, in_feed

Said = Mapping[str, str]
"""Answers so far: key to value as a rig file has it, UNKNOWN for what nobody knows, which the file
then leaves open."""

UNKNOWN = ""
OTHER, DONE, YES = "other", "done", "yes"


@dataclass(frozen=True)
class Told:
    """One part as told. key: where it stands among the answers; name: as its owner calls it;
    values: what a file says of it; inside: of switches side by side, each of them."""

    key: str
    kind: str
    name: str
    values: tuple[tuple[str, str], ...] = ()
    inside: tuple[Told, ...] = ()

    @property
    def said(self) -> str:
        """Its name in a sentence."""
        return shipped_form().said(self.kind) if self.name == self.kind else self.name


def listed(said: Said) -> bool:
    """Whether its circuit is told part by part."""
    return said.get("circuit") == OTHER


def parts(said: Said, place: str) -> tuple[Told, ...]:
    """The parts told so far of `feed`, `control` or `loads`."""
    return tuple(_parts(said, place))


def _parts(said: Said, place: str) -> Iterator[Told]:
    for number in count(1):
        key = f"{place}.{number}"
        kind = said.get(key, DONE)
        if kind in (DONE, "no"):
            return
        if kind == ANY:
            yield Told(key, ANY, ANY, (), parts(said, f"{key}.{ANY}"))
            continue
        kind = LOAD if kind == YES else kind
        name = said.get(f"{key}.name", usual_name(kind, place))
        yield Told(key, kind, name, tuple(_values(said, key)))


def _values(said: Said, key: str) -> Iterator[tuple[str, str]]:
    start = f"{key}."
    for name, value in said.items():
        if name.startswith(start) and name != f"{key}.name":
            yield name.removeprefix(start), value


def usual_name(kind: str, place: str) -> str:
    """What a part is called if nobody names it."""
    return "control fuse" if kind == "fuse" and place.startswith("control") else kind


def all_parts(said: Said) -> Iterator[Told]:
    """Every part told so far, switches side by side one by one."""
    for place in ("feed", "control", "loads"):
        for part in parts(said, place):
            yield from part.inside or (part,)


def has_relay(said: Said) -> bool:
    """Whether a relay stands in the feed."""
    return any(part.kind == "relay" for part in parts(said, "feed"))


def starts_pump(said: Said) -> bool:
    """Whether anything told so far starts and stops the pump."""
    found = [part.kind for part in all_parts(said) if part.kind in kinds()]
    return said.get("pump.switch") == "built-in" or any(kinds()[kind].calls for kind in found)


def fields_of(said: Said, part: Told) -> tuple[Field, ...]:
    """What is asked of a part."""
    small = part.kind == "fuse" and part.key.startswith("control")
    fields = shipped_form().of_part(CONTROL_FUSE if small else part.kind)
    return tuple(f for f in fields if f.only != FIRST_PROTECTION or _protects_first(said, part))


def _protects_first(said: Said, part: Told) -> bool:
    first = next((one for one in parts(said, "feed") if kinds()[one.kind].protects), None)
    return first is not None and first.key == part.key


def _placed(said: Said) -> tuple[Placed, ...]:
    return in_feed(tuple(Part(one.kind, one.name) for one in parts(said, "feed")))


def points(said: Said, before_relay: bool = False) -> dict[str, str]:
    """The points of the feed on which something can hang, with where they are."""
    found = {"lug+": "at the battery's lug, ahead of everything"}
    placed = _placed(said)
    before = takewhile(lambda one: one.part.kind != "relay", placed)
    for one in before if before_relay else placed:
        found[one.end] = f"behind the {_said(one.part)}"
    return found


def _said(part: Part) -> str:
    return Told("", part.kind, part.name).said


def behind_protection(said: Said, known: Mapping[str, str]) -> str:
    """The one of `known` points behind the first fuse or breaker, else the battery's lug."""
    found = next((one.end for one in _placed(said) if one.kind.protects), "lug+")
    return found if found in known else "lug+"


def menu(place: str) -> tuple[str, ...]:
    """The kinds that may come next in `feed` or `control`, or side by side."""
    form = shipped_form()
    fitting = kinds_in("control" if place.startswith("control") else "feed")
    side_by_side = place.endswith(ANY)
    wanted = (kind for kind in form.kinds if kind in fitting)
    if side_by_side:
        return tuple(kind for kind in wanted if kind != "fuse")
    return (*wanted, ANY) if place == "control" else tuple(wanted)
