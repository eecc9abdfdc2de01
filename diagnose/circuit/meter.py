"""What a meter shows: voltage, ohms, amps, temperature, pressure and flow of many circuits."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from diagnose.circuit.fed import Fed
from diagnose.circuit.heat import temperatures
from diagnose.circuit.model import Model
from diagnose.circuit.network import EARTH, SOURCE, conductances
from diagnose.circuit.operate import contacts_in, operate, without_motor
from diagnose.circuit.operation import Operation, State
from diagnose.circuit.parameters import OPEN, Array, Batch
from diagnose.circuit.rig import GAL_PER_MIN, PSI
from diagnose.circuit.solve import resistance_between

INPUT_RESISTANCE = 1e7
"""Input resistance of a digital voltmeter [ohm]; 10 megohm, common practice."""

LARGEST_OHMS = 4e7
"""Above this an ohmmeter shows OL [ohm]; 40 megohm range of a cheap meter, common practice."""

QUANTITIES = {
    "voltage": "V",
    "resistance": "ohm",
    "current": "A",
    "peak-current": "A",
    "temperature": "degC",
    "pressure": "psi",
    "flow-rate": "gal/min",
}
"""Unit in which each quantity is asked for and predicted."""


@dataclass(frozen=True, order=True)
class Reading:
    """What is measured: quantity, points (red then black) and the condition of the rig."""

    quantity: str
    points: tuple[str, ...]
    condition: str

    def __str__(self) -> str:
        words = [self.quantity, *self.points]
        if self.quantity not in ("resistance", "temperature"):
            words.append(self.condition)
        return " ".join(words)

    @property
    def unit(self) -> str:
        return QUANTITIES[self.quantity]


@dataclass
class Circuits:
    """Many circuits and a meter; every condition is settled once, when it is first needed. whole:
    as of `operate`."""

    model: Model
    batch: Batch
    whole: bool = False
    _settled: dict[str, Operation] = field(default_factory=dict)

    def operation(self, condition: str) -> Operation:
        if condition not in self._settled:
            self._settled[condition] = operate(self.model, self.batch, condition, self.whole)
        return self._settled[condition]

    def predict(self, reading: Reading) -> tuple[Array, Array]:
        """Mean and spread of what the meter shows, in the reading's unit; one value a circuit.

        The spread [same unit] is what an unsteady contact adds; meter error is not in it.
        """
        if reading.quantity == "resistance":
            ohms = self._ohms(reading.points)
            return ohms, np.zeros(len(self.batch))
        steady = _PREDICT[reading.quantity]
        return steady(self, self.operation(reading.condition), reading)

    def made_and_apart(self, reading: Reading) -> tuple[Array, Array]:
        """A voltage or a current while the contacts make and while they are apart; alike where
        nothing opens and closes."""
        operation = self.operation(reading.condition)
        value = _through(reading)
        if reading.quantity == "voltage":
            value = _between(reading, operation.motor_connected)
        live = value(self.batch, operation.live, operation.motor_current)
        return live, value(self.batch, operation.idle, operation.idle_current)

    def _ohms(self, points: tuple[str, ...]) -> Array:
        """Ohms of a part freed from its neighbours: motor leads off, relay out of its socket."""
        contacts = contacts_in(self.model.rig, "isolated", relay=False)
        pair = set(points)
        at_motor = bool(pair & {"motor+", "motor-"})
        batch = self.batch if at_motor else without_motor(self.batch)
        network = conductances(self.model.rig, batch, contacts)
        if pair == {"relay.86", "relay.85"}:
            return np.minimum(_coil(self.batch), LARGEST_OHMS)
        if pair == {"motor+", "motor-"}:
            _join_motor(network, self.batch)
        network.pop(("relay.86", "relay.85"), None)
        return np.minimum(resistance_between(network, *points), LARGEST_OHMS)


def _coil(batch: Batch) -> Array:
    """Ohms of a relay in the hand: its coil and what is shorted across it.

    A diode does not count: an ohmmeter's few tenths of a volt across a coil do not make it conduct.
    """
    return np.asarray(1.0 / (1.0 / batch["coil"] + 1.0 / batch["coil_shunt"]))


def _join_motor(network: dict[tuple[str, str], Array], batch: Batch) -> None:
    key = ("motor+", "motor-")
    network[key] = network.get(key, 0.0) + 1.0 / batch["motor.resistance"]


def _through_meter(batch: Batch, fed: Fed, points: tuple[str, ...], motor: bool) -> Array:
    """Share of the open-circuit voltage left with the meter's input resistance between.

    Seen by the meter the ideal battery is a plain joint. motor: whether its leads are on.
    """
    network = {(EARTH if a == SOURCE else a, b): g for (a, b), g in fed.network.items()}
    if motor:
        _join_motor(network, batch)
    seen = resistance_between(network, *points)
    return INPUT_RESISTANCE / (INPUT_RESISTANCE + seen)


def _leads(batch: Batch, fed: Fed, node: str, current: Array) -> Array:
    """Voltage at a node, with the motor's leads exchanged where they are."""
    volts = fed.volts(node, current)
    other = {"motor+": "motor-", "motor-": "motor+"}.get(node)
    if other is None:
        return volts
    return np.where(batch["motor.reversed"] > 0, fed.volts(other, current), volts)


