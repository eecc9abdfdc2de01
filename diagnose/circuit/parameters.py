"""The numbers that describe one circuit, by name: what a fault may change.

A parameter is an SI float (resistances in ohm, voltages in V, currents in A, flags 0 or 1, ratios
without unit). `Batch` holds many circuits side by side; healthy.py has the values of a sound rig.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.kinds import PREFIX

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
OPEN = 1e10
"""Resistance of an open joint or contact [ohm]: far above the input of any meter."""

WIRES = ("battery_lead", "feed_1", "feed_2", "feed_3", "return_1", "return_2")
CONTROL_WIRES = ("control_tap", "control_wire_1", "control_link", "control_wire_2", "coil_ground")
JOINTS = (
    "terminal_positive",
    "terminal_negative",
    "fuse_holder",
    "main_fuse",
    "master_switch",
    "relay_socket",
    "relay_contact",
    "pressure_switch",
    "float_switch",
    "control_fuse_holder",
    "control_fuse",
    "hand_switch",
    "remote_output",
)
LEAKS = (
    "leak_feed",
    "leak_motor_feed",
    "leak_control",
    "leak_case",
    "rest_drain",
    "coil_shunt",
    "motor_on_87a",
)
RESISTANCES = (*WIRES, *CONTROL_WIRES, *JOINTS, *LEAKS, "battery.resistance", "coil")
VOLTAGES = (
    "battery.voltage",
    "coil.pull_in",
    "coil.drop_out",
    "motor.back_emf",
    "motor.brush_drop",
)
CURRENTS = ("motor.friction", "motor.pressure_torque", "main_fuse.rating", "control_fuse.rating")
FLAGS = (
    "main_fuse.bridged",
    "relay.welded",
    "pressure_switch.welded",
    "float_switch.welded",
    "float_switch.inverted",
    "motor.locked",
    "control.flutter",
    "power.flutter",
    "motor.reversed",
    "coil.diode_reversed",
)
RATIOS = (
    "pump.filling",
    "pump.slip",
    "pump.bypass",
    "outlet.opening",
    "outlet.leak",
    "suction.limit",
    "pressure_switch.cut_out",
    "pressure_switch.cut_in",
    "accumulator.volume",
    "thermal",
)
IN_SERIES = ("upper.lacks", "upper.resistance", "lower.lacks", "lower.resistance")
"""Of two batteries in series, the upper at the plus end: the volts by which one is short of its
half, and the ohms that it has beside those of either [V, ohm]."""

NAMES: tuple[str, ...] = (
    *RESISTANCES,
    "motor.resistance",
    "motor.film",
    *VOLTAGES,
    *CURRENTS,
    *FLAGS,
    *RATIOS,
    "ambient",
)
PART = "part"
"""What a template of the knowledge calls the parameters of its part, whatever its name."""

OF_A_PART = {
    PART: "ohm",
    "part.minus": "ohm",
    "part.holder": "ohm",
    "part.load": "ohm",
    "part.rating": "A",
    "part.opens": "V",
    "part.welded": "1",
}
"""The parameters that a listed part can have, as a template calls them, and their units."""


def family(name: str) -> str:
    """A parameter as templates and tables call it: of any listed part alike, of any wire behind the
    third part as of the third."""
    if name.startswith(PREFIX):
        suffix = name.rpartition(".")[2]
        return f"{PART}.{suffix}" if f"{PART}.{suffix}" in OF_A_PART else PART
    if name.startswith("feed_") and name not in WIRES:
        return "feed_3"
    return "return_2" if name == "return_3" else name


def is_resistance(name: str) -> bool:
    """Whether a parameter is the resistance of something that lies between two points."""
    known = family(name)
    return known in (*RESISTANCES, *IN_SERIES[1::2]) or OF_A_PART.get(known) == "ohm"


def unit_of(name: str) -> str:
    """The unit a parameter is written in ("1" for flags and ratios)."""
    known = family(name)
    if known in OF_A_PART:
        return OF_A_PART[known]
    if is_resistance(name) or known in ("motor.resistance", "motor.film"):
        return "ohm"
    if known in VOLTAGES or known in IN_SERIES:
        return "V"
    if known in CURRENTS:
        return "A"
    return "degC" if known == "ambient" else "1"


MOST = 9000
"""Circuits worked out at a time: so many stay in a processor's cache with what is made of them, and
a rig's whole book would take several times the memory. A choice of speed."""


def slices(count: int) -> Iterator[slice]:
    """So many circuits, at most MOST at a time and about as many each time."""
    parts = max(-(-count // MOST), 1)
    ends = (count * i // parts for i in range(parts + 1))
    yield from (slice(a, b) for a, b in pairwise(ends))


@lru_cache(maxsize=64)
def _index(names: tuple[str, ...]) -> Mapping[str, int]:
    return {name: i for i, name in enumerate(names)}


@dataclass(frozen=True)
class Batch:
    """Many circuits side by side: `values` has a row a parameter, a column a circuit; names: the
    parameters in the order of the rows; kept: what has been worked out of them, by what it is, so
    that two conditions with the same contacts are solved once."""

    values: Array
    names: tuple[str, ...] = NAMES
    kept: dict[object, Any] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, values: Mapping[str, float], count: int = 1) -> Batch:
        """`count` equal circuits."""
        column = np.array(list(values.values()), dtype=np.float64)
        return cls(np.repeat(column[:, None], count, axis=1), tuple(values))

    @classmethod
    def joined(cls, parts: Sequence[Batch]) -> Batch:
        """The circuits of several batches of one rig, one after another."""
        return cls(np.concatenate([part.values for part in parts], axis=1), parts[0].names)

    def __getitem__(self, name: str) -> Array:
        row: Array = self.values[_index(self.names)[name]]
        return row

    def __len__(self) -> int:
        return int(self.values.shape[1])

    def copy(self) -> Batch:
        return Batch(self.values.copy(), self.names)

    def with_values(self, changes: Mapping[str, Array | float]) -> Batch:
        """The same circuits with some parameters replaced."""
        changed, row = self.copy(), _index(self.names)
        for name, value in changes.items():
            changed.values[row[name]] = value
        return changed

    def take(self, columns: NDArray[np.intp] | slice) -> Batch:
        """The circuits of the named columns."""
        return Batch(self.values[:, columns], self.names)

    def restored(self, names: Sequence[str], sound: Mapping[str, float]) -> Batch:
        """The same circuits with the named parameters as on a sound rig."""
        return self.with_values({name: sound[name] for name in names})
