"""The circuit of a rig file that lists its parts: read, and held against what can be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from diagnose.circuit.bounds import NAME, Bound
from diagnose.circuit.kinds import Kind, Part, Value, kinds, kinds_in
from diagnose.documents import Section
from diagnose.errors import BadDocument, BadQuantity, Place, UnknownName, nearest, quoted
from diagnose.units import read_quantity

ANY = "any"
"""Switches in parallel."""

LOAD = "load"
SOLENOID = {"solenoid": "relay"}
"""Other names of a kind."""


class Listing:
    """Reads the parts of one rig file. bounds: what each value can be, by kind and key."""

    def __init__(self, document: Section, bounds: Mapping[str, Bound]) -> None:
        self.document, self.bounds = document, bounds
        self.taken: dict[str, Place] = {}

    def feed(self) -> tuple[Part, ...]:
        """The parts from the battery's plus to the motor."""
        found = tuple(self._parts(self.document, "feed", "feed"))
        relays = [part for part in found if part.kind == "relay"]
        if len(relays) > 1:
            self._refuse("feed", "one relay is all that can be worked out; name the one that fails")
        return found

    def control(self, section: Section) -> tuple[Part, ...]:
        """The parts from the tap to the coil."""
        return tuple(self._parts(section, "parts", "control"))

    def loads(self) -> tuple[Part, ...]:
        """What else hangs on a named point."""
        sections: tuple[Section, ...] = self.document.sections("loads", default=())
        return tuple(self._load(section, number) for number, section in enumerate(sections, 1))

    def _load(self, section: Section, number: int) -> Part:
        name = self._name(section, f"load {number}", named=True)
        current = self._quantity(section, LOAD, "current", Value("A", ""))
        return Part(
            LOAD, name, (("at", section.text("at", default="fuse.out")), ("current", current))
        )

    def _parts(self, section: Section, key: str, place: str) -> Iterator[Part]:
        for name, said, where in section.named(key):
            if name == ANY and place == "control":
                yield self._abreast(said, where)
                continue
            part = self._part(name, said, where, place)
            if part is not None:
                yield part

    def _abreast(self, section: Section, where: Place) -> Part:
        inside = tuple(self._parts(section, "items", "control"))
        if len(inside) < 2:
            self.document.problem(BadDocument("any: needs two switches or more, as a list", where))
        return Part(ANY, "either " + " or ".join(part.name for part in inside), (), inside)

    def _part(self, said: str, section: Section, where: Place, place: str) -> Part | None:
        name = SOLENOID.get(said, said)
        known = kinds_in(place)
        if name not in known:
            extra = (ANY,) if place == "control" else tuple(SOLENOID)
            near = nearest(name, (*known, *extra))
            self.document.problem(UnknownName(f"part of the {place}", said, where, near, known))
            return None
        kind = kinds()[name]
        given = tuple(sorted((key, self._value(section, kind, key)) for key in kind.values))
        default = "control fuse" if (name, place) == ("fuse", "control") else said
        return Part(name, self._name(section, default, named=False), given)

    def _value(self, section: Section, kind: Kind, key: str) -> float | str:
        value = kind.values[key]
        if value.options:
            return section.choice(key, value.options, default=value.default)
        return self._quantity(section, kind.name, key, value)

    def _quantity(self, section: Section, kind: str, key: str, value: Value) -> float:
        if not section.has(key):
            if value.default:
                return read_quantity(value.default, value.unit)
            return 0.0 if kind != LOAD else self._needed(section, kind, key, value)
        return self._needed(section, kind, key, value)

    def _needed(self, section: Section, kind: str, key: str, value: Value) -> float:
        bound = self.bounds[f"{kind}.{key}"]
        amount: float = section.quantity(key, value.unit, minimum=-math.inf)
        if bound.holds(amount, value.unit):
            return amount
        if math.isfinite(amount):
            self.document.problem(bound.refusal(section.raw(key), section.place_of(key)))
        return bound.ends(value.unit)[0]

    def _name(self, section: Section, default: str, named: bool) -> str:
        """What the part is called. A second one of its kind has to be named."""
        name: str = section.text(NAME, default=default)
        place = section.place_of(NAME)
        try:
            self.bounds["part.name"].read_name(name, place)
            _plain(name, place)
        except (BadDocument, BadQuantity) as error:
            self.document.problem(error)
        if name in self.taken:
            told = f"there is a {quoted(name)} already ({self.taken[name]}); give this one a name"
            self.document.problem(BadDocument(told, place))
        self.taken[name] = place
        return name

    def _refuse(self, key: str, why: str) -> None:
        self.document.problem(BadDocument(why, self.document.place_of(key)))


