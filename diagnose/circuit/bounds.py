"""What each value of a rig can be at all: one table, for files, questions and options alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.errors import BadDocument, BadQuantity, Place, harmless, quoted
from diagnose.figures import Figures, shipped_figures
from diagnose.units import is_metric, read_gauge, read_quantity, show_gauge

GAUGE, NAME = "wire.gauge", "name"
_ANY_LENGTH = 10**9


@dataclass(frozen=True)
class Bound:
    """From `lowest` to `highest` of one value, in `unit` as the trade has it.

    Source: figure table rig-bounds.
    """

    key: str
    lowest: float
    highest: float
    unit: str

    def ends(self, unit: str) -> tuple[float, float]:
        """Both ends in another unit of that kind."""
        low, high = (
            read_quantity(f"{end} {self.unit}", unit) for end in (self.lowest, self.highest)
        )
        return low, high

    def at(self, times: float) -> Bound:
        """The same with both ends so many times as high."""
        ends = self.lowest * times, self.highest * times
        return self if times == 1 else replace(self, lowest=ends[0], highest=ends[1])

    def holds(self, value: float, unit: str) -> bool:
        """Whether a value in `unit` lies between the ends, both allowed."""
        low, high = self.ends(unit)
        return low <= value <= high

    @cached_property
    def told(self) -> str:
        """What is possible, in words."""
        span = f"from {self.lowest:g} to {self.highest:g} {show_gauge(self.unit)}".rstrip()
        if self.key != GAUGE:
            return f"{span} is possible"
        return f"{span} is possible, or from {_thinnest(self.lowest)} AWG to 4/0 AWG"

    def refusal(self, typed: object, place: Place | None = None) -> BadQuantity:
        """The sentence for a value beyond the ends."""
        return BadQuantity(f"{quoted(str(typed))} is out of range; {self.told}", place)

    def read(self, typed: str, unit: str, place: Place | None = None) -> float:
        """What was typed, in `unit`. Raises BadQuantity, also for what lies beyond the ends."""
        value = read_quantity(typed, unit, place)
        if not self.holds(value, unit):
            raise self.refusal(typed, place)
        return value

    def read_name(self, typed: str, place: Place | None = None) -> str:
        """A name, as it was typed. Raises BadDocument where it takes more characters on one line
        than there may be."""
        size = len(harmless(" ".join(typed.split()), _ANY_LENGTH))
        if size > self.highest:
            said = f"is {size:,} characters long; {self.highest:g} at most, so shorten it"
            raise BadDocument(said, place)
        return typed

    def read_gauge(self, typed: str, place: Place | None = None) -> float:
        """The area of a wire size [mm2]. Raises BadQuantity as `read` does."""
        if is_metric(typed) and any(letter.isalpha() for letter in typed):
            return self.read(typed, "mm^2", place)
        area = read_gauge(typed, place)
        if not self.holds(area, "mm^2"):
            raise self.refusal(typed, place)
        return area


def _thinnest(area: float) -> int:
    """The thinnest American gauge of at least that area [mm2]."""
    return next(size for size in range(40, 0, -1) if read_gauge(f"{size} AWG") >= area)


def bounds(figures: Figures | None = None) -> Mapping[str, Bound]:
    """Every bound by the key of a rig file or the name of an option."""
    rows = (figures or shipped_figures()).table("rig-bounds").rows
    found = (_bound(*map(str, row[:4])) for row in rows)
    return {one.key: one for one in found}


def _bound(key: str, lowest: str, highest: str, unit: str) -> Bound:
    return Bound(key, float(lowest), float(highest), "" if unit == "1" else unit)
