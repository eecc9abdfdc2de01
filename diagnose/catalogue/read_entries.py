"""Entries that stand many in a file: observations, readings, quantities, cautions, stops, the kit,
sources, words and complaints."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.catalogue.entry_parts import applies, reading, words
from diagnose.catalogue.records import (
    HAZARDS,
    WAYS,
    Caution,
    Complaint,
    Observation,
    Quantity,
    ReadingEntry,
    Source,
    Stop,
    Thing,
    Whereabouts,
)
from diagnose.circuit.meter import QUANTITIES
from diagnose.circuit.parameters import PART
from diagnose.documents import REQUIRED, Section
from diagnose.errors import BadDocument, UnknownName, nearest
from diagnose.figures import BASES

SOURCE_KINDS = ("standard", "regulation", "handbook", "web", "common-practice", "estimate")


def observation(section: Section) -> Observation:
    """One observation from its list entry."""
    options = words(section.section("options"))
    return Observation(
        id=section.text("id"),
        ask=section.text("ask"),
        how=section.text("how"),
        why=section.text("why"),
        options=options,
        otherwise=_shares(section, "otherwise", options),
        otherwise_basis=section.choice("otherwise_basis", BASES, default="estimate"),
        wrong=section.number("wrong", minimum=0.0, maximum=0.5),
        minutes=section.number("minutes", minimum=0.1),
        opens=section.flag("opens", default=False),
        state=section.text("state"),
        way=section.choice("way", WAYS),
        can=_of(section, "can", HAZARDS),
        unsafe_when=section.texts("unsafe_when", default=()),
        cautions=section.texts("cautions", default=()),
        applies=applies(section),
        predicted=section.flag("predicted", default=False),
        place=section.place,
        needs=section.texts("needs", default=()),
        tells=section.text("tells", default=""),
    )


def _shares(section: Section, key: str, options: Mapping[str, str]) -> Mapping[str, float]:
    part = section.section(key, default=None)
    if part is None:
        return {option: 1 / len(options) for option in options}
    return {name: part.number(name, minimum=0.0, maximum=1.0) for name in part}


def reading_entry(section: Section) -> ReadingEntry:
    """One reading worth asking for, from its list entry."""
    return ReadingEntry(
        reading=reading(section, "read", section.has(PART)),
        how=section.text("how"),
        why=section.text("why"),
        minutes=section.number("minutes", minimum=0.1),
        state=section.text("state"),
        cautions=section.texts("cautions", default=()),
        applies=applies(section),
        place=section.place,
    )


def quantity(name: str, section: Section) -> Quantity:
    """How one quantity is measured, and how well. The error of a temperature is a difference, so
    its degrees have no offset."""
    unit = section.choice("unit", _units(name))
    meter = section.section("meter")
    return Quantity(
        name=name,
        unit=unit,
        instrument=section.text("instrument"),
        needs=section.texts("needs", default=()),
        about=section.text("about"),
        how=section.text("how"),
        relative=meter.number("relative", minimum=0.0),
        absolute=meter.quantity("absolute", unit),
        basis=meter.choice("basis", BASES),
        source=meter.text("source"),
        impossible_above=section.quantity("impossible_above", unit),
        impossible_below=section.quantity("impossible_below", unit),
        why=section.text("why"),
        place=section.place,
    )


def _units(quantity: str) -> tuple[str, ...]:
    """The unit that the meter shows a quantity in, or all that it knows."""
    return (QUANTITIES[quantity],) if quantity in QUANTITIES else tuple(QUANTITIES.values())


def caution(name: str, section: Section) -> Caution:
    """One caution from under its id."""
    return Caution(
        name,
        section.text("text"),
        _of(section, "warns_of", HAZARDS),
        section.texts("sources"),
        section.place,
    )


def stop(section: Section) -> Stop:
    """One stop from its list entry."""
    found = Stop(
        id=section.text("id"),
        title=section.text("title"),
        text=section.text("text"),
        do=section.texts("do"),
        may=_of(section, "may", WAYS[:-1], default=()),
        keep_off=section.texts("keep_off", default=()),
        until=section.text("until", default=""),
        leave_to=section.text("leave_to", default=""),
        sources=section.texts("sources"),
        place=section.place,
    )
    if bool(found.until) == bool(found.leave_to):
        ends = "say how it ends: until what is done, or leave_to whom; one of the two"
        section.problem(BadDocument(ends, section.place))
    if found.may and found.leave_to:
        nothing = "nothing may be asked under a stop that no answer ends"
        section.problem(BadDocument(nothing, section.place_of("may")))
    return found


def _of(
    section: Section, key: str, known: tuple[str, ...], default: tuple[str, ...] = REQUIRED
) -> tuple[str, ...]:
    """A list of texts out of those known."""
    found: tuple[str, ...] = section.texts(key, default=default)
    for name in found:
        if name not in known:
            place = section.place_of(key)
            section.problem(UnknownName(f"word of {key}", name, place, nearest(name, known), known))
    return found


def thing(name: str, section: Section) -> Thing:
    """One thing of the kit from under its id."""
    return Thing(name, section.text("say"), section.texts("words", default=()), section.place)


def whereabouts(name: str, section: Section) -> Whereabouts:
    """One place to be at from under its id."""
    return Whereabouts(name, section.text("say"), section.texts("has"), section.place)


def source(name: str, section: Section) -> Source:
    """One source from under its key."""
    return Source(
        name,
        section.text("title"),
        section.choice("kind", SOURCE_KINDS),
        section.choice("basis", BASES),
        section.text("note", default=""),
        section.place,
    )


def complaint(section: Section) -> Complaint:
    """One complaint from its list entry."""
    rather = section.section("rather", default=None)
    return Complaint(
        section.text("id"),
        section.text("say"),
        words(section.section("seen")),
        section.text("group", default="Other"),
        section.place,
        section.number("told", default=1.0, minimum=0.01, maximum=5.0),
        words(rather) if rather is not None else {},
        section.number("even_so", default=1.0, minimum=0.01, maximum=1.0),
    )


def word(name: str, section: Section) -> float:
    """The probability that a word of `shows` stands for."""
    section.choice("basis", BASES)
    section.text("why")
    return section.number("probability", minimum=0.0, maximum=1.0)
