"""How hot the parts get: loss in watts times a thermal resistance, over the air around them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from diagnose.circuit.fed import Fed
from diagnose.circuit.healthy import wire_resistance
from diagnose.circuit.model import Model
from diagnose.circuit.network import branches
from diagnose.circuit.operation import Operation
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.parts import feed_wires
from diagnose.circuit.rig import Rig
from diagnose.circuit.solve import Lazily

COMPONENTS = ("fuse-holder", "relay", "pressure-switch", "motor", "wire", "master-switch")


def _spliced(rig: Rig) -> tuple[str, ...]:
    """Wires with a joint that a hand along them finds. The bolted ring at the ground stud is none:
    it gives its heat to the frame, and nobody feels along a frame."""
    return ("battery_lead", *feed_wires(rig), "return_1")


def loss(fed: Fed, motor_current: Array, a: str, b: str) -> Array:
    """Power turned to heat between two joined nodes [W]: volts squared times conductance."""
    drop = fed.volts(a, motor_current) - fed.volts(b, motor_current)
    return drop**2 * fed.network[(a, b)]


def components_on(rig: Rig) -> tuple[str, ...]:
    """The components of a rig whose heat can be read."""
    return (*_pairs(rig), "wire", "motor")


def _pairs(rig: Rig) -> dict[str, tuple[tuple[str, str], ...]]:
    pairs: dict[str, tuple[tuple[str, str], ...]] = {
        "fuse-holder": (("fuse.in", "fuse.out"),),
        "master-switch": (("master.in", "master.out"),),
        "relay": (("relay.86", "relay.85"), ("relay.30", "blade"), ("blade", "relay.87")),
        "pressure-switch": (("pswitch.in", "pswitch.out"),),
    }
    there = {(branch.a, branch.b) for branch in branches(rig)}
    return {part: ways for part, ways in pairs.items() if there.issuperset(ways)}


def _averaged(batch: Batch, operation: Operation, part: tuple[tuple[str, str], ...]) -> Array:
    """Loss in a part over time [W], chatter and idle time counted."""

    def losses(_: Batch, fed: Fed, current: Array) -> Array:
        return np.asarray(sum(loss(fed, current, a, b) for a, b in part))

    return operation.over_time(batch, losses)[0]


def _mean_square(batch: Batch, operation: Operation, leaks: bool = False) -> Array:
    """Mean square of the motor's current [A2], with what leaks to ground beside it if asked."""

    def square(_: Batch, fed: Fed, amps: Array) -> Array:
        if not leaks:
            return amps**2
        stray = fed.volts("motor+", amps) - fed.volts("ground", amps)
        return np.asarray((amps + stray * fed.network[("motor+", "ground")]) ** 2)

    return operation.over_time(batch, square)[0]


def _wire_rise(model: Model, batch: Batch, operation: Operation, joints: bool = True) -> Array:
    """Rise of the power wire over the air [K]: along it, and at its worst splice if asked."""
    square = _mean_square(batch, operation, leaks=True)
    rig, figures = model.rig, model.figures
    ambient = figures.get("ambient-temperature", "degC")
    per_metre = wire_resistance(rig.wire_area, 1.0, figures, ambient)
    excess = [np.maximum(batch[name] - model.sound[name], 0.0) for name in _spliced(model.rig)]
    joint = np.max(excess, axis=0) * figures.table("thermal-resistance").row("fuse-holder")["rise"]
    if not joints:
        joint = np.zeros(len(batch))
    along = per_metre * figures.get("wire-rise", "K*m/W")
    return np.asarray(square * (along + joint))


def motor_rise(model: Model, batch: Batch, operation: Operation) -> Array:
    """Rise of the motor case [K]: copper loss over that at rated current."""
    rated = model.work.current
    sound = model.figures.get("motor-temperature-rise", "K")
    share = model.figures.get("motor-friction-share")
    drag = np.maximum(batch["motor.friction"] / rated, share) / share
    return sound * _mean_square(batch, operation) / rated**2 * np.sqrt(drag)


def along_the_wires(model: Model, batch: Batch, operation: Operation) -> Array:
    """Temperature of the power wire away from its splices [degC]."""
    kelvin = _wire_rise(model, batch, operation, joints=False)
    return np.asarray(batch["ambient"] + np.minimum(kelvin * batch["thermal"], HOTTEST))


HOLDING = 4.0
"""Watts of a coil from which a relay is a solenoid, whose body gives off more heat; estimate."""


def _body(model: Model, part: str) -> str:
    """The row of a part's thermal resistance."""
    watts = model.figures.get("motor-rated-voltage", "V") ** 2 / model.rig.relay_coil
    return "solenoid" if part == "relay" and watts > HOLDING else part


HOTTEST = 250.0
"""Rise at which a part stops getting hotter, since it burns or melts [K]; estimate."""


def temperatures(model: Model, batch: Batch, operation: Operation) -> Mapping[str, Array]:
    """Temperature of each component of the rig after some minutes [degC], worked out when asked
    for.

    Rise = loss * thermal resistance (figure table thermal-resistance) * the circuit's own factor.
    """

    def celsius(_: Mapping[str, Array], part: str) -> Array:
        kelvin = _rise(model, batch, operation, part)
        return np.asarray(batch["ambient"] + np.minimum(kelvin * batch["thermal"], HOTTEST))

    return Lazily(components_on(model.rig), celsius)


def _rise(model: Model, batch: Batch, operation: Operation, part: str) -> Array:
    """Rise of a component over the air [K], before what cools or insulates this circuit."""
    if part == "wire":
        return _wire_rise(model, batch, operation)
    if part == "motor":
        return motor_rise(model, batch, operation)
    resistance = model.figures.table("thermal-resistance").row(_body(model, part))["rise"]
    return _averaged(batch, operation, _pairs(model.rig)[part]) * resistance
