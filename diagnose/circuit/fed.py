"""One state of the contacts, solved for many circuits at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.network import EARTH, SOURCE, Contacts, conductances
from diagnose.circuit.parameters import Array, Batch, Flags
from diagnose.circuit.rig import Rig
from diagnose.circuit.solve import Solved, solve

K = TypeVar("K")


@dataclass(frozen=True)
class Fed:
    """One state of the contacts, solved: what the motor sees and what every node does.

    network: conductances [S]; none: node voltages without motor current [V]; unit: change of each
    node voltage for one ampere drawn by the motor [V/A].
    """

    network: Mapping[tuple[str, str], Array]
    none: Mapping[str, Array]
    unit: Mapping[str, Array]

    @property
    def motor_volts(self) -> Array:
        return self.none["motor+"] - self.none["motor-"]

    @cached_property
    def source(self) -> Array:
        """Resistance of everything that feeds the motor [ohm]."""
        return np.maximum(self.unit["motor-"] - self.unit["motor+"], 0.0)

    def volts(self, node: str, motor_current: Array | float) -> Array:
        """Node voltage against battery- [V] with the motor drawing `motor_current` [A]."""
        return self.none[node] + self.unit[node] * motor_current

    def coil_volts(self, motor_current: Array | float) -> Array:
        """Voltage across the relay coil [V], without sign."""
        return np.abs(self.volts("relay.86", motor_current) - self.volts("relay.85", motor_current))


def feed(rig: Rig, batch: Batch, contacts: Contacts) -> Fed:
    """Solve one state of the contacts for every circuit."""
    network = conductances(rig, batch, contacts)
    solved: Solved = solve(network, (SOURCE, EARTH))
    zero = np.zeros(len(batch))
    none = solved.voltages({SOURCE: batch["battery.voltage"]})
    unit = solved.voltages({}, {"motor+": -1.0, "motor-": 1.0})
    return Fed(network, {EARTH: zero, **none}, {SOURCE: zero, EARTH: zero, **unit})


def put(values: Array, columns: NDArray[np.intp], part: Array) -> Array:
    """The same values with those of some circuits replaced."""
    changed = values.copy()
    changed[columns] = part
    return changed


def put_fed(fed: Fed, columns: NDArray[np.intp], part: Fed) -> Fed:
    """The same for all that is known of one state of the contacts."""

    def maps(x: Mapping[K, Array], y: Mapping[K, Array]) -> dict[K, Array]:
        return {name: put(x[name], columns, y[name]) for name in x}

    return Fed(
        maps(fed.network, part.network), maps(fed.none, part.none), maps(fed.unit, part.unit)
    )


def pick_fed(first: Flags, a: Fed, b: Fed) -> Fed:
    """Circuit by circuit, `a` where `first` holds, else `b`."""

    def maps(x: Mapping[K, Array], y: Mapping[K, Array]) -> dict[K, Array]:
        return {name: np.where(first, x[name], y[name]) for name in x}

    return Fed(maps(a.network, b.network), maps(a.none, b.none), maps(a.unit, b.unit))
