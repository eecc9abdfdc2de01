"""Documents as mappings that remember where everything was written.

    rig = load(path)
    pump = rig.section("pump")
    current = pump.quantity("current", "A", minimum=0.5)
    flow = pump.quantity("flow", "gal/min", default=4.0)
    rig.finish()

Reading never stops at the first problem. Each method notes what is wrong, returns a harmless
stand-in and goes on; `finish` raises everything that was noted, and every key nobody asked for.
What has been read is worth nothing until `finish` has returned.
"""

import math
from collections.abc import Callable, Collection, Iterator
from functools import partial
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

from diagnose import strict_yaml
from diagnose.errors import (
    BadDocument,
    BadQuantity,
    DiagnoseError,
    Mistakes,
    Place,
    UnknownName,
    nearest,
    quoted,
)
from diagnose.strict_yaml import Node, Notes
from diagnose.units import read_quantity

T = TypeVar("T")
R = TypeVar("R")
Take: TypeAlias = Callable[[Node, Place], R]

REQUIRED: Any = object()
"""Stands for: no default, the key must be there."""

_NOTHING: tuple[Any, ...] = ()


def load(path: Path) -> "Section":
    """The document in a file. Raises BadDocument when it cannot be read at all."""
    try:
        with path.open("rb") as file:
            source = file.read(strict_yaml.LARGEST + 1)
    except FileNotFoundError:
        raise BadDocument("there is no such file", Place(str(path))) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a file name"
        raise BadDocument(f"the file cannot be read: {reason}", Place(str(path))) from None
    return parse(source, str(path))


def parse(text: str | bytes, name: str) -> "Section":
    """The document in a text; `name` is what messages call it. Raises as `load` does."""
    notes = Notes()
    node = strict_yaml.read(text, name, notes)
    if not isinstance(node.value, dict):
        raise BadDocument("should be a mapping of keys to values", Place(name, node.line))
    return Section(node.value, Place(name), notes)


