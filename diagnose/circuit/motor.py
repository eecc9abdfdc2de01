"""The permanent-magnet motor and its pump, diaphragm or impeller, at the operating point.

Speed, flow and pressure are ratios: 1 is the rated speed, rated flow, working pressure.
  volts:   E = brush + back_emf * speed + I * (R_source + R_motor)
  torque:  I = friction + pressure_torque * pressure
  water:   flow = speed * filling - slip * sqrt(pressure) = (opening + leak) * sqrt(pressure)
so pressure = (speed * filling / (opening + leak + slip)) ** 2 until the bypass opens. An impeller
gives pressure = shut * (filling * speed)**2 / (1 + (shut - 1) * (opening + leak + slip)**2), and
asks of the motor I = friction + pressure_torque * filling * (idle + (1 - idle) * flow / speed) *
speed**2, its slip in the flow (affinity laws; idle and shut are figures).
Source: d.c. machine theory (any textbook); orifice law Q ~ sqrt(p) (motor_pump notes in sources).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.circuit.parameters import Array, Batch, Flags


@dataclass(frozen=True)
class Load:
    """What the water asks of the motor: pressure = slope * speed**2, at most `ceiling`, and the
    torque of a pressure of drag * speed**2, which of a diaphragm pump is the same. What holds the
    pressure down holds the torque down in proportion.

    slope, drag, ceiling: over working pressure; top_speed: speed above which the suction starves.
    """

    slope: Array
    drag: Array
    ceiling: Array
    top_speed: Array


@dataclass(frozen=True)
class Running:
    """The motor at work: current [A], speed, pressure, flow at the outlet (ratios), stalled."""

    current: Array
    speed: Array
    pressure: Array
    flow: Array
    stalled: Flags


def outlet(batch: Batch, outlet_open: bool) -> Array:
    """Flow coefficient that the pump works against, its own slip included."""
    nozzle = batch["outlet.opening"] if outlet_open else 0.0
    return np.maximum(nozzle + batch["outlet.leak"] + batch["pump.slip"], 1e-3)


def load(batch: Batch, outlet_open: bool) -> Load:
    """The hydraulic load of each circuit."""
    filling = np.maximum(batch["pump.filling"], 1e-3)
    limit = np.minimum(batch["suction.limit"], 1e3)
    slope = (filling / outlet(batch, outlet_open)) ** 2
    return Load(slope, slope, batch["pump.bypass"], limit)


@dataclass(frozen=True)
class Impeller:
    """shut: pressure with its outlet shut over that at work, at the same speed; idle: torque with
    its outlet shut over that at work."""

    shut: float
    idle: float

    def load(self, batch: Batch, outlet_open: bool) -> Load:
        """The hydraulic load of each circuit."""
        filling = np.maximum(batch["pump.filling"], 1e-3)
        through = outlet(batch, outlet_open)
        slope = filling**2 * self.shut / (1 + (self.shut - 1) * through**2)
        drag = filling * (self.idle + (1 - self.idle) * through * np.sqrt(slope))
        limit = np.minimum(batch["suction.limit"], 1e3)
        return Load(slope, drag, np.full_like(slope, np.inf), limit)


def stall_current(batch: Batch, volts: Array, source: Array) -> Array:
    """Current at standstill [A]: V = I * R + the brush drop, which small currents do not reach."""
    resistance = source + batch["motor.resistance"]
    carrying = (volts - batch["motor.brush_drop"]) / resistance
    return np.maximum(carrying, volts / (resistance + batch["motor.film"]))


def _speed_at(batch: Batch, volts: Array, resistance: Array, torque: Array) -> Array:
    """Speed at the torque of a given pressure: a straight line."""
    current = batch["motor.friction"] + batch["motor.pressure_torque"] * torque
    return (volts - batch["motor.brush_drop"] - current * resistance) / batch["motor.back_emf"]


def _free_speed(batch: Batch, volts: Array, resistance: Array, slope: Array) -> Array:
    """Speed where pressure follows slope * speed**2: the positive root of a quadratic."""
    a = resistance * batch["motor.pressure_torque"] * slope
    b = batch["motor.back_emf"]
    c = volts - batch["motor.brush_drop"] - batch["motor.friction"] * resistance
    return 2 * c / (b + np.sqrt(np.maximum(b * b + 4 * a * np.maximum(c, 0.0), 0.0)))


def run(
    batch: Batch, volts: Array, source: Array, water: Load, opening: Array, breakaway: float
) -> Running:
    """Operating point of the motor behind a source of `volts` [V] and `source` [ohm].

    opening: flow coefficient of the outlet alone (0 when shut); breakaway: starting torque over
    running friction. Shapes: one value a circuit.
    """
    resistance = source + batch["motor.resistance"]
    speed = _free_speed(batch, volts, resistance, water.drag)
    starving = np.minimum(speed, water.top_speed)
    pressure = np.minimum(water.slope * starving**2, water.ceiling)
    capped = pressure < water.slope * speed**2
    held = water.drag / water.slope * pressure
    speed = np.where(capped, _speed_at(batch, volts, resistance, held), speed)
    standing = stall_current(batch, volts, source)
    stalled = (
        (batch["motor.locked"] > 0)
        | (speed <= 0)
        | (standing < breakaway * batch["motor.friction"])
    )
    asked = np.where(capped, held, water.drag * starving**2)
    current = batch["motor.friction"] + batch["motor.pressure_torque"] * asked
    flowing = np.where(stalled, 0.0, pressure)
    return Running(
        np.where(stalled, standing, current),
        np.where(stalled, 0.0, speed),
        flowing,
        opening * np.sqrt(flowing),
        stalled,
    )
