"""Our results beside those of somebody else, one cell at a time."""

from __future__ import annotations

import math
import warnings
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import yaml

TABLES = Path(__file__).parents[1] / "tables"

MEANING = {
    "published": "a table, a figure or a rule that was seen in print",
    "worked example": "an example with its answer, by a source or by a law",
    "reference library": "another program that does the same",
    "common practice": "what people of the trade know without a book",
    "from memory": "a publication remembered, not seen again",
    "recomputed": "an example made for the purpose, worked out apart from this program",
}
"""What a value rests on, the firmest first."""

BASES = tuple(MEANING)


class Missing(Exception):
    """A reference that is not installed here."""


def library(name: str) -> Any:
    """A reference library. Raises Missing where it is not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return import_module(name)
        except ImportError:
            raise Missing(f"{name} is not installed") from None


def table(name: str) -> Any:
    """A file of tests/tables."""
    return yaml.safe_load((TABLES / name).read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Cell:
    """One value from outside beside ours.

    within: the deviation that rounding there explains. floor: None for values compared as they are;
    else deviations are relative to the value from outside, or to the floor where that is larger.
    Words (a gauge, an order) are equal or not. A range as (low, high) is met anywhere inside it.
    said: where this program says it, for rows that the report prints one by one.
    """

    table: str
    what: str
    published: float | str | tuple[float, float] | None
    ours: float | str | None
    within: float
    source: str
    basis: str
    floor: float | None = None
    said: str = ""

    @property
    def deviation(self) -> float:
        """How far ours is off; infinite where words differ."""
        theirs, ours = self.published, self.ours
        if theirs == ours:
            return 0.0
        if isinstance(theirs, tuple) and isinstance(ours, float):
            return max(theirs[0] - ours, ours - theirs[1], 0.0)
        if not isinstance(theirs, float) or not isinstance(ours, float):
            return math.inf
        off = abs(ours - theirs)
        return off if self.floor is None else off / max(abs(theirs), self.floor)

    @property
    def met(self) -> bool:
        return self.deviation <= self.within

    @property
    def told(self) -> str:
        """Why it is not met."""
        return f"{self.what}: {self.published} outside, {self.ours} here ({self.source})"