@dataclass(frozen=True)
class Listed:
    """What a list of parts comes to, by the names of a Rig's fields."""

    values: Mapping[str, Any]


AUTOMATIC = ("pressure_switch", "float_switch")


def listed(read: Listing, usual: Mapping[str, float]) -> Listed:
    """The circuit that a file lists. usual: what is not said of a part, by kind and key [SI]."""
    document = read.document
    feed = rated((*read.feed(), *_built_in(document)), usual)
    control = document.section("control", default=None)
    parts: tuple[Part, ...] = ()
    tap = "fuse.out"
    if control is not None:
        tap, parts = (
            control.text("tap", default=tap),
            rated(read.control(control), {"fuse.rating": USUAL_CONTROL_FUSE}),
        )
    relay = next((part for part in feed if part.kind == "relay"), None)
    _hold_together(document, feed, parts, relay, control)
    first = next((part for part in feed if part.kind in ("fuse", "breaker")), None)
    small = next((part for part in parts if part.kind == "fuse"), None)
    inside = [one for part in (*parts, *feed) for one in part.branches or (part,)]
    callers = [part.kind for part in inside if part.kind in AUTOMATIC]
    return Listed(
        {
            "topology": "relay" if relay else "direct",
            "control": callers[0] if callers else "manual",
            "remote": any(part.kind == "remote" for part in inside),
            "control_tap": tap,
            "main_fuse_rating": first.number("rating") if first else usual["fuse.rating"],
            "main_fuse_distance": first.number("distance") if first else NEAR,
            "control_fuse_rating": small.number("rating") if small else USUAL_CONTROL_FUSE,
            "relay_contact": relay.number("contact") if relay else 40.0,
            "relay_coil": relay.number("coil") if relay else 85.0,
            "feed": feed,
            "control_parts": parts,
            "loads": read.loads(),
        }
    )


USUAL_CONTROL_FUSE = 3.0
NEAR = 0.1778
"""Where the first fuse sits if nobody says it: 7 in [m], the usual rule."""


def _built_in(document: Section) -> tuple[Part, ...]:
    """The pressure switch that a pump carries on its head."""
    built_in = document.section("pump").choice("switch", ("none", "built-in"), default="none")
    return (Part("pressure_switch", "pressure_switch"),) if built_in == "built-in" else ()


def _hold_together(
    document: Section,
    feed: tuple[Part, ...],
    parts: tuple[Part, ...],
    relay: Part | None,
    control: Section | None,
) -> None:
    """What no list can lack or have too much of."""
    if relay is not None and control is None:
        told = (
            "a relay stands in the feed, so say what feeds its coil: control: {tap: .., parts: ..}"
        )
        document.problem(BadDocument(told, document.place_of("control")))
    if relay is None and control is not None:
        told = "only a relay has a control line; put the switches into the feed, or a relay"
        document.problem(BadDocument(told, document.place_of("control")))
    inside = [one for part in (*feed, *parts) for one in part.branches or (part,)]
    if not any(kinds()[one.kind].calls or one.kind == "master_switch" for one in inside):
        told = (
            "nothing here starts and stops the pump; list a switch (hand_switch for a pulled plug)"
        )
        document.problem(BadDocument(told, document.place_of("feed")))
    if control is None:
        return
    tap = control.text("tap", default="fuse.out")
    ends = ["lug+"]
    for part in feed:
        if part.kind == "relay":
            break
        fixed = kinds()[part.kind].points
        own = part.name != part.kind and part.kind == "fuse"
        ends.append(f"{part.name}.out" if fixed is None or own else fixed[1])
    if tap not in ends:
        place = control.place_of("tap")
        document.problem(
            UnknownName("point before the relay", tap, place, nearest(tap, ends), ends)
        )


def _plain(name: str, place: Place) -> None:
    """Raises BadDocument for a name that a test point cannot be called after."""
    if not all(letter.isalnum() or letter in " _-" for letter in name):
        said = "letters, digits, spaces and hyphens make a part's name"
        raise BadDocument(f"{quoted(name)} cannot name a test point; {said}", place)


def rated(parts: tuple[Part, ...], usual: Mapping[str, float]) -> tuple[Part, ...]:
    """The parts with what was not said of them set to what is usual for the rig: kind and key to
    value [SI]."""

    def filled(part: Part) -> Part:
        values = dict(part.values)
        for key, value in values.items():
            if value == 0.0 and f"{part.kind}.{key}" in usual:
                values[key] = usual[f"{part.kind}.{key}"]
        return replace(part, values=tuple(sorted(values.items())))

    return tuple(filled(part) for part in parts)
