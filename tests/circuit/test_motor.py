"""The permanent-magnet motor: rated point, standstill, and what low volts do to it."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.circuit.model import Model
from diagnose.circuit.motor import Running, load, run, stall_current
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.rig import bundled_rigs, open_rig

RIGS = [name for name in bundled_rigs() if open_rig(name).pump_kind == "diaphragm"]
RATED_VOLTS = 12.0


def rated(model: Model) -> float:
    """The volts of a rig's system, for which its motor is made [V]."""
    return RATED_VOLTS * model.rig.times_12


def at_the_terminals(batch: Batch, volts: Array | float, outlet_open: bool = True) -> Running:
    """The motor on a source without resistance."""
    water = load(batch, outlet_open)
    opening = batch["outlet.opening"] * outlet_open
    nothing = np.zeros(len(batch))
    return run(batch, nothing + volts, nothing, water, opening, breakaway=1.5)


@pytest.mark.parametrize("name", RIGS)
def test_at_rated_volts_a_pump_without_slip_is_at_its_rated_point(name: str) -> None:
    model = Model.of(open_rig(name))

    batch = model.sound_batch().with_values({"pump.slip": 0.0})
    motor = at_the_terminals(batch, rated(model))

    assert motor.current[0] == pytest.approx(model.work.current, rel=1e-12)
    assert [motor.speed[0], motor.pressure[0], motor.flow[0]] == pytest.approx([1, 1, 1], rel=1e-12)
    assert not motor.stalled[0]


@pytest.mark.parametrize("name", RIGS)
def test_slip_costs_little_at_the_rated_point(name: str) -> None:
    """3 % of the flow past the valves: under 6 % of the pressure, as the square of the flow."""
    model = Model.of(open_rig(name))
    motor = at_the_terminals(model.sound_batch(), rated(model))

    assert 0.94 < motor.pressure[0] < 1
    assert motor.flow[0] == pytest.approx(np.sqrt(motor.pressure[0]), rel=1e-12)
    assert motor.speed[0] == pytest.approx(1.03 * motor.flow[0], rel=1e-12)


@pytest.mark.parametrize("name", RIGS)
def test_a_held_motor_draws_less_than_volts_over_resistance(name: str) -> None:
    """How many times its rated current is held against common practice in tests/outside."""
    batch = Model.of(open_rig(name)).sound_batch().with_values({"motor.locked": 1.0})

    motor = at_the_terminals(batch, RATED_VOLTS)

    assert motor.current[0] < RATED_VOLTS / batch["motor.resistance"][0]
    assert [motor.speed[0], motor.pressure[0], motor.flow[0]] == [0, 0, 0]
    assert motor.stalled[0]


def test_the_voltage_equation_holds_at_every_supply() -> None:
    """V = brushes + k w + I R and I = friction + torque, wherever the motor turns."""
    volts = np.linspace(0.5, 30, 60)
    batch = Model.of(open_rig("bowser")).sound_batch(60)

    motor = at_the_terminals(batch, volts)

    back_emf = batch["motor.brush_drop"] + batch["motor.back_emf"] * motor.speed
    torque = batch["motor.friction"] + batch["motor.pressure_torque"] * motor.pressure
    turning = np.logical_not(motor.stalled)
    assert turning.sum() > 50
    balance = back_emf + motor.current * batch["motor.resistance"]
    assert balance[turning] == pytest.approx(volts[turning], rel=1e-12)
    assert motor.current[turning] == pytest.approx(torque[turning], rel=1e-12)


def test_low_volts_slow_the_pump_and_ease_its_load() -> None:
    """At a nozzle speed and flow fall with the volts; current falls less than the pressure does."""
    batch = Model.of(open_rig("bowser")).sound_batch(2)

    motor = at_the_terminals(batch, np.array([12.0, 10.0]))

    slower, less = motor.speed[1] / motor.speed[0], motor.current[1] / motor.current[0]
    assert 10 / 12 * 0.95 < slower < 10 / 12 * 1.05
    assert slower**2 < less < 1
    assert motor.flow[1] / motor.flow[0] == pytest.approx(slower, rel=1e-12)


def test_at_constant_pressure_low_volts_leave_the_current_alone() -> None:
    batch = Model.of(open_rig("bowser")).sound_batch(2)

    motor = at_the_terminals(batch, np.array([12.0, 10.0]), outlet_open=False)  # bypass open

    assert motor.pressure == pytest.approx(batch["pump.bypass"])
    assert motor.current[0] == motor.current[1]
    assert motor.speed[1] < motor.speed[0]


def test_too_little_torque_to_break_away_means_standing() -> None:
    """Below 1.5 times the friction torque it stays where it is and draws what volts over R give."""
    batch = Model.of(open_rig("bowser")).sound_batch(2)
    edge = 1.5 * batch["motor.friction"] * batch["motor.resistance"] + batch["motor.brush_drop"]

    motor = at_the_terminals(batch, edge * np.array([0.99, 1.01]))

    assert list(motor.stalled) == [True, False]
    assert motor.current[0] > motor.current[1]


def test_a_dead_motor_has_no_voltage_of_its_own() -> None:
    """The brushes keep no drop without current: a floating feed of 1e10 ohm shows as nothing."""
    batch, feed = Model.of(open_rig("bowser")).sound_batch(), np.array([1e10])

    amps = stall_current(batch, np.array([12.6]), feed)

    assert amps[0] == pytest.approx(12.6 / 1e10, rel=1e-6)
    assert 12.6 - amps[0] * feed[0] < 1e-6


def test_a_starved_suction_takes_the_load_off_the_motor() -> None:
    batch = Model.of(open_rig("bowser")).sound_batch(2)
    starved = batch.with_values({"suction.limit": np.array([3.0, 0.4])})

    motor = at_the_terminals(starved, RATED_VOLTS)

    assert motor.speed[1] > motor.speed[0]
    assert motor.current[1] < motor.current[0]
    assert motor.flow[1] == pytest.approx(0.4 / 1.03, rel=1e-12)
