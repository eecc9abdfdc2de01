"""What several kinds of entries have in common: conditions on the rig, words, names, a reading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, TypeAlias

from diagnose.annotations import By, From, Limits, Of, OneOf, Plain, Unsaid
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import PART
from diagnose.circuit.reading_words import ALL_POINTS, reading_of
from diagnose.documents import Section
from diagnose.errors import Place
from diagnose.field_types import unknown
from diagnose.figures import BASES
from diagnose.record_reader import key_reader

WAYS = ("told", "look", "hands", "ohms", "rest", "power")
"""How a test is done: told by somebody; looked at with the rig off; done by hand with the rig off;
ohms with the battery off; a meter at the battery with everything off; or under power: the rig, a
charger or an engine is on."""

HAZARDS = ("arc", "burn", "spray", "start")
"""What a test can do to a person: live metal arcs, something hot burns, what holds pressure or a
chemical sprays, the pump starts."""

SLOT = "{part}"
"""Where a template has the name of its part."""

POINTS_OF_A_PART = tuple(f"{SLOT}.{end}" for end in ("in", "out", "minus.in", "minus.out"))

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
    return reading_of(text, place, POINTS_OF_A_PART)


AReading: TypeAlias = Annotated[Reading, By(_reading)]
BASIS = OneOf(BASES)
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
        if point in POINTS_OF_A_PART and PART not in applies:
            yield key, unknown("test point", point, ALL_POINTS)


def when(section: Section, key: str) -> When:
    """Rig facts that must hold, each with a value or a list of values; none without the key."""
    found: When = key_reader(When, key)(section)
    return found


def words(part: Section) -> Mapping[str, str]:
    """A mapping of names to texts."""
    return {key: part.text(key) for key in part}
