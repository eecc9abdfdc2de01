"""Volts along the circuit as bars: where a sound rig keeps them, and where a fault takes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.circuit.rig import Rig
from diagnose.design.schematic import points_in, schematic

SOUND = "o"
"""Stands where a sound rig is, when a fault is shown beside it."""


@dataclass(frozen=True)
class Level:
    """Volts of one test point against battery- [V]: on a sound rig, and with a fault if there is
    one."""

    point: str
    sound: float
    faulty: float | None = None


def way_round(rig: Rig) -> tuple[str, ...]:
    """The test points in the order of the motor's current, then of the coil's."""
    circuit = schematic(rig)
    power = (*circuit.feed, *circuit.motor, *circuit.returns, *circuit.control)
    return ("battery+", *points_in(power))


def volt_plot(levels: Sequence[Level], width: int, ascii_only: bool) -> list[str]:
    """A bar a test point, all on one scale from 0 V, no line longer than `width` columns.

    With a fault the bar is the faulty rig and an `o` stands where a sound one is. A negative
    voltage has no bar.
    """
    names = max(len(level.point) for level in levels)
    highest = max(max(level.sound, level.faulty or 0.0) for level in levels)
    cells = max(width - names - 2 - 8, 8)
    return [
        f"{level.point:{names}} {_bar(level, highest, cells, ascii_only)} {_value(level)}"
        for level in levels
    ]


def _value(level: Level) -> str:
    volts = level.sound if level.faulty is None else level.faulty
    return f"{volts:.2f} V".rjust(8)


def _bar(level: Level, highest: float, cells: int, ascii_only: bool) -> str:
    full, empty = ("#", ".") if ascii_only else ("█", "·")
    shown = level.sound if level.faulty is None else level.faulty
    filled = _cells(shown, highest, cells)
    bar = full * filled + empty * (cells - filled)
    if level.faulty is None:
        return bar
    place = max(_cells(level.sound, highest, cells) - 1, 0)
    return bar[:place] + SOUND + bar[place + 1 :]


def _cells(volts: float, highest: float, cells: int) -> int:
    share = volts / highest if highest > 0 else 0.0
    return min(max(round(share * cells), 0), cells)
