"""What entries are made of: conditions on the rig, words, names, readings; effects, priors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from diagnose.annotations import At, By, From, In, Limits, Name, Of, OneOf, Plain, Unsaid, Unwritten
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import IN_SERIES, NAMES, OF_A_PART, OPEN, PART, unit_of
from diagnose.circuit.reading_words import ALL_POINTS, OF_ANY_PART, reading_of
from diagnose.documents import Section
from diagnose.errors import BadQuantity, Place, UnknownName, nearest
from diagnose.field_types import unknown
from diagnose.figures import BASIS
from diagnose.record_reader import key_reader
from diagnose.units import read_quantity

WAYS = ("told", "look", "hands", "ohms", "rest", "power")
"""How a test is done: told by somebody; looked at with the rig off; done by hand with the rig off;
ohms with the battery off; a meter at the battery with everything off; or under power: the rig, a
charger or an engine is on."""

HAZARDS = ("arc", "burn", "spray", "start")
"""What a test can do to a person: live metal arcs, something hot burns, what holds pressure or a
chemical sprays, the pump starts."""

SLOT = "{part}"
"""Where a template has the name of its part."""


CONDITION, SHOWN, NEVER, SAID = "condition", "shown", "never shown", "said"
"""Marks of fields in which observations or rig facts are named, by which lint finds them."""


def _values(raw: object) -> tuple[str, ...]:
    """One value or several; true is yes."""
    words = {True: "yes", False: "no"}
    ones = raw if isinstance(raw, list) else [raw]
    return tuple(words[one] if isinstance(one, bool) else str(one) for one in ones)


Values: TypeAlias = Annotated[tuple[str, ...], Plain(_values)]
When: TypeAlias = Annotated[Mapping[str, Values], CONDITION, Unsaid({})]
"""Rig facts that must hold: name to the values allowed."""


def _applies(section: Section, _: object) -> When:
    """Rig facts, and of a template the kinds of parts that it is about."""
    facts: When = _FACTS(section)
    return {**facts, PART: _KINDS(section)} if section.has(PART) else facts


_FACTS, _KINDS = key_reader(When, "applies"), key_reader(Values, PART)


Applies: TypeAlias = Annotated[Mapping[str, Values], CONDITION, From(_applies)]
"""Where an entry applies."""


def _reading(text: str, place: Place) -> Reading:
    return reading_of(text, place, OF_ANY_PART)


AReading: TypeAlias = Annotated[Reading, By(_reading)]
Basis: TypeAlias = Annotated[str, BASIS]
Share: TypeAlias = Annotated[float, Limits(0.0, 1.0)]
Amount: TypeAlias = Annotated[float, Limits(0.0)]
Minutes: TypeAlias = Annotated[float, Limits(0.1)]
Some: TypeAlias = Annotated[str, Unsaid("")]
Texts: TypeAlias = Annotated[tuple[str, ...], Unsaid(())]
Modes: TypeAlias = Annotated[tuple[Annotated[str, Of("failure mode")], ...], Unsaid(())]
Cautions: TypeAlias = Annotated[tuple[Annotated[str, Of("caution")], ...], Unsaid(())]
Sources: TypeAlias = tuple[Annotated[str, Of("source")], ...]
Things: TypeAlias = Annotated[tuple[Annotated[str, Of("thing")], ...], Unsaid(())]
Hazards: TypeAlias = tuple[Annotated[str, OneOf(HAZARDS)], ...]
Words: TypeAlias = Mapping[str, Annotated[str, Of("word")]]
Shows: TypeAlias = Annotated[Mapping[str, Words], SHOWN, Unsaid({})]
"""What is seen: observation to answer to word."""
NeverShows: TypeAlias = Annotated[Mapping[str, Mapping[str, str]], NEVER, Unsaid({})]
"""What is never seen: observation to answer to reason."""
Said: TypeAlias = Annotated[Mapping[str, str], SAID]
"""Observation to answer."""


def stray_points(key: str, reading: Reading, applies: When) -> Iterator[tuple[str, str]]:
    """What is wrong with a reading that has points of a part where no part is meant."""
    for point in reading.points:
        if point in OF_ANY_PART and point not in ALL_POINTS and PART not in applies:
            yield key, unknown("test point", point, ALL_POINTS)


def words(part: Section) -> Mapping[str, str]:
    """A mapping of names to texts."""
    return {key: part.text(key) for key in part}


OPERATIONS, AXES = ("add", "times", "set"), ("a", "b")
PARAMETERS = frozenset((*NAMES, *IN_SERIES, *OF_A_PART))


@dataclass(frozen=True)
class Change:
    """What an effect does to one circuit parameter: operation add, times or set, from mild to
    severe, in the parameter's unit (circuit.parameters.unit_of). axis: changes on one axis grow
    worse together; bounded: it never goes further than severe, and not to the physical end."""

    parameter: Annotated[str, Name()]
    operation: str
    mild: float
    severe: float
    axis: str = "a"
    bounded: bool = False

    @property
    def has_range(self) -> bool:
        return self.mild != self.severe


def _changes(section: Section, _: object) -> tuple[Change, ...]:
    """What stands under `sets`: parameter to operation and amounts."""
    sets = section.section("sets", default=None)
    changes = () if sets is None else [_change(sets, name) for name in sets]
    return tuple(change for change in changes if change)


def _change(sets: Section, parameter: str) -> Change | None:
    part = sets.section(parameter)
    operation = part.only(OPERATIONS)
    axis, bounded = part.choice("axis", AXES, AXES[0]), part.flag("bounded", default=False)
    if parameter not in PARAMETERS:
        hint = nearest(parameter, PARAMETERS)
        sets.problem(UnknownName("circuit parameter", parameter, sets.place_of(parameter), hint))
    elif operation:
        raw = part.raw(operation)
        ends = raw if isinstance(raw, list) else [raw]
        if ends is not raw or len(ends) == 2:
            amounts = [_amount(part, operation, parameter, end) for end in ends]
            return Change(parameter, operation, amounts[0], amounts[-1], axis, bounded)
        part.wrong(operation, "give one value, or [mild, severe]")
    return None


def _amount(part: Section, operation: str, parameter: str, value: object) -> float:
    """One end of a change: `open`, or a float in the parameter's unit, or a ratio for `times`."""
    unit = "1" if operation == "times" else unit_of(parameter)
    if value == "open" and operation == "set" and unit == "ohm":
        return OPEN
    try:
        text = value if isinstance(value, str | int | float) else str(value)
        return read_quantity(text, "" if unit == "1" else unit, part.place_of(operation))
    except BadQuantity as error:
        part.problem(error)
        return 1.0


