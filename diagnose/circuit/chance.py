"""Soft steps: how likely a person calls a value high, when eye and ear are not sharp."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


_COEFFICIENTS = (1.330274429, -1.821255978, 1.781477937, -0.356563782, 0.319381530)


def normal_cdf(x: Array) -> Array:
    """Cumulative normal distribution, to 7.5e-8 (Abramowitz and Stegun, formula 26.2.17)."""
    t = 1.0 / (1.0 + 0.2316419 * np.abs(x))
    poly = _COEFFICIENTS[0] * t + _COEFFICIENTS[1]
    for coefficient in _COEFFICIENTS[2:]:
        poly = poly * t + coefficient
    tail = np.exp(-np.minimum(x * x, 1400.0) / 2) / np.sqrt(2 * np.pi) * t * poly
    return np.asarray(np.where(x >= 0, 1.0 - tail, tail))


def above(x: Array, step: float, width: float) -> Array:
    """Chance that a value is taken to lie above `step`; `width` is the spread of judgement."""
    return normal_cdf((np.asarray(x, dtype=np.float64) - step) / width)


def bands(x: Array, steps: tuple[float, ...], width: float) -> Array:
    """Chances of falling in each band between rising steps; shape (len(steps) + 1, circuits)."""
    over = [above(x, step, width) for step in steps]
    edges = [np.ones_like(over[0]), *over, np.zeros_like(over[0])]
    return np.maximum([a - b for a, b in pairwise(edges)], 0.0)
