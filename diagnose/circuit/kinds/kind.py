"""What a kind of part is: where it may stand, what its file says of it, and what it does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

PREFIX = "part:"
"""How the parameters of a listed part begin, its name after it."""


@dataclass(frozen=True)
class Part:
    """One part of a rig. kind: of KINDS; name: as its owner calls it, its kind where it is the only
    one; values: key to SI float or word, as sorted pairs; branches: of parts in parallel."""

    kind: str
    name: str
    values: tuple[tuple[str, float | str], ...] = ()
    branches: tuple[Part, ...] = ()

    @property
    def said(self) -> str:
        """Its name in a sentence."""
        return self.name.replace("_", " ")

    def number(self, key: str) -> float:
        """A value that is a number [SI]."""
        return float(dict(self.values)[key])

    def word(self, key: str) -> str:
        """A value that is a word."""
        return str(dict(self.values)[key])

    def parameter(self, suffix: str = "") -> str:
        """The name of one of its circuit parameters."""
        return f"{PREFIX}{self.name}" + (f".{suffix}" if suffix else "")


@dataclass(frozen=True)
class Value:
    """A value that a rig file may give. unit: "" for a word out of `options`; default: with its
    unit, as a file would say it; key: its row of figure table rig-bounds."""

    unit: str
    default: str
    options: tuple[str, ...] = ()


@dataclass(frozen=True)
class Kind:
    """places: feed, control or both; values: what a file may say of it; points: test points of the
    first of its kind where they are not called after it; parameters: circuit parameters of the
    first of its kind, in the order of the current, where they are no `part` ones; ohms: figure of
    its contact when sound; sign: how it is drawn (fuse, switch, plug, box); poles: whether the
    minus goes through it too; calls, by_hand: whether it starts and stops the pump, and whether a
    hand or foot does so; opens_below: key of the volts under which it opens by itself; protects:
    whether it opens at too much current."""

    name: str
    places: tuple[str, ...]
    values: Mapping[str, Value] = field(default_factory=dict)
    points: tuple[str, str] | None = None
    parameters: tuple[str, ...] = ()
    ohms: str = "part-contact"
    sign: str = "switch"
    poles: bool = False
    calls: bool = False
    by_hand: bool = False
    opens_below: str = ""
    protects: bool = False
