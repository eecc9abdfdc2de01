"""What a meter shows where a joint makes and breaks: it may hold, or be parted, while somebody
reads; else the reading wanders between the two."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.laws import NORMAL
from diagnose.reasoning.predictions import Band, Predictions, density

HOLDS, PARTED = 0.35, 0.15
"""Shares of readings during which such a joint holds, or is parted: the meter's leads and a hand
on the loom are enough to settle it, and nothing shakes a pump that stands; estimates."""

HANGS = 0.1
"""How far beyond either end a wandering figure may be caught, as a share of the way; estimate."""


def loose_joints(
    predictions: Predictions, reading: Reading, steady: Array, low: float, high: float
) -> Array:
    """Density of what was stated; steady: as of a reading that stands still or only wanders."""
    found = predictions.band(reading).ends()
    if found is None:
        return steady
    law = predictions.law
    ends = [Band(mean, predictions.spread(reading, mean)) for mean in (found.made, found.apart)]
    holds, parted = (density(band, low, high, law) for band in ends)
    mixed = HOLDS * holds + PARTED * parted
    mixed = mixed + (1 - HOLDS - PARTED) * _between(predictions, reading, ends, (low + high) / 2)
    return np.where(found.loose, mixed, steady)


def _between(predictions: Predictions, reading: Reading, ends: list[Band], value: float) -> Array:
    """Density of a value where any between two ends is as likely as another."""
    first = np.minimum(ends[0].mean, ends[1].mean)
    last = np.maximum(ends[0].mean, ends[1].mean)
    blur = predictions.meter(reading, first) + HANGS * (last - first)
    below = NORMAL.below
    way = np.maximum(last - first, blur)
    return np.asarray((below((value - first) / blur) - below((value - first - way) / blur)) / way)
