"""Shortest and longest time that a blade fuse or a thermal breaker takes to open."""

from __future__ import annotations

import math

import numpy as np

from diagnose.circuit.fuse import FUSE
from diagnose.figures import Figures


def opening_window(ratio: float, figures: Figures, of: str = FUSE) -> tuple[float, float]:
    """Shortest and longest time to open [s] at current over rating; (inf, inf) below 1.1.

    A fuse or breaker in order opens anywhere between; below 1.35 it need not open at all (longest
    inf). Straight lines between the points on a log-log plot; beyond the last point the time falls
    with the square of the current. Source: the figure table `of`.
    """
    table = figures.table(of)
    ratios = table.column("ratio")
    if ratio < ratios[0]:
        return math.inf, math.inf
    beyond = (ratios[-1] / max(ratio, ratios[-1])) ** 2
    shortest, longest = (
        beyond * float(np.exp(np.interp(math.log(ratio), np.log(ratios), np.log(times))))
        for times in (table.column("shortest"), table.column("longest"))
    )
    surely = figures.get("fuse-surely-opens")
    return shortest, longest if ratio >= surely else math.inf
