"""The circuit of a rig file that lists its parts: read, and held against what can be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import takewhile
from typing import Any

from diagnose.circuit.bounds import NAME
from diagnose.circuit.form import CONTROL_FUSE, FIRST_PROTECTION, Field
from diagnose.circuit.kinds import Part, kinds_in
from diagnose.circuit.placed import Placed, in_control, in_feed
from diagnose.circuit.rig_reader import Reader
from diagnose.documents import Section
from diagnose.errors import BadDocument, BadQuantity, Place, UnknownName, nearest, quoted

ANY = "any"
"""Switches in parallel."""

LOAD = "load"
SOLENOID = {"solenoid": "relay"}
"""Other names of a kind."""


class Listing:
    """Reads the parts of one rig file, each with its values as the form has them."""

    def __init__(self, read: Reader) -> None:
        self.read, self.document = read, read.document
        self.taken: dict[str, Place] = {}
        self.met: set[str] = set()
        """Fields that a part before this one had."""
        self.whole = True
        """Whether every part that is listed is of a kind that is known."""

    def feed(self) -> tuple[Part, ...]:
        """The parts from the battery's plus to the motor, with the switch on the pump's head."""
        pump = self.document.section("pump")
        inside = pump.choice("switch", ("none", "built-in"), default="none") == "built-in"
        built_in = (Part("pressure_switch", "pressure_switch"),) if inside else ()
        for part in built_in:
            self.taken[alike(part.name)] = pump.place_of("switch")
        return (*self._parts(self.document, "feed", "feed"), *built_in)

    def control(self, section: Section) -> tuple[Part, ...]:
        """The parts from the tap to the coil."""
        self.met.add(self.read.form["main_fuse.distance"].key)
        return tuple(self._parts(section, "parts", "control"))

    def loads(self, points: tuple[str, ...], usual: str) -> tuple[Part, ...]:
        """What else hangs on a named point, one of `points`; on `usual` if it is not said."""
        sections: tuple[Section, ...] = self.document.sections("loads", default=())
        return tuple(
            self._load(section, number, points, usual) for number, section in enumerate(sections, 1)
        )

    def _load(self, section: Section, number: int, points: tuple[str, ...], usual: str) -> Part:
        name = self._name(section, LOAD, f"load {number}")
        current = self._value(section, self.read.form["load.current"], name)
        at = section.text("at", default=usual)
        if at not in points and self.whole:
            near, place = nearest(at, points), section.place_of("at")
            self.document.problem(UnknownName("point on the plus side", at, place, near, points))
        return Part(LOAD, name, (("at", at), ("current", current)))

    def _parts(self, section: Section, key: str, place: str) -> Iterator[Part]:
        found = section.named(key)
        if section.has(key):
            given = section.raw(key)
            self.whole = self.whole and isinstance(given, list) and len(given) == len(found)
        for name, said, where in found:
            if name == ANY and place == "control":
                part = self._abreast(said, where)
            else:
                part = self._part(name, said, where, place)
            if part is not None:
                yield part

    def _abreast(self, section: Section, where: Place) -> Part | None:
        inside = tuple(self._parts(section, "items", "control"))
        if len(inside) < 2 or any(part.branches for part in inside):
            told = "any: needs two switches or more as a list, each by its own kind"
            self.document.problem(BadDocument(told, where))
            self.whole = False
            return None
        return Part(ANY, "either " + " or ".join(part.name for part in inside), (), inside)

    def _part(self, said: str, section: Section, where: Place, place: str) -> Part | None:
        name = SOLENOID.get(said, said)
        known = kinds_in(place)
        if name not in known:
            extra = (ANY,) if place == "control" else tuple(SOLENOID)
            near = nearest(name, (*known, *extra))
            self.document.problem(UnknownName(f"part of the {place}", said, where, near, known))
            self.whole = False
            return None
        small = (name, place) == ("fuse", "control")
        fields = self.read.form.of_part(CONTROL_FUSE if small else name)
        called = self._name(section, name, "control fuse" if small else said)
        given = tuple(sorted((one.name, self._value(section, one, called)) for one in fields))
        return Part(name, called, given)

    def _value(self, section: Section, field: Field, part: str) -> float | str:
        """What the file says of a part, or what is usual, which then counts as assumed."""
        again = field.key in self.met
        self.met.add(field.key)
        if not section.has(field.name) and not (again and field.only == FIRST_PROTECTION):
            self.read.assumed.append(f"{part}.{field.name}" if again else field.key)
        if field.options:
            return section.choice(field.name, tuple(field.options), default=field.usual)
        if field.needed or section.has(field.name):
            return self.read.needed(section, field)
        return self.read.usual(field)

    def _name(self, section: Section, kind: str, default: str) -> str:
        """What the part is called. A second one of its kind has to be named."""
        name = " ".join(section.text(NAME, default=default).split())
        place = section.place_of(NAME)
        try:
            self.read.bounds["part.name"].read_name(name, place)
            _plain(name, place)
        except (BadDocument, BadQuantity) as error:
            self.document.problem(error)
        before = self.taken.setdefault(alike(name), place)
        if before is not place and kind != "relay":
            told = f"there is a {quoted(name)} already ({before}); give this one a name of its own"
            self.document.problem(BadDocument(told, place))
        return name


def alike(name: str) -> str:
    """Names that nobody would tell apart, nor an id."""
    return name.replace("_", " ").replace("-", " ").casefold()


AUTOMATIC = ("pressure_switch", "float_switch")


def listed(read: Listing) -> dict[str, Any]:
    """The circuit that a file lists, by the names of a Rig's fields."""
    document = read.document
    feed = read.feed()
    placed = in_feed(feed)
    control = document.section("control", default=None)
    parts: tuple[Part, ...] = ()
    tap = _usual_tap(placed)
    if control is not None:
        tap = control.text("tap", default=tap)
        parts = read.control(control)
    relay = _first(feed, "relay")
    along = in_control(parts, placed)
    _points_apart(read, (*placed, *along))
    if read.whole:
        _hold_together(document, placed, along, control)
    first, small = _first(feed, "fuse", "breaker"), _first(parts, "fuse")
    inside = [one.part for one in (*along, *placed)]
    callers = [part.kind for part in inside if part.kind in AUTOMATIC]
    points = ("battery+", "lug+", *_points((*placed, *(along if relay else ()))), "motor+")

    def value(part: Part | None, key: str) -> float:
        field = read.read.form[key]
        return part.number(field.name) if part else read.read.usual(field)

    return {
        "topology": "relay" if relay else "direct",
        "control": callers[0] if callers else "manual",
        "remote": any(part.kind == "remote" for part in inside),
        "control_tap": tap,
        "main_fuse_rating": value(first, "main_fuse.rating"),
        "main_fuse_distance": value(first, "main_fuse.distance"),
        "control_fuse_rating": value(small, "control_fuse.rating"),
        "relay_contact": value(relay, "relay.contact"),
        "relay_coil": value(relay, "relay.coil"),
        "feed": feed,
        "control_parts": parts,
        "loads": read.loads(points, _behind_protection(placed)),
    }


