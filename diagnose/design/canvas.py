"""A sheet of characters on which nothing may be written over something else."""

from __future__ import annotations

from collections.abc import Mapping

NORTH, EAST, SOUTH, WEST = 1, 2, 4, 8

LIGHT = {
    **dict.fromkeys((NORTH, SOUTH, NORTH | SOUTH), "│"),
    **dict.fromkeys((EAST, WEST, EAST | WEST), "─"),
    **{EAST | SOUTH: "┌", SOUTH | WEST: "┐", NORTH | EAST: "└", NORTH | WEST: "┘"},
    NORTH | SOUTH | EAST: "├",
}
HEAVY = {
    **dict.fromkeys((NORTH, SOUTH, NORTH | SOUTH), "┃"),
    **dict.fromkeys((EAST, WEST, EAST | WEST), "━"),
    **{EAST | SOUTH: "┏", SOUTH | WEST: "┓", NORTH | EAST: "┗", NORTH | WEST: "┛"},
    NORTH | SOUTH | EAST: "┠",
}


def _ascii(upright: str, level: str) -> dict[int, str]:
    corners = dict.fromkeys((EAST | SOUTH, SOUTH | WEST, NORTH | EAST, NORTH | WEST), "+")
    return {
        **dict.fromkeys((NORTH, SOUTH, NORTH | SOUTH), upright),
        **dict.fromkeys((EAST, WEST, EAST | WEST), level),
        **corners,
        NORTH | SOUTH | EAST: "+",
    }


STROKES: Mapping[bool, Mapping[str, Mapping[int, str]]] = {
    False: {
        "heavy": HEAVY,
        "light": LIGHT,
        "dashed": dict.fromkeys((EAST, WEST, EAST | WEST), "┄"),
    },
    True: {
        "heavy": _ascii("|", "="),
        "light": _ascii(":", "-"),
        "dashed": dict.fromkeys((EAST, WEST, EAST | WEST), "."),
    },
}
"""Strokes by whether only ASCII may be used, by weight and by the ways they go."""


class Overlap(ValueError):
    """Two things would stand on one place: a defect of the layout."""


class Canvas:
    """Characters by column and row. Lines first, then what stands on them, then the words."""

    def __init__(self, ascii_only: bool) -> None:
        self._strokes = STROKES[ascii_only]
        self._lines: dict[tuple[int, int], tuple[str, int]] = {}
        self._signs: dict[tuple[int, int], str] = {}

    def line(self, x1: int, y1: int, x2: int, y2: int, weight: str) -> None:
        """A straight line; where two of one weight meet they join."""
        if y1 == y2:
            low, high = sorted((x1, x2))
            for x in range(low, high + 1):
                self._stroke(x, y1, weight, EAST * (x < high) | WEST * (x > low))
            return
        low, high = sorted((y1, y2))
        for y in range(low, high + 1):
            self._stroke(x1, y, weight, SOUTH * (y < high) | NORTH * (y > low))

    def _stroke(self, x: int, y: int, weight: str, ways: int) -> None:
        before, known = self._lines.get((x, y), (weight, 0))
        self._lines[x, y] = (before, known | ways)

    def sign(self, x: int, y: int, text: str) -> None:
        """What stands on a line: a point or the sign of a part, centred on its place."""
        self._write(x - (len(text) - 1) // 2, y, text)

    def words(self, x: int, y: int, text: str) -> None:
        """Words beside the lines. Raises Overlap where a line runs."""
        for i in range(len(text)):
            if (x + i, y) in self._lines:
                raise Overlap(f"{text!r} stands on a line at column {x + i}, row {y}")
        self._write(x, y, text)

    def _write(self, x: int, y: int, text: str) -> None:
        if x < 0:
            raise Overlap(f"{text!r} runs off the sheet")
        for i, letter in enumerate(text):
            if (x + i, y) in self._signs:
                raise Overlap(f"{text!r} stands on {self._signs[x + i, y]!r} at {x + i}, {y}")
            self._signs[x + i, y] = letter

    def __str__(self) -> str:
        """The sheet as lines of text, trimmed to what is on it."""
        cells = {place: self._letter(*drawn) for place, drawn in self._lines.items()} | self._signs
        rows = [y for _, y in cells]
        return "\n".join(_row(cells, y) for y in range(min(rows), max(rows) + 1))

    def _letter(self, weight: str, ways: int) -> str:
        strokes = self._strokes[weight]
        return strokes.get(ways, strokes[EAST])


def _row(cells: Mapping[tuple[int, int], str], y: int) -> str:
    last = max((x for x, row in cells if row == y), default=-1)
    return "".join(cells.get((x, y), " ") for x in range(last + 1)).rstrip()