class Section:
    """A mapping of a document, with the place of everything in it.

    A missing key takes its `default`; with none given the key is required. A default is returned
    as it is, unchecked. All methods that read a key count it as known.
    """

    def __init__(self, entries: dict[str, Node], place: Place, notes: Notes):
        self.place = place
        self._entries, self._notes = entries, notes
        self._asked: set[str] = set()
        self._children: dict[str, tuple[Section, ...]] = {}
        self._named_items: dict[str, tuple[tuple[str, Section, Place], ...]] = {}

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def keys(self) -> tuple[str, ...]:
        """The keys that are there, in the order of the document; this does not count as reading."""
        return tuple(self._entries)

    def has(self, key: str) -> bool:
        """Whether the key is there. The key counts as known from now on."""
        self._asked.add(key)
        return key in self._entries

    __contains__ = has

    def place_of(self, key: str) -> Place:
        """Where the key is, or for a missing key, where it should have been."""
        line = self._entries[key].line if key in self._entries else self.place.line
        return Place(self.place.file, line, f"{self.place.key}.{key}" if self.place.key else key)

    def raw(self, key: str) -> Any:
        """The value as plain dicts, lists, texts and numbers, unchecked; None when missing."""
        self._asked.add(key)
        return strict_yaml.plain(self._entries[key]) if key in self._entries else None

    def text(self, key: str, default: T = REQUIRED) -> str | T:
        """A text that is not empty."""
        return self._read(key, default, "", _text)

    def number(
        self,
        key: str,
        default: T = REQUIRED,
        minimum: float | None = None,
        maximum: float | None = None,
    ) -> float | T:
        """A bare number from `minimum` to `maximum`, both allowed."""
        take = partial(_number, minimum=minimum, maximum=maximum)
        return self._read(key, default, minimum or 0.0, take)

    def quantity(
        self,
        key: str,
        unit: str,
        default: T = REQUIRED,
        minimum: float | None = None,
        maximum: float | None = None,
    ) -> float | T:
        """A quantity as a float in `unit`, as are the limits, both allowed."""
        take = partial(_quantity, unit=unit, minimum=minimum, maximum=maximum)
        return self._read(key, default, minimum or 0.0, take)

    def flag(self, key: str, default: T = REQUIRED) -> bool | T:
        """true or false."""
        return self._read(key, default, False, _flag)

    def choice(self, key: str, options: Collection[str], default: T = REQUIRED) -> str | T:
        """A text that is one of `options`."""
        stand_in = next(iter(options), "")
        return self._read(key, default, stand_in, partial(_choice, kind=key, options=options))

    def texts(self, key: str, default: T = REQUIRED) -> tuple[str, ...] | T:
        """A list of texts."""
        return self._read(key, default, _NOTHING, partial(self._items, take=_text))

    def placed(self, key: str) -> tuple[tuple[str, Place], ...]:
        """A list of texts, each with its place; empty when missing."""
        return self._read(key, _NOTHING, _NOTHING, partial(self._items, take=_placed))

    def numbers(self, key: str, default: T = REQUIRED) -> tuple[float, ...] | T:
        """A list of bare numbers."""
        return self._read(key, default, _NOTHING, partial(self._items, take=_number))

    def section(self, key: str, default: T = REQUIRED) -> "Section | T":
        """A mapping."""
        stand_in = Section({}, self.place_of(key), Notes(muted=True))
        if key not in self._entries:
            return self._read(key, default, stand_in, self._section)
        if key not in self._children:
            self._children[key] = (self._read(key, stand_in, stand_in, self._section),)
        return self._children[key][0]

    def sections(self, key: str, default: T = REQUIRED) -> "tuple[Section, ...] | T":
        """A list of mappings."""
        take = partial(self._items, take=self._section)
        if key not in self._entries:
            return self._read(key, default, _NOTHING, take)
        if key not in self._children:
            self._children[key] = self._read(key, _NOTHING, _NOTHING, take)
        return self._children[key]

    def named(self, key: str) -> "tuple[tuple[str, Section, Place], ...]":
        """A list whose items are a name alone, or one name with a mapping (or a list) of what is
        said of it, which then stands in the section under `items`; empty when missing."""
        if key not in self._children:
            found = self._read(key, _NOTHING, _NOTHING, partial(self._items, take=self._named))
            self._children[key] = tuple(section for _, section, _ in found)
            self._named_items[key] = found
        return self._named_items[key]

    def problem(self, error: DiagnoseError) -> None:
        """Note a problem that the caller found; `finish` will raise it with the others."""
        self._notes.note(error)

    def close(self) -> None:
        """Note every key that nobody asked for, here and in every section that was read."""
        for key in self._entries:
            if key not in self._asked:
                near = nearest(key, self._asked)
                self.problem(UnknownName("key", key, self.place_of(key), near, self._asked))
        for children in self._children.values():
            for child in children:
                child.close()

    def finish(self) -> None:
        """Close the document, then raise Mistakes if any problem was noted anywhere in it."""
        self.close()
        if self._notes.problems:
            raise Mistakes(sorted(self._notes.problems, key=_line))

    def _read(self, key: str, default: T, stand_in: R, take: Take[R]) -> R | T:
        """What `take` makes of the key; its default; or, with a problem noted, the stand-in."""
        self._asked.add(key)
        node = self._entries.get(key)
        if node is None and default is not REQUIRED:
            return default
        place = self.place_of(key)
        try:
            if node is None:
                raise BadDocument("this key is needed here and is missing", place)
            if node.value is None:
                raise BadDocument("has no value; give it one, or take the key away", place)
            return take(node, place)
        except (BadDocument, BadQuantity, UnknownName) as error:
            self._complain(error)
            return stand_in

    def _complain(self, error: DiagnoseError) -> None:
        """Note an error, unless it only echoes what the YAML reader said of the same place."""
        if error.place not in self._notes.doubtful:
            self._notes.note(error)

    def _items(self, node: Node, place: Place, take: Take[R]) -> tuple[R, ...]:
        """What `take` makes of each item of a list; refused items are noted and left out."""
        if not isinstance(node.value, list):
            raise BadDocument(f"should be a list, not {_shown(node)}", place)
        taken = []
        for number, item in enumerate(node.value, 1):
            try:
                taken.append(take(item, Place(place.file, item.line, f"{place.key}[{number}]")))
            except (BadDocument, BadQuantity, UnknownName) as error:
                self._complain(error)
        return tuple(taken)

    def _section(self, node: Node, place: Place) -> "Section":
        if not isinstance(node.value, dict):
            raise BadDocument(f"should be a mapping of keys to values, not {_shown(node)}", place)
        return Section(node.value, place, self._notes)

    def _named(self, node: Node, place: Place) -> "tuple[str, Section, Place]":
        if isinstance(node.value, str) and node.value.strip():
            return node.value, Section({}, place, self._notes), place
        if not isinstance(node.value, dict) or len(node.value) != 1:
            shape = "a name, or one name with what is said of it, such as fuse: {rating: 15 A}"
            raise BadDocument(f"should be {shape}, not {_shown(node)}", place)
        ((name, held),) = node.value.items()
        where = Place(place.file, held.line or place.line, f"{place.key}.{name}")
        if isinstance(held.value, list):
            return name, Section({"items": held}, where, self._notes), where
        return name, self._section(held, where), where


