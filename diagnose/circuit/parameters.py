"""The numbers that describe one circuit, by name: what a fault may change.

A parameter is an SI float (resistances in ohm, voltages in V, currents in A, flags 0 or 1, ratios
without unit). `healthy` gives the values of a sound rig; `Batch` holds many circuits side by side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.kinds import PREFIX
from diagnose.circuit.label import at_work
from diagnose.circuit.parts import extra_parameters, feed_wires, listed_parts
from diagnose.circuit.rig import Rig, interpolate
from diagnose.figures import Figures

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
    return known in RESISTANCES or OF_A_PART.get(known) == "ohm"


def unit_of(name: str) -> str:
    """The unit a parameter is written in ("1" for flags and ratios)."""
    known = family(name)
    if known in OF_A_PART:
        return OF_A_PART[known]
    if known in RESISTANCES or known in ("motor.resistance", "motor.film"):
        return "ohm"
    if known in VOLTAGES:
        return "V"
    if known in CURRENTS:
        return "A"
    return "degC" if known == "ambient" else "1"


def wire_resistance(area: float, length: float, figures: Figures, temperature: float) -> float:
    """Resistance of stranded copper wire [ohm].

    area [mm2], length along the conductor [m], temperature of the copper [degC].
    R = rho20 (1 + alpha (T - 20)) * lay * length / area.
    Source: IEC 60028 resistivity and coefficient; lay factor from NFPA 70 chapter 9 table 8.
    """
    rho = figures.get("copper-resistivity-20c", "ohm*mm^2/m")
    alpha = figures.get("copper-temperature-coefficient", "K^-1")
    hot = 1 + alpha * (temperature - 20)
    return rho * hot * figures.get("stranding-lay") * length / area


SHORTEST = 0.02
"""Conductor between a battery's post and a fuse that is bolted to it [m]; estimate. A wire of no
length would be a conductance without end."""


def _wires(rig: Rig, figures: Figures) -> dict[str, float]:
    def wire(length: float, area: float = 0.0) -> float:
        ambient = figures.get("ambient-temperature", "degC")
        return wire_resistance(area or rig.wire_area, length, figures, ambient)

    lead = min(max(rig.main_fuse_distance, SHORTEST), 0.9 * rig.wire_length)
    feed = rig.wire_length - lead
    back = rig.return_length or rig.wire_length
    names = feed_wires(rig)
    to_master = figures.get("feed-share-to-master")
    to_switch = figures.get("feed-share-to-switch")
    to_ground = figures.get("return-share-to-ground")
    stud = figures.get("ground-stud-resistance", "ohm")
    return {
        "battery_lead": wire(lead),
        **{name: wire(feed / len(names)) for name in names[3:]},
        **_standard_feed(feed * 3 / len(names), to_master, to_switch, wire),
        "return_1": wire(back * to_ground, rig.return_area),
        "return_2": stud + wire(back * (1 - to_ground), rig.return_area),
        **({"return_3": wire(lead)} if "return_3" in extra_parameters(rig) else {}),
    }


def _standard_feed(
    length: float, to_master: float, to_switch: float, wire: Callable[[float], float]
) -> dict[str, float]:
    """The first three wires of a feed, as they share its length where there are no more."""
    return {
        "feed_1": wire(length * to_master),
        "feed_2": wire(length * to_switch),
        "feed_3": wire(length * (1 - to_master - to_switch)),
    }


def _listed(rig: Rig, figures: Figures) -> dict[str, float]:
    """What the listed parts of a rig have when sound."""
    found: dict[str, float] = {}
    for one in listed_parts(rig):
        part, ohms = one.part, figures.get(one.kind.ohms, "ohm")
        found |= {name: ohms for name in one.parameters if name.startswith(part.parameter())}
        if one.minus:
            found[one.minus[2]] = ohms
        if one.kind.opens_below:
            found[part.parameter(one.kind.opens_below)] = part.number(one.kind.opens_below)
        if one.kind.protects and one.listed:
            found[part.parameter("rating")] = part.number("rating")
        if part.kind == "fuse" and one.listed:
            found[part.parameter()] = fuse_resistance(part.number("rating"), figures)
    rated = figures.get("motor-rated-voltage", "V")
    return found | {load.parameter("load"): rated / load.number("current") for load in rig.loads}


def _control_wires(rig: Rig, figures: Figures) -> dict[str, float]:
    ambient = figures.get("ambient-temperature", "degC")
    area = figures.get("control-wire-area", "mm^2")
    whole = wire_resistance(area, rig.wire_length, figures, ambient)
    shares = {"control_tap": 0.1, "control_link": 0.1, "coil_ground": 0.2}
    return {name: whole * shares.get(name, 1.0) for name in CONTROL_WIRES}


def fuse_resistance(rating: float, figures: Figures) -> float:
    """Resistance of a blade fuse carrying a pump's current [ohm], by rating [A].

    Source: figure table fuse-cold-resistance, warmed by fuse-hot-over-cold.
    """
    table = figures.table("fuse-cold-resistance")
    ratings, cold = table.column("rating"), table.column("resistance")
    inside = min(max(rating, ratings[0]), ratings[-1])
    return interpolate(inside, ratings, cold) * inside / rating * figures.get("fuse-hot-over-cold")


def _protection(rig: Rig, figures: Figures) -> float:
    """Resistance of the first fuse or breaker [ohm]."""
    if rig.first_protection in ("breaker", "automatic-breaker"):
        return figures.get("breaker-resistance", "ohm")
    return fuse_resistance(rig.main_fuse_rating, figures)


def _joints(rig: Rig, figures: Figures) -> dict[str, float]:
    def ohm(name: str) -> float:
        return figures.get(name, "ohm")

    return {
        "terminal_positive": ohm("battery-terminal-resistance"),
        "terminal_negative": ohm("battery-terminal-resistance"),
        "fuse_holder": ohm("fuse-holder-resistance"),
        "main_fuse": _protection(rig, figures),
        "master_switch": ohm("master-switch-resistance"),
        "relay_socket": ohm("relay-socket-resistance"),
        "relay_contact": ohm("relay-contact-resistance"),
        "pressure_switch": ohm("pressure-switch-resistance"),
        "float_switch": ohm("float-switch-resistance"),
        "control_fuse_holder": ohm("control-fuse-holder-resistance"),
        "control_fuse": fuse_resistance(rig.control_fuse_rating, figures),
        "hand_switch": ohm("hand-switch-resistance"),
        "remote_output": ohm("remote-output-resistance"),
    }


def _battery(rig: Rig, figures: Figures) -> dict[str, float]:
    sizes = figures.table("battery-resistance")
    together = rig.battery_capacity * rig.battery_count
    flooded = interpolate(together, sizes.column("capacity"), sizes.column("resistance"))
    kind = figures.table("battery-kind").row(rig.battery_kind)
    return {
        "battery.voltage": kind["voltage"],
        "battery.resistance": flooded * kind["resistance"],
    }


def _motor(rig: Rig, figures: Figures) -> dict[str, float]:
    """A PMDC motor that draws its current at rated volts and working pressure.

    V = brush + back_emf * speed + I * R, speed 1 at the rated point; R from the stall ratio.
    Source: standard d.c. machine theory.
    """
    rated, brush = figures.get("motor-rated-voltage", "V"), figures.get("motor-brush-drop", "V")
    current = at_work(rig, figures).current
    resistance = (rated - brush) / (figures.get("motor-stall-ratio") * current)
    friction = figures.get("motor-friction-share") * current
    return {
        "motor.resistance": resistance,
        "motor.brush_drop": brush,
        "motor.film": brush / (figures.get("motor-brush-film") * current),
        "motor.back_emf": rated - brush - current * resistance,
        "motor.friction": friction,
        "motor.pressure_torque": current - friction,
    }


def healthy(rig: Rig, figures: Figures) -> dict[str, float]:
    """Every parameter of a sound rig."""
    values = dict.fromkeys((*NAMES, *extra_parameters(rig)), 0.0)
    values |= dict.fromkeys(LEAKS, OPEN)
    values |= _wires(rig, figures) | _control_wires(rig, figures) | _joints(rig, figures)
    values |= _listed(rig, figures)
    values |= _battery(rig, figures) | _motor(rig, figures)
    return values | {
        "coil": rig.relay_coil,
        "coil.pull_in": figures.get("relay-pull-in", "V"),
        "coil.drop_out": figures.get("relay-drop-out", "V"),
        "main_fuse.rating": rig.main_fuse_rating,
        "control_fuse.rating": rig.control_fuse_rating,
        "pump.filling": 1.0,
        "pump.slip": figures.get("pump-slip"),
        "pump.bypass": figures.get("pump-bypass"),
        "outlet.opening": 1.0,
        "suction.limit": figures.get("suction-limit"),
        "pressure_switch.cut_out": figures.get("cut-out"),
        "pressure_switch.cut_in": figures.get("cut-in"),
        "accumulator.volume": 1.0,
        "thermal": 1.0,
        "ambient": figures.get("ambient-temperature", "degC"),
    }


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