def _first(parts: tuple[Part, ...], *names: str) -> Part | None:
    """The first part of one of some kinds."""
    return next((part for part in parts if part.kind in names), None)


def _points(placed: Iterable[Placed]) -> list[str]:
    return [point for one in placed for point in (one.start, one.end)]


def _behind_protection(placed: tuple[Placed, ...]) -> str:
    """The point behind the first fuse or breaker, where one hangs things on if nobody says it."""
    return next((one.end for one in placed if one.kind.protects), "lug+")


def _before_relay(placed: tuple[Placed, ...]) -> list[str]:
    """The points that feed a coil from before its own contact."""
    ends = [one.end for one in takewhile(lambda one: one.part.kind != "relay", placed)]
    return ["lug+", *ends]


def _usual_tap(placed: tuple[Placed, ...]) -> str:
    behind = _behind_protection(placed)
    return behind if behind in _before_relay(placed) else "lug+"


def _points_apart(read: Listing, placed: tuple[Placed, ...]) -> None:
    """A name may not make a part's test points those of another."""
    taken: dict[str, Part] = {}
    for part, point in ((one.part, end) for one in placed for end in (one.start, one.end)):
        other = taken.setdefault(point, part)
        if other.name != part.name:
            own = part if point.startswith(f"{part.name}.") else other
            told = f"{quoted(own.name)} would have the test points of another part; give it"
            place = read.taken[alike(own.name)]
            read.document.problem(BadDocument(f"{told} another name", place))
            return


def _hold_together(
    document: Section,
    placed: tuple[Placed, ...],
    along: tuple[Placed, ...],
    control: Section | None,
) -> None:
    """What no list can lack or have too much of."""

    def refuse(key: str, told: str) -> None:
        document.problem(BadDocument(told, document.place_of(key)))

    relays = sum(one.part.kind == "relay" for one in placed)
    if relays > 1:
        refuse("feed", "two relays cannot be worked out yet; list the one that feeds the pump")
    if relays and control is None:
        told = (
            "a relay stands in the feed, so say what feeds its coil: control: {tap: .., parts: ..}"
        )
        refuse("control", told)
    if not relays and control is not None:
        told = "only a relay has a control line; put the switches into the feed, or a relay"
        refuse("control", told)
    starting = ("master_switch", "remote")
    told_already = relays and control is None
    if not told_already and not any(
        one.kind.calls or one.part.kind in starting for one in (*placed, *along)
    ):
        told = (
            "nothing here starts and stops the pump; list a switch (hand_switch for a pulled plug)"
        )
        refuse("feed", told)
    if not relays or control is None:
        return
    ends = _before_relay(placed)
    tap = control.text("tap", default=_usual_tap(placed))
    if tap not in ends:
        place = control.place_of("tap")
        near = nearest(tap, ends)
        document.problem(UnknownName("point before the relay", tap, place, near, ends))


def _plain(name: str, place: Place) -> None:
    """Raises BadDocument for a name that a test point cannot be called after."""
    if not all(letter.isalnum() or letter in " _-" for letter in name):
        said = "letters, digits, spaces and hyphens make a part's name"
        raise BadDocument(f"{quoted(name)} cannot name a test point; {said}", place)
