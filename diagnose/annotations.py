"""What the type of a record's field cannot say: for `Annotated`, as record_reader.py goes by it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class At:
    """Under which key it stands, where that is not the field's name; dots lead into parts."""

    key: str


@dataclass(frozen=True)
class Name:
    """It is the key under which the record itself stands."""


@dataclass(frozen=True)
class Limits:
    """The least and the most that a number can be, both allowed, and the reason."""

    least: float | None = None
    most: float | None = None
    why: str = ""

    def hold(self, value: float) -> bool:
        """Whether a number lies within them."""
        low = self.least is None or value >= self.least
        return low and (self.most is None or value <= self.most)


@dataclass(frozen=True)
class In:
    """A quantity. unit: the one that the program works in; of: where an earlier field has it
    instead, as "reading.unit"."""

    unit: str = ""
    of: str = ""


@dataclass(frozen=True)
class OneOf:
    """One of these words, which may depend on what the record is called. called: what they are, if
    that is not the key."""

    words: Collection[str] | Callable[[str], Collection[str]]
    called: str = ""


@dataclass(frozen=True)
class Of:
    """The name of another record. kind: what such a one is called, as "failure mode"; patterns:
    whether `*` may stand in it for any words."""

    kind: str
    patterns: bool = False


@dataclass(frozen=True)
class By:
    """A text. take: makes the value of it, called with the text and its place; stand_in: for one
    that is refused with a DiagnoseError; without it the record is left out; write: the text
    again."""

    take: Callable[..., Any]
    stand_in: Any = None
    write: Callable[[Any], str] = str


@dataclass(frozen=True)
class Plain:
    """Anything. take: makes the value of it as plain mappings, lists, texts and numbers."""

    take: Callable[[Any], Any]


@dataclass(frozen=True)
class From:
    """take: makes the value of the whole section that the record is read from, and of the fields
    so far; write: what is written of the record again, or nothing."""

    take: Callable[..., Any]
    write: Callable[[Any], Any] | None = None


@dataclass(frozen=True)
class Unsaid:
    """usual: what is taken where it is left out, or what makes that of the fields before; REQUIRED
    where a file has to have what the class has a default for."""

    usual: Any


@dataclass(frozen=True)
class Unwritten:
    """It stands in no file: the program gives it, and its default until then."""