@dataclass(frozen=True)
class Effect:
    """One way in which a failure mode changes the circuit; `share` of its cases."""

    name: str
    share: Annotated[float, Limits(0.0, 1.0), Unsaid(1.0)]
    changes: Annotated[tuple[Change, ...], From(_changes)]
    basis: Basis
    why: str
    shows: Shows


@dataclass(frozen=True)
class Prior:
    """Cases per 1000 on rigs where the failure mode applies, estimated; counted: what recorded
    cases make of the estimate, times (base_rates.py)."""

    weight: Amount
    basis: Basis
    why: str
    counted: Annotated[float, Unwritten()] = 1.0


@dataclass(frozen=True)
class PriorFactor:
    """What multiplies the prior on rigs where `when` holds."""

    when: When
    times: Amount
    because: str


@dataclass(frozen=True)
class RootCause:
    """Why the failure mode came about, and what mends that; `when` rig facts it depends on."""

    cause: str
    mend: str
    when: When


@dataclass(frozen=True)
class Verify:
    """The reading that proves the fix. below, above: limits in the reading's unit, or None for
    the healthy band of the rig."""

    reading: Annotated[AReading, At("read")]
    below: Annotated[float | None, In(of="reading.unit"), Unsaid(None)]
    above: Annotated[float | None, In(of="reading.unit"), Unsaid(None)]
    why: Some
    expect: Literal["healthy"] = "healthy"
