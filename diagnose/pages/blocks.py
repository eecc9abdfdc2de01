"""The blocks of which a page is made, whichever face prints it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

STRONG, SOFT, WARN, STOP, PLAIN = "strong", "soft", "warn", "stop", ""
"""Tones of a text: what counts, what may be skipped, a caution, a danger, any other."""

NUMBERS, DASHES, MARKS = "1", "-", "!"
"""What stands before the points of a list: their numbers, nothing much, or a caution's mark."""


@dataclass(frozen=True)
class Text:
    """A sentence or more. inset: whether it belongs under what stands before it."""

    words: str
    tone: str = PLAIN
    inset: bool = False


@dataclass(frozen=True)
class Points:
    """A list. sign: what stands before each of them."""

    texts: tuple[str, ...]
    sign: str = DASHES


@dataclass(frozen=True)
class Share:
    """How likely something is: as it is said, as a number, and what."""

    said: str
    share: float
    what: str


@dataclass(frozen=True)
class Shares:
    """How likely several things are, likeliest first."""

    rows: tuple[Share, ...]


Block = Text | Points | Shares


@dataclass(frozen=True)
class Section:
    """Blocks under a title. word: what shows it where it is not shown at once."""

    word: str
    title: str
    blocks: tuple[Block, ...]


def points(texts: Iterable[str], sign: str = DASHES) -> tuple[Points, ...]:
    """A list as a block; no block where there is nothing to list."""
    found = tuple(texts)
    return (Points(found, sign),) if found else ()
