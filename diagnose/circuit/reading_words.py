"""A reading in words: "voltage motor+ motor- calling" to a Reading and back, as people say it."""

from __future__ import annotations

from collections.abc import Collection, Container

from diagnose.circuit.heat import COMPONENTS, components_on
from diagnose.circuit.meter import QUANTITIES, Reading
from diagnose.circuit.network import SWITCH_POINTS, points_on
from diagnose.circuit.rig import Rig
from diagnose.errors import BadQuantity, Place, UnknownName, nearest, quoted

ALL_POINTS = (
    *("battery+", "battery-", "lug+", "lug-", "fuse.in", "fuse.out", "master.in", "master.out"),
    *("relay.30", "relay.87", "relay.87a", "relay.86", "relay.85", "cfuse.in", "cfuse.out"),
    *(point for name, pair in SWITCH_POINTS.items() if name != "hand_switch" for point in pair),
    *("motor+", "motor-", "ground"),
)
CONDUCTORS = ("motor-feed", "coil", "battery")
STATES = ("rest", "calling", "satisfied", "unplugged")
FIXED_CONDITION = {"resistance": "isolated", "temperature": "calling"}
SPOKEN = {
    "calling": "asked to run",
    "satisfied": "not asked to run",
    "rest": "at rest",
    "unplugged": "motor unplugged",
}
"""How a person says in which condition a reading is taken."""


def points_for(quantity: str) -> tuple[int, Collection[str], str]:
    """How many points a quantity takes, which ones, and what they are called."""
    if quantity in ("voltage", "resistance"):
        return 2, ALL_POINTS, "test point"
    if quantity in ("current", "peak-current"):
        return 1, CONDUCTORS, "conductor"
    if quantity == "temperature":
        return 1, COMPONENTS, "component"
    return 1, ("outlet",), "place to measure"


def _known(kind: str, name: str, names: Collection[str], place: Place) -> str:
    if name not in names:
        raise UnknownName(kind, name, place, nearest(name, names))
    return name


def in_words(reading: Reading) -> str:
    """A reading as it stands on the screen: "voltage motor+ motor-, asked to run"."""
    if reading.quantity in FIXED_CONDITION:
        return str(reading)
    named = " ".join((reading.quantity, *reading.points))
    return f"{named}, {SPOKEN.get(reading.condition, reading.condition)}"


def _as_id(text: str) -> str:
    """A reading's words with the condition as in its id, where it stands as on the screen."""
    plain = " ".join(text.replace(",", " ").split())
    for condition, said in sorted(SPOKEN.items(), key=lambda pair: -len(pair[1])):
        if plain.endswith(f" {said}"):
            return f"{plain.removesuffix(said)}{condition}"
    return plain


class _OfAnyPart:
    """The test points of parts that an owner has named, on whatever rig."""

    def __contains__(self, point: object) -> bool:
        return isinstance(point, str) and point.endswith((".in", ".out")) and point[0] != "."


OF_ANY_PART: Container[str] = _OfAnyPart()


def reading_of(text: str, place: Place | None = None, points_too: Container[str] = ()) -> Reading:
    """A Reading from its words: quantity, points, condition (none for ohms and temperature), as in
    its id or as they stand on the screen. points_too: test points beside those of standard parts.

    Raises UnknownName or BadQuantity with the nearest right word.
    """
    place = place or Place("reading")
    words = _as_id(text).split()
    if not words:
        raise BadQuantity("an empty reading; write quantity, points and condition", place)
    quantity = _known("quantity", words[0], QUANTITIES, place)
    count, points, kind = points_for(quantity)
    found, rest = _points(words[1:], count, kind, points, points_too, place)
    if len(found) < count or len(rest) > 1:
        raise BadQuantity(
            f"{quoted(text)} is not a reading; {quantity} takes {count} {kind}(s) and a condition",
            place,
        )
    if count == 2 and found[0] == found[1]:
        raise BadQuantity(f"{quoted(text)} has both probes on the same point", place)
    return Reading(quantity, found, _condition(quantity, rest, text, place))


def _points(
    words: list[str],
    count: int,
    kind: str,
    points: Collection[str],
    points_too: Container[str],
    place: Place,
) -> tuple[tuple[str, ...], list[str]]:
    """So many points from the first of these words, and the words left. The name of a part may be
    several words."""
    found: list[str] = []
    while words and len(found) < count:
        spans = [" ".join(words[:size]) for size in range(1, len(words) + 1)]
        own = next((one for one in spans if one in points or one in points_too), None)
        found.append(own or _known(kind, words[0], points, place))
        words = words[len(found[-1].split()) :]
    return tuple(found), words


def _condition(quantity: str, rest: list[str], text: str, place: Place) -> str:
    fixed = FIXED_CONDITION.get(quantity)
    if fixed:
        return _known("condition", rest[0], (fixed,), place) if rest else fixed
    if not rest:
        said = ", ".join(SPOKEN[state] for state in STATES)
        raise BadQuantity(f"{quoted(text)} needs a condition: one of {said}", place)
    return _known("condition", rest[0], STATES, place)


def fits(reading: Reading, rig: Rig) -> bool:
    """Whether the rig has the points of a reading."""
    quantity, points = reading.quantity, reading.points
    if quantity in ("voltage", "resistance"):
        return set(points) <= set(points_on(rig))
    if quantity == "temperature":
        return points[0] in components_on(rig)
    return points != ("coil",) or rig.has_relay
