"""Does a blade fuse or a thermal breaker hold? Time-current behaviour between the shortest and the
longest opening time."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.parameters import Array, Flags
from diagnose.figures import Figures

HISTORY = ("holds", "blows-at-once", "blows-at-start", "blows-after-minutes")


FUSE, BREAKER = "fuse-opening-time", "breaker-opening-time"
"""The figure tables of their opening times."""


def opening_time(ratio: Array, figures: Figures, of: str = FUSE) -> tuple[Array, Array]:
    """Middle opening time [s] and its spread (natural log) at current over rating.

    Log-log interpolation between the rows of the figure table `of`; below the first row it holds
    for ever (infinite time). Above the last the element has no time to give off heat, and current
    squared times time stays what it is there (common practice: melting I2t).
    """
    table = figures.table(of)
    x = np.log(table.column("ratio"))
    at = np.log(np.maximum(ratio, 1e-6))
    sooner = 2 * np.maximum(at - x[-1], 0.0)
    low = np.interp(at, x, np.log(table.column("shortest"))) - sooner
    high = np.interp(at, x, np.log(table.column("longest"))) - sooner
    middle = np.where(ratio < table.column("ratio")[0], np.inf, np.exp((low + high) / 2))
    return middle, np.maximum((high - low) / 4, 0.05)


def chance_open(ratio: Array, seconds: Array | float, figures: Figures, of: str = FUSE) -> Array:
    """Chance that it has opened after `seconds` at a steady current over its rating."""
    middle, spread = opening_time(ratio, figures, of)
    with np.errstate(divide="ignore"):
        deviation = (np.log(seconds) - np.log(middle)) / spread
    return normal_cdf(deviation)


def history(
    leak: Array,
    start: Array,
    steady: Array,
    stalled: Flags,
    rating: Array,
    figures: Figures,
    of: str = FUSE,
) -> Array:
    """Chances that the fuse holds, blows at once, at start, after minutes; shape (4, circuits).

    leak: current without the motor [A]; start: starting current [A]; steady: running current [A];
    stalled: whether the motor never gets going; rating [A].
    """
    stall = np.where(stalled, figures.get("stall-time", "s"), 0.0)
    starting = np.maximum(stall, figures.get("motor-start-equivalent-time", "s"))
    at_once = chance_open(leak / rating, 0.5, figures, of)
    at_start = chance_open(start / rating, starting, figures, of)
    minutes = chance_open(steady / rating, figures.get("running-time", "s"), figures, of)
    later = 1 - at_once
    return np.stack(
        [
            later * (1 - at_start) * (1 - minutes),
            at_once,
            later * at_start,
            later * (1 - at_start) * minutes,
        ]
    )
