"""A drawing as places on a grid of columns and rows: where each point, part and wire goes.

A column is as wide as a letter and a row as high as a line; the text drawing takes the grid as it
is, the SVG drawing scales it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from diagnose.design.schematic import Chain, Part


@dataclass(frozen=True)
class Spot:
    """A test point. side: where its name stands, right, above or below."""

    name: str
    x: int
    y: int
    side: str = "right"


@dataclass(frozen=True)
class Piece:
    """A part between two places on one column or one row."""

    part: Part
    x1: int
    y1: int
    x2: int
    y2: int
    heavy: bool = True

    @property
    def upright(self) -> bool:
        return self.x1 == self.x2

    @property
    def middle(self) -> tuple[int, int]:
        """Where its sign stands: half-way on a row, in the first row of a column."""
        if self.upright:
            return self.x1, self.y1 + 1
        return (self.x1 + self.x2) // 2, self.y1


@dataclass(frozen=True)
class Run:
    """A straight wire, or the dashed link between coil and contact. weight: heavy for the motor's
    current, light for the coil's, dashed for the link."""

    x1: int
    y1: int
    x2: int
    y2: int
    weight: str = "heavy"


@dataclass
class Grid:
    """Everything that is drawn. notes: words at a place, for which there is no point or part."""

    spots: list[Spot] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    notes: list[tuple[int, int, str]] = field(default_factory=list)

    def run(self, *corners: tuple[int, int], weight: str = "heavy") -> None:
        """Wire from corner to corner."""
        for (x1, y1), (x2, y2) in pairwise(corners):
            if (x1, y1) != (x2, y2):
                self.runs.append(Run(x1, y1, x2, y2, weight))

    def down(self, chain: Chain, x: int, y: int, heavy: bool = True) -> int:
        """A chain down one column from row `y` on; the row of its last point."""
        before: str | Part = ""
        for item in chain:
            if isinstance(item, Part):
                before = item
                continue
            below = y if before == "" else y + _rows(before)
            self._joined(before, x, y, below, heavy)
            self.spots.append(Spot(item, x, below))
            before, y = item, below
        return y

    def _joined(self, before: str | Part, x: int, y: int, below: int, heavy: bool) -> None:
        if isinstance(before, Part):
            self.pieces.append(Piece(before, x, y, x, below, heavy))
            if before.kind == "contact":
                self.spots.append(Spot("relay.87a", x + 4, y + 1))
                self.run((x + 3, y + 1), (x + 4, y + 1))
        elif before:
            self.run((x, y), (x, below), weight="heavy" if heavy else "light")

    def across(self, chain: Chain, columns: tuple[int, ...], y: int, side: str) -> None:
        """A chain along one row; columns: of its points."""
        places = iter(columns)
        before: str | Part = ""
        x = columns[0]
        for item in chain:
            if isinstance(item, Part):
                before = item
                continue
            here = next(places)
            if isinstance(before, Part):
                self.pieces.append(Piece(before, x, y, here, y))
            else:
                self.run((x, y), (here, y))
            self.spots.append(Spot(item, here, y, side))
            before, x = item, here

    def spot(self, name: str) -> Spot:
        """The place of a test point."""
        return next(spot for spot in self.spots if spot.name == name)


def _rows(before: str | Part) -> int:
    """Rows from a point to the next: two, and one more for the words beside a relay's contact."""
    return 3 if isinstance(before, Part) and before.kind == "contact" else 2
