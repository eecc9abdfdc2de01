"""A blade fuse as a small body that warms by the square of its current until it melts."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf, log

WINDOW = (
    (1.35, 0.75, 1800),
    (1.60, 0.25, 50),
    (2.00, 0.15, 5),
    (3.50, 0.04, 0.5),
    (6.00, 0.02, 0.15),
)
"""Times [s] between which a new blade fuse opens at a multiple of its rating: acceptance points of
published fuse data and of ISO 8820-3 (two of them from memory), the wider of both."""

HOT = ((25.0, 1.0), (65.0, 0.9), (85.0, 0.8), (110.0, 0.7))
"""Share of its rating that it carries in hot surroundings [degC]; published curves, from memory."""


@dataclass
class Fuse:
    """least: current that melts it at last, over its rating; slow: time constant [s]."""

    rating: float
    least: float = 1.25
    slow: float = 1.6
    tired: float = 1.0
    bridged: bool = False
    open: bool = False

    @property
    def ohms(self) -> float:
        """Resistance: about 0.1 V at its rating (published cold resistances and drops)."""
        if self.open:
            return inf
        return 2e-4 if self.bridged else 0.1 / self.rating

    def seconds(self, amps: float, around: float = 25.0) -> float:
        """Time until it opens at a steady current."""
        if self.bridged:
            return inf
        melts = self.rating * self.least * self.tired * _share(around)
        share = (melts / max(abs(amps), 1e-9)) ** 2
        return -self.slow * log(1 - share) if share < 1 else inf

    def weary(self, amps: float, around: float = 25.0) -> bool:
        """Whether it works so close to its end that it tires in days."""
        melts = self.rating * self.least * self.tired * _share(around)
        return not self.bridged and abs(amps) > 0.82 * melts


def _share(around: float) -> float:
    for (low, a), (high, b) in pairwise(HOT):
        if around <= high:
            return a + (b - a) * max(around - low, 0.0) / (high - low)
    return max(0.7 - 0.008 * (around - 110), 0.3)
