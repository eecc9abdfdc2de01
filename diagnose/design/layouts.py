"""Two ways to lay a circuit out: round a loop on a wide page, down a column on a narrow one."""

from __future__ import annotations

from diagnose.design.grid import Grid, Spot
from diagnose.design.schematic import Chain, Schematic

LEFT, MIDDLE, RIGHT = 5, 30, 57
"""Columns of the battery, of the control circuit and of the motor on the wide page."""

TOP = (12, 20, 30, 40, 51)
"""Columns of the points along the feed."""

WIDE, NARROW = 80, 34
"""Columns that the two layouts need."""


def around(circuit: Schematic) -> Grid:
    """Feed along the top, motor on the right, return along the bottom, control in the middle."""
    grid = Grid()
    grid.across(circuit.feed, TOP, 0, "above")
    last = grid.down(("battery+", circuit.battery, "battery-"), LEFT, 3)
    coil = _control(grid, circuit) if circuit.control else 3
    end = grid.down(circuit.load, RIGHT, coil)
    bottom = max(end + 2, last + 2)
    grid.run((TOP[0], 0), (LEFT, 0), (LEFT, 3))
    grid.run((TOP[-1], 0), (RIGHT, 0), (RIGHT, coil))
    grid.run((RIGHT, end), (RIGHT, bottom), (MIDDLE, bottom), (TOP[0], bottom), (LEFT, bottom))
    grid.run((LEFT, bottom), (LEFT, last))
    grid.spots += [Spot("ground", MIDDLE, bottom, "below"), Spot("lug-", TOP[0], bottom, "below")]
    grid.notes.append((MIDDLE + 4, bottom - 1, circuit.wire))
    if circuit.control:
        grid.run((MIDDLE, grid.spot("relay.85").y), (MIDDLE, bottom), weight="light")
    return grid


def _control(grid: Grid, circuit: Schematic) -> int:
    """The control circuit down the middle; the row of relay.86, on which relay.30 stands too."""
    tap = grid.spot(circuit.tap)
    first = 3
    grid.run((tap.x, 0), (tap.x, 2), (MIDDLE, 2), (MIDDLE, first), weight="light")
    grid.down(circuit.control, MIDDLE, first, heavy=False)
    row = grid.spot("relay.86").y
    coil = next(piece.part for piece in grid.pieces if piece.part.kind == "coil")
    grid.run((MIDDLE + 6 + len(coil.note), row + 1), (RIGHT - 3, row + 1), weight="dashed")
    return row


def down_the_page(circuit: Schematic) -> Grid:
    """The motor's way down one column, then the control circuit below it."""
    grid, x = Grid(), LEFT
    power: Chain = ("battery+", *circuit.feed, *circuit.load, *circuit.returns, "battery-")
    grid.notes.append((x - 2, 0, f"{circuit.battery.note}, {circuit.battery.label}"))
    last = grid.down(power, x, 1)
    if not circuit.control:
        return grid
    top = last + 2
    grid.notes.append((x - 2, top, f"control, from {circuit.tap}"))
    end = grid.down(circuit.control, x, top + 2, heavy=False)
    grid.run((x, top + 1), (x, top + 2), weight="light")
    grid.run((x, end), (x, end + 1), weight="light")
    grid.notes.append((x - 2, end + 2, "to ground"))
    return grid
