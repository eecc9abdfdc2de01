"""How a value of a type is taken from a document: for the fields of records (record_reader.py)."""

from __future__ import annotations

import types
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from fnmatch import fnmatchcase
from functools import partial
from typing import (
    Annotated,
    Any,
    Literal,
    NamedTuple,
    Protocol,
    TypeVar,
    Union,
    get_args,
    get_origin,
    get_type_hints,
)

from diagnose import values
from diagnose.annotations import At, By, In, Limits, Of, OneOf, Plain
from diagnose.documents import REQUIRED, Section
from diagnose.errors import BadDocument, DiagnoseError, Place, UnknownName, nearest
from diagnose.strict_yaml import Node, plain

M = TypeVar("M")

UNREAD: Any = object()
"""Stands for what could not be read, where nothing harmless can."""


class Known(Protocol):
    """The records that others may name."""

    def names(self, kind: str, /) -> Collection[str] | None:
        """What those of a kind are called; None where any name will do."""


class Names(dict[str, Collection[str]]):
    """Names by kind."""

    def names(self, kind: str) -> Collection[str] | None:
        return self.get(kind)


class Entry(NamedTuple):
    """One record while it is read. got: the fields so far; read: what reads a record in it."""

    section: Section
    name: str
    known: Known | None
    got: dict[str, Any]
    read: Callable[..., Any]


Marks = tuple[Any, ...]
Take = Callable[[Node, Place, Entry], Any]


class Way(NamedTuple):
    """How a value is taken, and what stands in for one that is refused."""

    take: Take
    stand_in: Any


def taken(section: Section, key: str, way: Way, entry: Entry, default: Any = REQUIRED) -> Any:
    """The value under a key."""
    return section.take(key, lambda n, p: way.take(n, p, entry), way.stand_in, default)


def split(hint: Any) -> tuple[Any, Marks]:
    """A type and what is noted beside it."""
    return (hint.__origin__, hint.__metadata__) if get_origin(hint) is Annotated else (hint, ())


def mark(marks: Marks, kind: type[M]) -> M | None:
    """The note of that kind, if there is one."""
    return next((one for one in marks if isinstance(one, kind)), None)


def path_of(name: str, marks: Marks) -> tuple[str, ...]:
    """The keys that lead to a field."""
    at = mark(marks, At)
    return tuple((at.key if at else name).split("."))


def way_of(hint: Any, key: str, beside: Marks = ()) -> Way:
    """How a value is taken of which the type says what it is; key: where, for the messages;
    beside: what is noted beside the type as a whole."""
    base, marks = split(hint)
    marks = (*marks, *beside)
    if by := mark(marks, By):
        stand_in = UNREAD if by.stand_in is None else by.stand_in
        return Way(lambda n, p, _: by.take(values.text(n, p), p), stand_in)
    if made := mark(marks, Plain):
        return Way(lambda n, _, __: made.take(plain(n)), UNREAD)
    one_of = mark(marks, OneOf)
    key = (one_of and one_of.called) or key
    if isinstance(base, type) and issubclass(base, Enum):
        words = one_of.words if one_of else [one.value for one in base]
        return Way(partial(_member, base, _choice(words, key)), UNREAD)
    if one_of:
        return _choice(one_of.words, key)
    if base is str:
        of = mark(marks, Of)
        return Way(partial(_reference, of) if of else lambda n, p, _: values.text(n, p), "")
    if base is bool:
        return Way(lambda n, p, _: values.flag(n, p), False)
    if base in (int, float):
        return _number(base is int, mark(marks, Limits) or Limits(), mark(marks, In))
    if is_dataclass(base):
        return Way(partial(_record, base), UNREAD)
    return _of_several(base, marks, key)


def _of_several(base: Any, marks: Marks, key: str) -> Way:
    """The same of a type that is made of others."""
    origin, args = get_origin(base), get_args(base)
    if origin is Literal:
        return _choice(args, key)
    if origin in (Union, types.UnionType):
        members = [one for one in args if one is not type(None)]
        if len(members) > 1:
            return Way(partial(_one_of, {_head(one): one for one in members}), UNREAD)
        return Way(partial(_or_none, way_of(members[0], key, marks).take), None)
    if origin is tuple and get_origin(args[0]) is tuple:
        names, held = get_args(args[0])
        return _mapping(names, held, key, lambda found: tuple(found.items()))
    if origin is tuple:
        return Way(partial(_items, way_of(args[0], f"word of {key}").take), ())
    if origin is Mapping:
        return _mapping(args[0], args[1], key, dict)
    raise TypeError(f"nothing says how {base} is read")