def _between(reading: Reading, motor: bool) -> State:
    """Volts between two points. motor: whether its leads are on."""
    red, black = reading.points

    def volts(batch: Batch, fed: Fed, current: Array) -> Array:
        open_circuit = _leads(batch, fed, red, current) - _leads(batch, fed, black, current)
        return open_circuit * _through_meter(batch, fed, reading.points, motor)

    return volts


def _voltage(circuits: Circuits, operation: Operation, reading: Reading) -> tuple[Array, Array]:
    return operation.over_time(circuits.batch, _between(reading, operation.motor_connected))


def _through(reading: Reading) -> State:
    """Amperes in a conductor."""
    return lambda _, fed, current: _conductor(fed, current, reading.points[0])


def _current(circuits: Circuits, operation: Operation, reading: Reading) -> tuple[Array, Array]:
    return operation.over_time(circuits.batch, _through(reading))


_BRANCH = {"coil": ("relay.86", "relay.85"), "battery": (SOURCE, "battery+")}
IN_SERIES = ("link.in", "link.out")
"""The branch that carries all the current of two batteries in series."""


def _conductor(fed: Fed, motor_current: Array, conductor: str) -> Array:
    if conductor == "motor-feed":
        return np.abs(motor_current + branch_current(fed, motor_current, "motor+", "ground"))
    pair = _BRANCH[conductor]
    if conductor == "battery" and pair not in fed.network:
        pair = IN_SERIES
    return np.abs(branch_current(fed, motor_current, *pair))


def branch_current(fed: Fed, motor_current: Array, a: str, b: str) -> Array:
    """Current from node a to node b through the branch between them [A]."""
    return (fed.volts(a, motor_current) - fed.volts(b, motor_current)) * fed.network[(a, b)]


BLOWN = 1e6
"""Resistance from which a fuse counts as blown [ohm]."""


def _peak(circuits: Circuits, operation: Operation, reading: Reading) -> tuple[Array, Array]:
    """At the moment of the call, so with a whole fuse: a blown one is renewed for it."""
    started = _at_the_start(operation)
    blown = np.flatnonzero(circuits.batch["main_fuse"] > BLOWN)
    if len(blown):
        whole = circuits.model.sound_batch(len(blown))["main_fuse"]
        renewed = circuits.batch.take(blown).with_values({"main_fuse": whole})
        again = Circuits(circuits.model, renewed).operation(reading.condition)
        started[blown] = _at_the_start(again)
    return started, np.zeros_like(started)


def _at_the_start(operation: Operation) -> Array:
    return np.where(operation.on > 0, operation.start_current, np.abs(operation.idle_current))


def _temperature(circuits: Circuits, operation: Operation, reading: Reading) -> tuple[Array, Array]:
    part = temperatures(circuits.model, circuits.batch, operation)[reading.points[0]]
    return part, np.zeros_like(part)


def _held(circuits: Circuits, operation: Operation) -> tuple[Array, Array]:
    """Pressure over working pressure while water is drawn, and how far it swings to either side.

    Where the pump would pass its cut-out, the switch keeps it between cut-in and cut-out.
    """
    batch, pressure = circuits.batch, operation.motor.pressure
    nothing = np.zeros_like(pressure)
    if circuits.model.rig.control != "pressure_switch":
        return pressure, nothing
    high, low = batch["pressure_switch.cut_out"], batch["pressure_switch.cut_in"]
    cycles = (pressure >= high) & (batch["pressure_switch.welded"] < 1)
    swing = np.where(cycles, np.abs(high - low) / 2, nothing)
    return np.where(cycles, (high + low) / 2, pressure), swing


def _pressure(circuits: Circuits, operation: Operation, reading: Reading) -> tuple[Array, Array]:
    share = np.where(operation.on > 0, np.maximum(operation.on, 0.4), 1.0)
    scale = circuits.model.work.pressure / PSI
    held, swing = _held(circuits, operation)
    if reading.condition == "satisfied" and circuits.model.rig.control == "pressure_switch":
        standing = ~operation.turning
        held = np.where(
            standing, circuits.batch["pressure_switch.cut_out"], operation.motor.pressure
        )
        swing = np.zeros_like(held)
    unsteady = 0.2 * (1 - share) * held
    return held * share * scale, np.hypot(unsteady, swing) * scale


def _flow(circuits: Circuits, operation: Operation, reading: Reading) -> tuple[Array, Array]:
    share = np.where(operation.on > 0, operation.on, 1.0)
    scale = circuits.model.work.flow / GAL_PER_MIN
    held, _ = _held(circuits, operation)
    pressure = np.maximum(operation.motor.pressure, 1e-9)
    flow = operation.motor.flow * np.sqrt(held / pressure)
    return flow * share * scale, 0.3 * (1 - share) * flow * scale


_PREDICT = {
    "voltage": _voltage,
    "current": _current,
    "peak-current": _peak,
    "temperature": _temperature,
    "pressure": _pressure,
    "flow-rate": _flow,
}


__all__ = ["LARGEST_OHMS", "OPEN", "QUANTITIES", "Circuits", "Reading", "branch_current"]
