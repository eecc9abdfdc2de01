"""What a kind of part is: where it may stand and what it does; its values are in the form."""

from __future__ import annotations

from dataclasses import dataclass

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
class Kind:
    """places: feed, control or both, or battery; points: test points of the
    first of its kind where they are not called after it; parameters: circuit parameters of the
    first of its kind, in the order of the current, where they are no `part` ones; ohms: figure of
    its contact when sound; sign: how it is drawn (fuse, switch, plug, box); poles: whether the
    minus goes through it too; at_motor: whether that lies on the motor's side of the stud; calls:
    whether it starts and stops the pump; by_hand: whether a hand, a foot or a key works it;
    opens_below: key of the volts under which it opens by itself; protects: whether it opens at too
    much current."""

    name: str
    places: tuple[str, ...]
    points: tuple[str, str] | None = None
    parameters: tuple[str, ...] = ()
    ohms: str = "part-contact"
    sign: str = "switch"
    poles: bool = False
    at_motor: bool = False
    calls: bool = False
    by_hand: bool = False
    opens_below: str = ""
    protects: bool = False

    @property
    def by_itself(self) -> bool:
        """Whether it starts and stops the pump with nobody there."""
        return self.calls and not self.by_hand