def _or_none(take: Take, node: Node, place: Place, entry: Entry) -> Any:
    found = take(node, place, entry)
    return None if found is UNREAD else found


def _choice(words: Any, key: str) -> Way:
    if callable(words):
        return Way(lambda n, p, entry: values.choice(n, p, key, words(entry.name)), "")
    return Way(lambda n, p, _: values.choice(n, p, key, words), next(iter(words), ""))


def _member(kind: type[Enum], way: Way, node: Node, place: Place, entry: Entry) -> Enum:
    return kind(way.take(node, place, entry))


def _number(whole: bool, limits: Limits, quantity: In | None) -> Way:
    least, most = limits.least, limits.most

    def counted(node: Node, place: Place, entry: Entry) -> int:
        value = values.number(node, place, least, most)
        if not value.is_integer():
            raise BadDocument("should be a whole number", place)
        return int(value)

    def measured(node: Node, place: Place, entry: Entry) -> Any:
        assert quantity is not None
        unit = quantity.unit or _within(entry.got, quantity.of)
        return values.quantity(node, place, unit, least, most) if unit else UNREAD

    if quantity:
        return Way(measured, least or 0.0)
    if whole:
        return Way(counted, 0)
    return Way(lambda n, p, _: values.number(n, p, least, most), least or 0.0)


def _within(got: Mapping[str, Any], path: str) -> Any:
    """What a field, or something in it, has come to; "" where it could not be read."""
    first, *rest = path.split(".")
    found = got[first]
    for name in rest:
        found = "" if found is UNREAD else getattr(found, name)
    return found


def _reference(of: Of, node: Node, place: Place, entry: Entry) -> str:
    """The name of another record, which has to be there where that is known."""
    name = values.text(node, place)
    _check_known(of, name, place, entry)
    return name


def _check_known(of: Of, name: str, place: Place, entry: Entry) -> None:
    names = entry.known.names(of.kind) if entry.known else None
    if names is not None and not named(name, names, of.patterns):
        entry.section.problem(UnknownName(of.kind, name, place, nearest(name, names)))


def unknown(kind: str, name: str, names: Iterable[str]) -> str:
    """The sentence for a name that nobody defines, with the nearest one that somebody does."""
    known = tuple(names)
    return UnknownName(kind, name, None, nearest(name, known), known).message


def named(name: str, names: Collection[str], patterns: bool = False) -> bool:
    """Whether a name is one of those known; patterns: `*` stands in it for any words."""
    if patterns and "*" in name:
        return any(fnmatchcase(one, name) for one in names)
    return name in names


def _items(take: Take, node: Node, place: Place, entry: Entry) -> tuple[Any, ...]:
    found = entry.section.items(node, place, lambda n, p: take(n, p, entry))
    return tuple(one for one in found if one is not UNREAD)


def _record(kind: Any, node: Node, place: Place, entry: Entry) -> Any:
    return entry.read(kind, entry.section.part(node, place), entry.name, entry.known)


def _one_of(heads: Mapping[str, type], node: Node, place: Place, entry: Entry) -> Any:
    """The record of which the first key stands there."""
    key = entry.section.part(node, place).only(heads)
    return _record(heads[key], node, place, entry) if key else UNREAD


def _head(kind: Any) -> str:
    """The first key of a record."""
    first = fields(kind)[0].name
    hints = get_type_hints(kind, include_extras=True)
    return path_of(first, split(hints[first])[1])[0]


def _mapping(names: Any, held: Any, key: str, made: Callable[[dict[str, Any]], Any]) -> Way:
    """A mapping of any keys to values of one kind."""
    way, by, of = way_of(held, key), mark(split(names)[1], By), mark(split(names)[1], Of)
    records = is_dataclass(split(held)[0])

    def reading(node: Node, place: Place, entry: Entry) -> Any:
        part, found = entry.section.part(node, place), {}
        for word in part:
            one = taken(part, word, way, entry._replace(name=word) if records else entry)
            if of:
                _check_known(of, word, part.place_of(word), entry)
            name = _name(by, part, word) if by else word
            if by and name in found:
                part.wrong(word, "is given twice")
            if one is not UNREAD:
                found[name] = one
        return made(found)

    return Way(reading, made({}))


def _name(by: By, part: Section, word: str) -> Any:
    """What a key stands for; itself, with a problem noted, where it is refused."""
    try:
        return by.take(word, part.place_of(word))
    except DiagnoseError as problem:
        part.problem(problem)
        return word
