"""Node voltages of a rig by its conductance matrix (Kirchhoff's current law, solved with numpy)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EARTH = "battery-"
DIRT = 1e-9
"""Conductance from every point to the earth through damp dirt [S]; estimate."""

LEAST = 1e-4
"""No joint has less resistance than this [ohm]."""

METER = 1e7
"""Input resistance of a digital voltmeter [ohm]; common practice."""

MOST_OHMS = 4e7
"""Above this an ohmmeter shows no figure [ohm]; common practice."""


@dataclass(frozen=True)
class Branch:
    """A path between two points: its resistance [ohm], and a voltage in series [V] that lifts a."""

    a: str
    b: str
    ohms: float
    volts: float = 0.0


@dataclass
class Net:
    """Branches between points, and the matrix that they make. points: those that are there even
    where nothing leads to them any more."""

    branches: Sequence[Branch]
    points: frozenset[str] = frozenset()
    dirt: float = DIRT
    place: dict[str, int] = field(init=False)
    matrix: Floats = field(init=False)
    fed: Floats = field(init=False)

    def __post_init__(self) -> None:
        ends = (name for one in self.branches for name in (one.a, one.b))
        names = self.points.union(ends) - {EARTH}
        self.place = {name: i for i, name in enumerate(sorted(names))}
        self.matrix = np.diag(np.full(len(names), self.dirt, dtype=np.float64))
        self.fed = np.zeros(len(names))
        for one in self.branches:
            siemens = 1.0 / max(one.ohms, LEAST)
            self._join(one.a, one.b, siemens)
            self._push(self.fed, one.b, one.a, one.volts * siemens)

    def _join(self, a: str, b: str, siemens: float) -> None:
        i, j = self.place.get(a, -1), self.place.get(b, -1)
        if i >= 0:
            self.matrix[i, i] += siemens
        if j >= 0:
            self.matrix[j, j] += siemens
        if i >= 0 and j >= 0:
            self.matrix[i, j] -= siemens
            self.matrix[j, i] -= siemens

    def _push(self, into: Floats, a: str, b: str, amps: float) -> None:
        """Amperes taken from a and given to b."""
        if a in self.place:
            into[self.place[a]] -= amps
        if b in self.place:
            into[self.place[b]] += amps

    def solved(self, red: str, black: str) -> Solved:
        """Voltages as they are, and what each ampere from red to black changes of them."""
        drawn = np.zeros(len(self.place))
        self._push(drawn, red, black, 1.0)
        both: Floats = np.linalg.solve(self.matrix, np.stack([self.fed, drawn], axis=1)).astype(
            float
        )
        return Solved(self, both[:, 0], both[:, 1])

    def ohms(self, red: str, black: str) -> float:
        """Resistance between two points, all voltages taken out; MOST_OHMS when open."""
        if red not in self.place or (black not in self.place and black != EARTH):
            return MOST_OHMS
        drawn = np.zeros(len(self.place))
        self._push(drawn, black, red, 1.0)
        volts: Floats = np.linalg.solve(self.matrix, drawn).astype(float)
        seen = self._at(volts, red) - self._at(volts, black)
        return float(min(seen, MOST_OHMS))

    def _at(self, volts: Floats, name: str) -> float:
        return float(volts[self.place[name]]) if name in self.place else 0.0

    def with_meter(self, red: str, black: str) -> Net:
        more = [*self.branches, Branch(red, black, METER)]
        return Net(more, self.points, self.dirt)


@dataclass(frozen=True)
class Solved:
    """alone: voltages with no ampere drawn; each: change of them for one ampere drawn."""

    net: Net
    alone: Floats
    each: Floats

    def volts(self, name: str, amps: float = 0.0) -> float:
        """Voltage of a point over the earth; a point that is not there floats at 0."""
        i = self.net.place.get(name, -1)
        return float(self.alone[i] + amps * self.each[i]) if i >= 0 else 0.0

    def across(self, red: str, black: str, amps: float = 0.0) -> float:
        return self.volts(red, amps) - self.volts(black, amps)

    def amps(self, branch: Branch, drawn: float = 0.0) -> float:
        """Current from a to b through a branch."""
        push = self.across(branch.a, branch.b, drawn) - branch.volts
        return push / max(branch.ohms, LEAST)
