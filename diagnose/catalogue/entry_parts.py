"""What several kinds of entries have in common: conditions on the rig, words, a reading."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.catalogue.records import When
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import PART
from diagnose.circuit.reading_words import OF_ANY_PART, reading_of
from diagnose.documents import Section
from diagnose.errors import DiagnoseError

STAND_IN = Reading("voltage", ("battery+", "battery-"), "rest")
"""Stands for a reading that cannot be read, so that the rest of the file is still looked at."""


def applies(section: Section) -> When:
    """Where an entry applies: rig facts, and of a template the kinds of parts that it is about."""
    facts = when(section, "applies")
    return {**facts, PART: _values(section.raw(PART))} if section.has(PART) else facts


def when(section: Section, key: str) -> When:
    """Rig facts that must hold, each with a value or a list of values; none without the key."""
    part = section.section(key, default=None)
    return {} if part is None else {name: _values(part.raw(name)) for name in part}


def _values(raw: object) -> tuple[str, ...]:
    return tuple(_word(one) for one in (raw if isinstance(raw, list) else [raw]))


def _word(value: object) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def words(part: Section) -> Mapping[str, str]:
    """A mapping of names to texts."""
    return {key: part.text(key) for key in part}


def shows(section: Section, key: str = "shows") -> Mapping[str, Mapping[str, str]]:
    """What is seen: observation to answer to word; nothing when the key is missing."""
    part = section.section(key, default=None)
    return {} if part is None else {name: words(part.section(name)) for name in part}


def reading(section: Section, key: str, of_a_part: bool = False) -> Reading:
    """The reading that stands under `key`, whose points may be those of a listed part; for one
    that cannot be read, with a problem noted, a stand-in."""
    text = section.text(key)
    try:
        points = OF_ANY_PART if of_a_part else ()
        return reading_of(text, section.place_of(key), points) if text else STAND_IN
    except DiagnoseError as error:
        section.problem(error)
        return STAND_IN
