"""Where in the files a record's values stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from typing import Any, get_args

from diagnose.annotations import By, Plain
from diagnose.errors import Place
from diagnose.field_types import split
from diagnose.record_reader import fields_of


def every(record: Any, mark: object) -> Iterator[tuple[Place, Any]]:
    """All that a record holds of a type, or under a mark, each with its place."""
    for field in fields_of(type(record)):
        place = under(record.place, *field.path)
        yield from _every(getattr(record, field.name), field.hint, place, mark)


def _every(value: Any, hint: Any, place: Place, mark: object) -> Iterator[tuple[Place, Any]]:
    base, marks = split(hint)
    if value is not None and (mark in marks or base is mark):
        yield place, value
    if any(isinstance(one, By | Plain) for one in marks):
        return
    args = get_args(base)
    if is_dataclass(value):
        for field in fields_of(type(value)):
            here = under(place, *field.path)
            yield from _every(getattr(value, field.name), field.hint, here, mark)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from _every(key, args[0], under(place, key), mark)
            yield from _every(one, args[1], under(place, key), mark)
    elif isinstance(value, tuple) and len(args) == 2 and args[1] is ...:
        for number, one in enumerate(value, 1):
            yield from _every(one, args[0], under(place, number), mark)


def under(place: Place, *keys: str | int) -> Place:
    """The place of something below `place`: keys of mappings, and items of lists from 1."""
    path = place.key
    for key in keys:
        path += f"[{key}]" if isinstance(key, int) else f".{key}" if path else key
    return Place(place.file, place.line, path)
