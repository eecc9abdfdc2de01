"""Ways to lay a circuit out: round a loop or with the feed down the side on a wide page, down one
column on a narrow one."""

from __future__ import annotations

from dataclasses import replace

from diagnose.design.grid import Column, Grid, Spot
from diagnose.design.schematic import Beside, Chain, Schematic, points_in

LEFT, MIDDLE, RIGHT = 5, 30, 57
"""Columns of the battery, of the control circuit and of the motor, round the loop."""

TOP = (12, 20, 30, 40, 51)
"""Columns of the points along the feed, round the loop."""

ON_TOP = ("lug+", "fuse.in", "fuse.out", "master.in", "master.out")
"""The points whose names there is room for along the top."""

NAME, NOTE = 11, 16
"""Letters of the longest name that has room beside a column of the loop, and of the words beside
the battery."""

BATTERY, CONTROL, FEED = 4, 22, 48
"""Columns of the battery, of the control circuit and of the feed, with the feed down the side."""

WIDE, NARROW = 80, 40
"""Columns that the layouts need."""


def laid_out(circuit: Schematic, width: int = WIDE) -> Grid:
    """Where everything goes on a page of that many columns."""
    if width < WIDE:
        return down_the_page(circuit, width)
    return around(circuit) if _fits_around(circuit) else down_the_side(circuit)


def _fits_around(circuit: Schematic) -> bool:
    """Whether the loop has room for the names of this circuit."""
    chains = (*circuit.feed, *circuit.control, *circuit.returns)
    plain = not any(isinstance(item, Beside) for item in chains)
    short = len(circuit.battery.note) <= NOTE
    short = short and all(len(name) <= NAME for name in points_in(chains))
    unbroken = len(circuit.returns) == 2 and not circuit.loads and len(circuit.supply) == 3
    return points_in(circuit.feed)[:5] == ON_TOP and plain and short and unbroken


def around(circuit: Schematic) -> Grid:
    """Feed along the top, motor on the right, return along the bottom, control in the middle."""
    grid = Grid()
    across = len(ON_TOP) + 2
    grid.across(circuit.feed[:across], TOP, 0, "above")
    last = grid.down(circuit.supply, Column(LEFT), 3)
    coil = 3
    if circuit.control:
        coil = _control(grid, circuit)
    end = grid.down((*circuit.feed[across:], *circuit.motor), Column(RIGHT), coil)
    bottom = max(end + 2, last + 2)
    grid.run((TOP[0], 0), (LEFT, 0), (LEFT, 3))
    grid.run((TOP[-1], 0), (RIGHT, 0), (RIGHT, coil))
    grid.run((RIGHT, end), (RIGHT, bottom), (MIDDLE, bottom), (TOP[0], bottom), (LEFT, bottom))
    grid.run((LEFT, bottom), (LEFT, last))
    grid.spots += [Spot("ground", MIDDLE, bottom, "below"), Spot("lug-", TOP[0], bottom, "below")]
    grid.notes.append((MIDDLE + 4, bottom - 1, circuit.wire))
    if circuit.control:
        grid.run((MIDDLE, grid.row("relay.85")), (MIDDLE, bottom), weight="light")
    return grid


def _control(grid: Grid, circuit: Schematic) -> int:
    """The control circuit down the middle; the row of relay.86, on which relay.30 stands too."""
    tap = grid.spot(circuit.tap)
    first = 3
    grid.run((tap.x, 0), (tap.x, 2), (MIDDLE, 2), (MIDDLE, first), weight="light")
    grid.down(circuit.control, Column(MIDDLE, heavy=False), first)
    _link(grid, MIDDLE, RIGHT)
    return grid.row("relay.86")


def _link(grid: Grid, coil: int, contact: int) -> None:
    """The dashed link from the coil to the contact beside it. coil, contact: their columns."""
    row = grid.row("relay.86") + 1
    note = next(piece.part.note for piece in grid.pieces if piece.part.kind == "coil")
    grid.run((coil + 6 + len(note), row), (contact - 3, row), weight="dashed")


def down_the_side(circuit: Schematic) -> Grid:
    """The motor's whole way down the right side, the control to the left of it, the battery at the
    top left."""
    grid = Grid()
    battery = Column(BATTERY, loads=circuit.loads)
    last = grid.down(circuit.supply, battery, 1)
    feed = (*circuit.feed, *circuit.motor, *circuit.returns[:-1])
    first = last + 1 if circuit.control and circuit.tap == "lug+" else max(2, last - 3)
    column = Column(FEED, room=WIDE - 1 - FEED, loads=circuit.loads)
    if circuit.control:
        end = _with_control(grid, circuit, feed, column, first)
    else:
        end = grid.down(feed, column, first)
    bottom = end + 2
    grid.run((BATTERY, 1), (BATTERY, 0), (FEED, 0), (FEED, first))
    grid.run((FEED, end), (FEED, bottom), (BATTERY, bottom), (BATTERY, last))
    grid.spots.append(Spot("lug-", TOP[0], bottom, "below"))
    grid.notes.append((CONTROL + 4, bottom - 1, circuit.wire))
    return grid


def _with_control(grid: Grid, circuit: Schematic, feed: Chain, column: Column, first: int) -> int:
    """Feed and control side by side, the coil on the rows of its contact; the feed's last row."""
    column = replace(column, wired=(circuit.tap, "ground"))
    beside = Column(CONTROL, heavy=False, room=FEED - 5 - CONTROL, loads=circuit.loads)
    alone, coil = Grid(), Grid()
    alone.down(feed, column, first)
    coil.down(circuit.control, beside, alone.row(circuit.tap) + 1)
    late = coil.row("relay.86") - alone.row("relay.30")
    end = grid.down(feed, replace(column, stretched={"relay.30": max(late, 0)}), first)
    tap, ground = grid.row(circuit.tap), grid.row("ground")
    grid.down(circuit.control, replace(beside, stretched={"relay.86": max(-late, 0)}), tap + 1)
    grid.run((FEED, tap), (CONTROL, tap), (CONTROL, tap + 1), weight="light")
    grid.run((CONTROL, grid.row("relay.85")), (CONTROL, ground), (FEED, ground), weight="light")
    _link(grid, CONTROL, FEED)
    return end


def down_the_page(circuit: Schematic, width: int = NARROW) -> Grid:
    """The motor's way down one column, then the control circuit below it."""
    grid, x, room = Grid(), LEFT, max(width, NARROW) - 1 - LEFT
    between = circuit.supply[2:-2][::-1]
    upper = (circuit.supply[1],) if between else ()
    ends: Chain = (*circuit.returns, "battery-")
    power: Chain = (*between, *upper, "battery+", *circuit.feed, *circuit.motor, *ends)
    grid.notes.append((x - 2, 0, f"{circuit.battery.note}, {circuit.battery.label}"))
    last = grid.down(power, Column(x, room=room, loads=circuit.loads), 1)
    if not circuit.control:
        return grid
    top = last + 2
    grid.notes.append((x - 2, top, f"control, from {circuit.tap}"))
    thin = Column(x, heavy=False, room=room, loads=circuit.loads)
    end = grid.down(circuit.control, thin, top + 2)
    grid.run((x, top + 1), (x, top + 2), weight="light")
    grid.run((x, end), (x, end + 1), weight="light")
    grid.notes.append((x - 2, end + 2, "to ground"))
    return grid
