"""How good probabilities are: shares with their intervals, proper scores, calibration."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from math import log, sqrt
from statistics import NormalDist

import numpy as np

from diagnose.circuit.parameters import Array

CLIP = 1e-6
"""Probabilities below this count as this in the logarithmic score."""

BINS = 10


@dataclass(frozen=True)
class Share:
    """hits out of n, with its Wilson interval."""

    hits: int
    n: int
    low: float
    high: float

    @property
    def value(self) -> float:
        return self.hits / self.n if self.n else float("nan")

    def __format__(self, form: str) -> str:
        """0.917 (0.893 to 0.936, n 600); with a format the share alone, of no case nothing."""
        if form:
            return format(self.value, form) if self.n else ""
        if not self.n:
            return "no case"
        return f"{self.value:.3f} ({self.low:.3f} to {self.high:.3f}, n {self.n})"


def share(hits: int, n: int, level: float = 0.95) -> Share:
    """A share with its score interval; no cases leave it anywhere from 0 to 1.

    Source: Wilson 1927, J. Am. Stat. Assoc. 22:209-212.
    """
    if n == 0:
        return Share(0, 0, 0.0, 1.0)
    z = NormalDist().inv_cdf((1 + level) / 2)
    p, whole = hits / n, 1 + z * z / n
    middle = (p + z * z / (2 * n)) / whole
    half = z / whole * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return Share(hits, n, max(middle - half, 0.0), min(middle + half, 1.0))


def log_loss(p_true: Sequence[float]) -> float:
    """Mean of -ln(probability given to the truth) [nat], clipped at CLIP."""
    return float(np.mean([-log(max(p, CLIP)) for p in p_true]))


def brier(chances: Mapping[str, float], names: Set[str]) -> float:
    """Sum over causes of (p - truth)^2 (Brier 1950), which several true ones share; what is not
    listed at all counts as given no chance."""
    hit = 1 / len(names)
    listed = sum((p - (hit if name in names else 0.0)) ** 2 for name, p in chances.items())
    return listed + sum(hit**2 for name in names if name not in chances)


def isolation_utility(named: frozenset[str], true: frozenset[str], components: int) -> float:
    """How far a diagnosis narrows the search, from 0 to 1; naming nothing is not worth 0.

    1 - n(N+1)/(f(n+1)) - m(M+1)/(f(m+1)): N named, n of them sound, M not named, m of those faulty,
    f components. Source: diagnosis competition DXC, as restated in its 2026 synthetic track.
    """
    sound, missed = len(named - true), len(true - named)
    unnamed = components - len(named)
    wasted = sound * (len(named) + 1) / (components * (sound + 1))
    return 1 - wasted - missed * (unnamed + 1) / (components * (missed + 1))


@dataclass(frozen=True)
class Bin:
    """Cases whose stated probability lies from low to high; stated and right are means."""

    low: float
    high: float
    n: int
    stated: float
    right: float


def calibration(stated: Sequence[float], right: Sequence[bool], bins: int = BINS) -> list[Bin]:
    """The cases by stated probability in equal bins; empty bins are left out."""
    p, hit = np.asarray(stated, dtype=np.float64), np.asarray(right, dtype=np.float64)
    place = np.minimum((p * bins).astype(int), bins - 1)
    found = []
    for index in np.unique(place):
        here = place == index
        mean, hits = float(p[here].mean()), float(hit[here].mean())
        found.append(Bin(index / bins, (index + 1) / bins, int(here.sum()), mean, hits))
    return found


def calibration_error(table: Sequence[Bin]) -> float:
    """Expected calibration error: mean distance of stated from right, weighted by cases."""
    total = sum(row.n for row in table)
    return sum(row.n * abs(row.stated - row.right) for row in table) / max(total, 1)


@dataclass(frozen=True)
class Parts:
    """The Brier score of one forecast event, in parts: brier = reliability - resolution +
    uncertainty, exact where forecasts within a bin are equal."""

    brier: float
    reliability: float
    resolution: float
    uncertainty: float


def brier_parts(stated: Sequence[float], right: Sequence[bool], bins: int = BINS) -> Parts:
    """Murphy's decomposition over the bins of the calibration table.

    Source: Murphy 1973, J. Appl. Meteorol. 12:595-600.
    """
    p: Array = np.asarray(stated, dtype=np.float64)
    hit: Array = np.asarray(right, dtype=np.float64)
    table, base = calibration(stated, right, bins), float(hit.mean())
    reliability = sum(row.n * (row.stated - row.right) ** 2 for row in table) / len(p)
    resolution = sum(row.n * (row.right - base) ** 2 for row in table) / len(p)
    return Parts(float(((p - hit) ** 2).mean()), reliability, resolution, base * (1 - base))
