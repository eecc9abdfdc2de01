"""One state of the contacts, solved for many circuits at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.network import EARTH, SOURCE, Contacts, conductances
from diagnose.circuit.parameters import Array, Batch, Flags
from diagnose.circuit.parts import link_of
from diagnose.circuit.rig import Rig
from diagnose.circuit.solve import K, Lazily, solve


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
    """One state of the contacts for every circuit, solved when it is first asked for."""
    if contacts not in batch.kept:
        batch.kept[contacts] = _solved(rig, batch, contacts)
    found: Fed = batch.kept[contacts]
    return found


LOOKED_AT = ("motor+", "motor-", "relay.86", "relay.85")
"""The nodes by which it is settled what motor and relay do."""


def driving(rig: Rig, batch: Batch) -> tuple[Array, Mapping[str, Array]]:
    """Open-circuit volts of all batteries together [V], and by how much the nodes between two in
    series stand lower than they are solved."""
    volts, link = batch["battery.voltage"], link_of(rig)
    if link is None:
        return volts, {}
    upper = volts / 2 - batch["upper.lacks"]
    return volts - batch["upper.lacks"] - batch["lower.lacks"], dict.fromkeys(
        (link.start, link.end), upper
    )


def _solved(rig: Rig, batch: Batch, contacts: Contacts) -> Fed:
    network = conductances(rig, batch, contacts)
    solved = solve(network, (SOURCE, EARTH), LOOKED_AT)
    zero = np.zeros(len(batch))
    volts, lower = driving(rig, batch)
    none = solved.voltages({SOURCE: volts})
    unit = solved.voltages({}, {"motor+": -1.0, "motor-": 1.0})
    none = _with(none, {EARTH: zero}, lower)
    return Fed(network, none, _with(unit, {SOURCE: zero, EARTH: zero}))


def _with(
    volts: Mapping[str, Array],
    known: Mapping[str, Array],
    lower: Mapping[str, Array] | None = None,
) -> Mapping[str, Array]:
    """The same with the nodes that stand still. lower: by how much a node is lower than solved."""
    less = lower or {}
    return Lazily(
        volts, lambda _, node: volts[node] - less[node] if node in less else volts[node], known
    )


def put(values: Array, columns: NDArray[np.intp], part: Array) -> Array:
    """The same values with those of some circuits replaced."""
    changed = values.copy()
    changed[columns] = part
    return changed


Join = Callable[[Array, Array], Array]


def _joined(a: Fed, b: Fed, join: Join, keep: bool = True) -> Fed:
    """All that is known of one state of the contacts, each value made of those of two."""

    def maps(x: Mapping[K, Array], y: Mapping[K, Array]) -> Mapping[K, Array]:
        return Lazily(x, lambda _, name: join(x[name], y[name]), keep=keep)

    return Fed(maps(a.network, b.network), maps(a.none, b.none), maps(a.unit, b.unit))


def put_fed(fed: Fed, columns: NDArray[np.intp], part: Fed) -> Fed:
    """The same with some circuits replaced; not kept, since both are and a copy costs little."""
    return _joined(fed, part, lambda whole, some: put(whole, columns, some), keep=False)


def pick_fed(first: Flags, a: Fed, b: Fed) -> Fed:
    """Circuit by circuit, `a` where `first` holds, else `b`."""
    if a is b or first.all():
        return a
    return _joined(a, b, lambda x, y: x if x is y else np.where(first, x, y)) if first.any() else b


def take_fed(fed: Fed, columns: NDArray[np.intp]) -> Fed:
    """The same for the named circuits."""
    return _joined(fed, fed, lambda x, _: x[columns])
