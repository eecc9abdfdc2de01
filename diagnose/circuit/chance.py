"""Soft steps: how likely a person calls a value high, when eye and ear are not sharp."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


_COEFFICIENTS = (1.330274429, -1.821255978, 1.781477937, -0.356563782, 0.319381530)


def normal_cdf(x: Array) -> Array:
    """Cumulative normal distribution, to 7.5e-8 (Abramowitz and Stegun, formula 26.2.17).

    It is most of what signs and bins cost, so it works in place and chooses no side by `where`.
    """
    x = np.asarray(x, dtype=np.float64)
    t = np.abs(x, out=np.empty(x.shape))
    t *= 0.2316419
    t += 1.0
    np.divide(1.0, t, out=t)
    poly = _COEFFICIENTS[0] * t
    poly += _COEFFICIENTS[1]
    for coefficient in _COEFFICIENTS[2:]:
        poly *= t
        poly += coefficient
    tail = np.multiply(x, x, out=np.empty(x.shape))
    np.minimum(tail, 1400.0, out=tail)
    tail *= -0.5
    np.exp(tail, out=tail)
    tail /= np.sqrt(2 * np.pi)
    tail *= t
    tail *= poly
    np.subtract(x >= 0, tail, out=tail)  # 1 - tail, or -tail, which is turned round
    return np.abs(tail, out=tail)


def above(x: Array, step: float, width: float) -> Array:
    """Chance that a value is taken to lie above `step`; `width` is the spread of judgement."""
    return normal_cdf((np.asarray(x, dtype=np.float64) - step) / width)


def bands(x: Array, steps: tuple[float, ...], width: float) -> Array:
    """Chances of falling in each band between rising steps; shape (len(steps) + 1, circuits)."""
    over = [above(x, step, width) for step in steps]
    edges = [np.ones_like(over[0]), *over, np.zeros_like(over[0])]
    return np.maximum([a - b for a, b in pairwise(edges)], 0.0)
