"""Records that read themselves: a frozen dataclass from the section in which it is written.

    @dataclass(frozen=True)
    class Quantity:
        name: Annotated[str, Name()]                    # the key under which the whole stands
        unit: Annotated[str, OneOf(UNITS)]
        error: Annotated[float, At("meter.error"), In(of="unit")]
        needs: tuple[Annotated[str, Of("thing")], ...] = ()
        place: Place

    quantity = read(Quantity, section)

A field stands under its own name, its type says what has to stand there, and with a default it may
be left out. Types are str, int, float, bool, a Literal, an Enum, another record, a choice of
records that are told apart by their first keys, X | None, tuple[X, ...], Mapping[str, X], and
tuple[tuple[str, X], ...] for a mapping whose order counts; annotations.py has the rest.

Every problem is noted in the section, a key that no field has too; `Section.finish` raises them.
What a type cannot show, a record says itself: its `flaws` are pairs of a key and what is wrong
there, and a class with `read_from(section, known)` is read by that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, fields
from typing import Any, NamedTuple, TypeVar, get_type_hints

from diagnose.annotations import From, Name, Unsaid, Unwritten
from diagnose.documents import REQUIRED, Section
from diagnose.errors import Place
from diagnose.field_types import UNREAD, Entry, Known, mark, path_of, split, taken, way_of

R = TypeVar("R")


class Field(NamedTuple):
    """A field, the keys that lead to it, and what reads it."""

    name: str
    hint: Any
    path: tuple[str, ...]
    default: Any
    read: Callable[[Entry], Any]


def read(kind: type[R], section: Section, name: str = "", known: Known | None = None) -> R:
    """The record in a section. name: the key under which it stands; known: what it may name, where
    that is to be checked. It is UNREAD where it lacks what nothing can stand in for."""
    own = getattr(kind, "read_from", None)
    made = own(section, known) if own else read_fields(kind, section, name, known)
    section.close()
    found: R = UNREAD if made is None else made
    return found


def read_fields(kind: type[R], section: Section, name: str = "", known: Known | None = None) -> R:
    """The same by its fields alone."""
    entry = Entry(section, name, known, {}, read)
    lacks = False
    for field in fields_of(kind):
        value = entry.got[field.name] = field.read(entry)
        lacks = lacks or value is UNREAD
    if lacks:
        unread: R = UNREAD
        return unread
    made = kind(**entry.got)
    for key, sentence in getattr(made, "flaws", tuple)():
        section.wrong(key, sentence)
    return made


def key_reader(hint: Any, key: str) -> Callable[[Section], Any]:
    """What reads the value under one key, as for a field of that type."""
    unsaid = mark(split(hint)[1], Unsaid)
    reading = _at_key(hint, (key,), unsaid.usual if unsaid else REQUIRED)
    return lambda section: reading(Entry(section, "", None, {}, read))


def read_list(
    kind: type[R], section: Section, key: str, known: Known | None = None
) -> tuple[R, ...]:
    """The records in a list."""
    found = (read(kind, part, known=known) for part in section.sections(key))
    return tuple(one for one in found if one is not UNREAD)


def read_mapping(kind: type[R], section: Section) -> dict[str, R]:
    """The records of which a section is a mapping, by their names."""
    found = {name: read(kind, section.section(name), name) for name in section}
    return {name: one for name, one in found.items() if one is not UNREAD}


def fields_of(kind: Any) -> tuple[Field, ...]:
    """The fields of a record, worked out once."""
    if kind not in _KNOWN:
        hints = get_type_hints(kind, include_extras=True)
        _KNOWN[kind] = tuple(_field(one, hints[one.name]) for one in fields(kind))
    return _KNOWN[kind]


_KNOWN: dict[Any, tuple[Field, ...]] = {}


def _field(one: Any, hint: Any) -> Field:
    base, marks = split(hint)
    path = path_of(one.name, marks)
    default = REQUIRED if one.default is MISSING else one.default
    if one.default_factory is not MISSING:
        default = one.default_factory()
    if base is Place:
        return Field(one.name, hint, (), default, lambda entry: entry.section.place)
    if mark(marks, Name):
        return Field(one.name, hint, (), default, lambda entry: entry.name)
    if mark(marks, Unwritten):
        return Field(one.name, hint, (), default, lambda _: default)
    if made := mark(marks, From):
        take = made.take
        return Field(one.name, hint, path, default, lambda entry: take(entry.section, entry.got))
    unsaid = mark(marks, Unsaid)
    reading = _at_key(hint, path, unsaid.usual if unsaid else default)
    return Field(one.name, hint, path, default, reading)


def _at_key(hint: Any, path: tuple[str, ...], default: Any) -> Callable[[Entry], Any]:
    """Reads what stands under a key, in the parts that lead to it."""
    *parts, key = path
    way = way_of(hint, key)
    lack = REQUIRED if default is REQUIRED else None

    def reading(entry: Entry) -> Any:
        section = entry.section
        for part in parts:
            found = section.section(part, lack)
            if found is None:
                return default
            section = found
        usual = default(entry.got) if callable(default) and not section.has(key) else default
        return taken(section, key, way, entry, usual)

    return reading