def _text(node: Node, place: Place) -> str:
    if not isinstance(node.value, str):
        raise BadDocument(f"should be text, not {_shown(node)}; quotes make it text", place)
    if not node.value.strip():
        raise BadDocument("should be text, and is empty", place)
    return node.value


def _placed(node: Node, place: Place) -> tuple[str, Place]:
    return _text(node, place), place


def _number(
    node: Node, place: Place, minimum: float | None = None, maximum: float | None = None
) -> float:
    if isinstance(node.value, bool) or not isinstance(node.value, int | float):
        raise BadDocument(f"should be a bare number, such as 0.5, not {_shown(node)}", place)
    return _within(float(node.value), "", minimum, maximum, place)


def _quantity(
    node: Node, place: Place, unit: str, minimum: float | None, maximum: float | None
) -> float:
    if not isinstance(node.value, str | int | float):
        raise BadDocument(f"should be a number with its unit, not {_shown(node)}", place)
    return _within(read_quantity(node.value, unit, place), unit, minimum, maximum, place)


def _flag(node: Node, place: Place) -> bool:
    if not isinstance(node.value, bool):
        raise BadDocument(f"should be true or false, not {_shown(node)}", place)
    return node.value


def _choice(node: Node, place: Place, kind: str, options: Collection[str]) -> str:
    if not isinstance(node.value, str):
        choices = ", ".join(options)
        raise BadDocument(f"should be one of {choices}, not {_shown(node)}", place)
    if node.value not in options:
        raise UnknownName(kind, node.value, place, nearest(node.value, options), options)
    return node.value


def _within(
    value: float, unit: str, minimum: float | None, maximum: float | None, place: Place
) -> float:
    """`value`, refused with the limit in the sentence when it is beyond one."""
    if minimum is not None and value < minimum:
        raise BadQuantity(f"should be at least {minimum:g} {unit}".rstrip(), place)
    if maximum is not None and value > maximum:
        raise BadQuantity(f"should be at most {maximum:g} {unit}".rstrip(), place)
    return value


def _shown(node: Node) -> str:
    """A value as a message may show it."""
    if isinstance(node.value, dict):
        return "a mapping"
    if isinstance(node.value, list):
        return "a list"
    if isinstance(node.value, bool) or node.value is None:
        return str(node.value).lower().replace("none", "nothing")
    return quoted(str(node.value))


def _line(problem: DiagnoseError) -> float:
    """For putting problems in order: of the whole document, of its lines, of no known place."""
    return math.inf if problem.place is None else problem.place.line or 0
