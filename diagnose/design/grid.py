"""A drawing as places on a grid of columns and rows: where each point, part and wire goes.

A column is as wide as a letter and a row as high as a line; the text drawing takes the grid as it
is, the SVG drawing scales it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from textwrap import wrap

from diagnose.design.schematic import Beside, Chain, Part

BESIDE, VOLTS = 2, 14
"""Columns from a point to its name and to its volts, where the name is not longer."""

ROOM, PROBE, SIGN = 8, 5, 6
"""Columns of the volts beside a name, of a probe behind them; from a part to its words, its sign
between them."""


@dataclass(frozen=True)
class Spot:
    """A test point. side: where its name stands, right, above or below; room: columns to the right
    of it, 0 for enough; wired: whether a wire comes from the left, where else a probe would
    stand."""

    name: str
    x: int
    y: int
    side: str = "right"
    room: int = 0
    wired: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        """Its name, on as many lines as the room asks for; the last one may be empty and takes its
        volts."""
        most = self.room - BESIDE if self.room else len(self.name) + ROOM
        rows = _cut(self.name, most)
        volts = ROOM + (PROBE if self.wired else 0)
        return rows if not self.room or len(rows[-1]) + volts <= most else (*rows, "")

    @property
    def below(self) -> int:
        """Rows that its words take below the first."""
        return len(self.lines) - 1

    @property
    def apart(self) -> int:
        """Columns from the point to its volts."""
        return max(VOLTS, BESIDE + len(self.name) + 1)


@dataclass(frozen=True)
class Piece:
    """A part between two places on one column or one row. room: columns to the right of it, 0 for
    enough."""

    part: Part
    x1: int
    y1: int
    x2: int
    y2: int
    heavy: bool = True
    room: int = 0

    @property
    def notes(self) -> tuple[str, ...]:
        """The words beside it, on as many lines as they need."""
        return _lines(self.part, self.room)

    @property
    def upright(self) -> bool:
        return self.x1 == self.x2

    @property
    def middle(self) -> tuple[int, int]:
        """Where its sign stands: half-way on a row, in the first row of a column."""
        if self.upright:
            return self.x1, self.y1 + 1
        return (self.x1 + self.x2) // 2, self.y1


def _cut(name: str, most: int) -> tuple[str, ...]:
    """A name in rows of at most so many letters, cut where a word ends."""
    if len(name) <= most:
        return (name,)
    ends = [i for i in range(1, most + 1) if name[i] in " ._-"]
    cut = ends[-1] if ends else most
    return name[:cut], *_cut(name[cut:].strip(), most)


def _lines(part: Part, room: int) -> tuple[str, ...]:
    """The words beside a part, where there is so much room to the right of it."""
    if room == 0 or part.kind == "contact":
        return (part.note,) if part.note else ()
    return tuple(wrap(part.note, room - SIGN))


@dataclass(frozen=True)
class Run:
    """A straight wire, or the dashed link between coil and contact. weight: heavy for the motor's
    current, light for the coil's, dashed for the link."""

    x1: int
    y1: int
    x2: int
    y2: int
    weight: str = "heavy"


@dataclass(frozen=True)
class Branch:
    """A load that hangs on the wire at a place. room: columns to the right of it, 0 for enough."""

    part: Part
    x: int
    y: int
    room: int = 0

    @property
    def tall(self) -> bool:
        """Whether its name stands below its sign, for want of room."""
        return 0 < self.room < BESIDE + len(f"[{self.part.label}] {self.part.note}")


@dataclass(frozen=True)
class Column:
    """How a chain goes down: at which column, with how much room to the right of it, from which
    points loads hang, which points a wire reaches from the left, and how many rows of wire more
    there are before a point."""

    x: int
    heavy: bool = True
    room: int = 0
    loads: Mapping[str, Sequence[Part]] = field(default_factory=dict)
    wired: Sequence[str] = ()
    stretched: Mapping[str, int] = field(default_factory=dict)


@dataclass
class Grid:
    """Everything that is drawn. notes: words at a place, for which there is no point or part."""

    spots: list[Spot] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    branches: list[Branch] = field(default_factory=list)
    notes: list[tuple[int, int, str]] = field(default_factory=list)

    def run(self, *corners: tuple[int, int], weight: str = "heavy") -> None:
        """Wire from corner to corner."""
        for (x1, y1), (x2, y2) in pairwise(corners):
            if (x1, y1) != (x2, y2):
                self.runs.append(Run(x1, y1, x2, y2, weight))

    def down(self, chain: Chain, column: Column, y: int) -> int:
        """A chain down one column from row `y` on; the row of its last point."""
        between: list[Part | Beside] = []
        before: Spot | None = None
        for item in chain:
            if not isinstance(item, str):
                between.append(item)
                continue
            spot = Spot(item, column.x, y, room=column.room, wired=item in column.wired)
            if before:
                spot = replace(spot, y=self._joined(before, between, column, item))
            self.spots.append(spot)
            before, between, y = spot, [], spot.y
        return y

    def _joined(
        self, before: Spot, between: Sequence[Part | Beside], column: Column, to: str
    ) -> int:
        """What lies between a point and the next, which is called `to`; the row of that."""
        more = column.stretched.get(to, 0)
        hung = self._hung(before, column)
        parts = [item for item in between if isinstance(item, Part)]
        y = hung + more if parts else max(hung + 1, before.y + 2) + more
        words = [item for item in between if isinstance(item, Beside)]
        for item in words:
            y = max(y, hung + 2)
            self.notes.append((column.x + BESIDE * item.joined, y - 1, item.word))
        if all(item.joined for item in words):
            weight = "heavy" if column.heavy else "light"
            self.run((column.x, before.y), (column.x, y), weight=weight)
        for part in parts:
            y = self._part(part, column, y)
        return y

    def _hung(self, spot: Spot, column: Column) -> int:
        """The loads of a point below it; the last row that they and its own words take."""
        y = spot.y + spot.below
        for part in column.loads.get(spot.name, ()):
            branch = Branch(part, column.x, y + 1, column.room)
            self.branches.append(branch)
            y += 1 + branch.tall
        return y

    def _part(self, part: Part, column: Column, y: int) -> int:
        """A part from row `y` down; its last row, lower for the words beside a contact and for
        words that one line has no room for."""
        x, more = column.x, max(len(_lines(part, column.room)) - 1, part.kind == "contact")
        below = y + 2 + more
        self.pieces.append(Piece(part, x, y, x, below, column.heavy, column.room))
        if part.kind == "contact":
            self.spots.append(Spot("relay.87a", x + 4, y + 1))
            self.run((x + 3, y + 1), (x + 4, y + 1))
        return below

    def across(self, chain: Chain, columns: tuple[int, ...], y: int, side: str) -> None:
        """A chain along one row; columns: of its points."""
        places = iter(columns)
        before: str | Part = ""
        x = columns[0]
        for item in chain:
            if isinstance(item, Part):
                before = item
            if not isinstance(item, str):
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

    def row(self, name: str) -> int:
        """The row of a test point."""
        return self.spot(name).y
