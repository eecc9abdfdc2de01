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
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

from diagnose import strict_yaml, values
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

T = TypeVar("T")
R = TypeVar("R")
S = TypeVar("S")
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


def mapped(entries: Mapping[str, Any], place: Place) -> "Section":
    """Plain values, such as a line of JSON has, as a section; all of it stands on one line."""
    nodes = {key: strict_yaml.node_of(value, place.line or 0) for key, value in entries.items()}
    return Section(nodes, place, Notes())


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
        return self.take(key, values.text, "", default)

    def number(
        self,
        key: str,
        default: T = REQUIRED,
        minimum: float | None = None,
        maximum: float | None = None,
    ) -> float | T:
        """A bare number from `minimum` to `maximum`, both allowed."""
        take = partial(values.number, minimum=minimum, maximum=maximum)
        return self.take(key, take, minimum or 0.0, default)

    def quantity(
        self,
        key: str,
        unit: str,
        default: T = REQUIRED,
        minimum: float | None = None,
        maximum: float | None = None,
    ) -> float | T:
        """A quantity as a float in `unit`, as are the limits, both allowed."""
        take = partial(values.quantity, unit=unit, minimum=minimum, maximum=maximum)
        return self.take(key, take, minimum or 0.0, default)

    def flag(self, key: str, default: T = REQUIRED) -> bool | T:
        """true or false."""
        return self.take(key, values.flag, False, default)

    def choice(self, key: str, options: Collection[str], default: T = REQUIRED) -> str | T:
        """A text that is one of `options`."""
        take = partial(values.choice, kind=key, options=options)
        return self.take(key, take, next(iter(options), ""), default)

    def texts(self, key: str, default: T = REQUIRED) -> tuple[str, ...] | T:
        """A list of texts."""
        return self.take(key, partial(self.items, take=values.text), _NOTHING, default)

    def placed(self, key: str) -> tuple[tuple[str, Place], ...]:
        """A list of texts, each with its place; empty when missing."""
        return self.take(key, partial(self.items, take=_placed), _NOTHING, _NOTHING)

    def numbers(self, key: str, default: T = REQUIRED) -> tuple[float, ...] | T:
        """A list of bare numbers."""
        return self.take(key, partial(self.items, take=values.number), _NOTHING, default)

    def section(self, key: str, default: T = REQUIRED) -> "Section | T":
        """A mapping."""
        if key not in self._entries and default is not REQUIRED:
            self._asked.add(key)
            return default
        if key not in self._children:
            found = self.take(key, self.part, None)
            self._children[key] = (
                found if found is not None else Section({}, self.place_of(key), Notes(muted=True)),
            )
        return self._children[key][0]

    def sections(self, key: str, default: T = REQUIRED) -> "tuple[Section, ...] | T":
        """A list of mappings."""
        take = partial(self.items, take=self.part)
        if key not in self._entries:
            return self.take(key, take, _NOTHING, default)
        if key not in self._children:
            self._children[key] = self.take(key, take, _NOTHING, _NOTHING)
        return self._children[key]

    def named(self, key: str) -> "tuple[tuple[str, Section, Place], ...]":
        """A list whose items are a name alone, or one name with a mapping (or a list) of what is
        said of it, which then stands in the section under `items`; empty when missing."""
        if key not in self._children:
            found = self.take(key, partial(self.items, take=self._named), _NOTHING, _NOTHING)
            self._children[key] = tuple(section for _, section, _ in found)
            self._named_items[key] = found
        return self._named_items[key]

    def only(self, keys: Collection[str]) -> str | None:
        """The one of `keys` that is there; None, with a problem noted, for none or several."""
        found = [key for key in keys if self.has(key)]
        if len(found) == 1:
            return found[0]
        self._asked.update(self._entries)
        had = ", ".join(found or self._entries) or "nothing"
        near = None if found else next(filter(None, (nearest(key, keys) for key in self)), None)
        hint = f" Did you mean {quoted(near)}?" if near else ""
        self.wrong("", f"give exactly one of {', '.join(keys)}; here is {had}.{hint}")
        return None

    def problem(self, error: DiagnoseError) -> None:
        """Note a problem that the caller found; `finish` will raise it with the others."""
        self._notes.note(error)

    def wrong(self, key: str, sentence: str) -> None:
        """Note what is wrong where a path of keys leads to, or with the whole where it is empty."""
        at = strict_yaml.descend(strict_yaml.Node(self._entries, self.place.line or 0), key)[0]
        path = ".".join(filter(None, (self.place.key, key)))
        self.problem(BadDocument(sentence, Place(self.place.file, at.line or None, path)))

    def close(self) -> None:
        """Note every key that nobody asked for, here and in every section that was read."""
        for key in self._entries:
            if key not in self._asked:
                near = nearest(key, self._asked)
                self.problem(UnknownName("key", key, self.place_of(key), near, self._asked))
        self._asked.update(self._entries)
        for children in self._children.values():
            for child in children:
                child.close()

    def finish(self) -> None:
        """Close the document, then raise Mistakes if any problem was noted anywhere in it."""
        self.close()
        if self._notes.problems:
            raise Mistakes(sorted(self._notes.problems, key=_line))

    def take(self, key: str, take: Take[R], stand_in: S, default: T = REQUIRED) -> R | S | T:
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

    def items(self, node: Node, place: Place, take: Take[R]) -> tuple[R, ...]:
        """What `take` makes of each item of a list; refused items are noted and left out."""
        if not isinstance(node.value, list):
            raise BadDocument(f"should be a list, not {values.shown(node)}", place)
        taken = []
        for number, item in enumerate(node.value, 1):
            try:
                taken.append(take(item, Place(place.file, item.line, f"{place.key}[{number}]")))
            except (BadDocument, BadQuantity, UnknownName) as error:
                self._complain(error)
        return tuple(taken)

    def part(self, node: Node, place: Place) -> "Section":
        """A mapping below this one; whoever reads it closes it."""
        if not isinstance(node.value, dict):
            shape = "should be a mapping of keys to values"
            raise BadDocument(f"{shape}, not {values.shown(node)}", place)
        return Section(node.value, place, self._notes)

    def _named(self, node: Node, place: Place) -> "tuple[str, Section, Place]":
        if isinstance(node.value, str) and node.value.strip():
            return node.value, Section({}, place, self._notes), place
        if not isinstance(node.value, dict) or len(node.value) != 1:
            shape = "a name, or one name with what is said of it, such as fuse: {rating: 15 A}"
            raise BadDocument(f"should be {shape}, not {values.shown(node)}", place)
        ((name, held),) = node.value.items()
        where = Place(place.file, held.line or place.line, f"{place.key}.{name}")
        if isinstance(held.value, list):
            return name, Section({"items": held}, where, self._notes), where
        return name, self.part(held, where), where


def _placed(node: Node, place: Place) -> tuple[str, Place]:
    return values.text(node, place), place


def _line(problem: DiagnoseError) -> float:
    """For putting problems in order: of the whole document, of its lines, of no known place."""
    return math.inf if problem.place is None else problem.place.line or 0
