"""Which switch runs the pump in which condition, with the switches' own faults."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.circuit.model import Model
from diagnose.circuit.operate import contacts_in, operate
from diagnose.circuit.operation import Operation
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import open_rig

BOWSER = open_rig("bowser")
EVERY_RIG = [
    (topology, control)
    for topology in ("direct", "relay")
    for control in ("pressure_switch", "float_switch", "manual")
]


def settled(topology: str, control: str, condition: str, **faults: float) -> Operation:
    """The bowser rewired; faults are named with __ for the dot."""
    model = Model.of(replace(BOWSER, topology=topology, control=control))
    changes = {name.replace("__", "."): value for name, value in faults.items()}
    return operate(model, model.sound_batch().with_values(changes), condition)


def runs(topology: str, control: str, condition: str, **faults: float) -> bool:
    return bool(settled(topology, control, condition, **faults).turning[0])


@pytest.mark.parametrize(("topology", "control"), EVERY_RIG)
def test_a_sound_rig_runs_when_called_and_only_then(topology: str, control: str) -> None:
    found = {
        condition: runs(topology, control, condition)
        for condition in ("rest", "calling", "satisfied", "unplugged")
    }

    assert found == {"rest": False, "calling": True, "satisfied": False, "unplugged": False}


@pytest.mark.parametrize(("topology", "control"), EVERY_RIG)
@pytest.mark.parametrize("condition", ["rest", "satisfied"])
def test_an_open_control_switch_leaves_the_motor_dead(
    topology: str, control: str, condition: str
) -> None:
    """What trickles through 1e10 ohm is no voltage at all."""
    operation = settled(topology, control, condition)
    fed, amps = operation.idle, operation.idle_current

    assert abs(fed.volts("motor+", amps) - fed.volts("motor-", amps))[0] < 1e-6
    assert abs(amps[0]) < 1e-8


@pytest.mark.parametrize(("topology", "control"), EVERY_RIG)
@pytest.mark.parametrize("condition", ["caling", "", "isolated"])
def test_a_condition_that_is_none_is_a_programmers_error(
    topology: str, control: str, condition: str
) -> None:
    with pytest.raises(ValueError, match=f"'{condition}'"):
        settled(topology, control, condition)


def test_an_ohmmeter_meets_the_contacts_of_a_rig_that_is_isolated() -> None:
    contacts = contacts_in(BOWSER, "isolated", relay=False)

    assert contacts.control
    assert not contacts.battery
    with pytest.raises(ValueError, match="rest, calling, satisfied, unplugged, isolated"):
        contacts_in(BOWSER, "isolate", relay=False)


@pytest.mark.parametrize("topology", ["direct", "relay"])
def test_a_welded_pressure_switch_pumps_on_against_the_bypass(topology: str) -> None:
    operation = settled(topology, "pressure_switch", "satisfied", pressure_switch__welded=1)

    assert operation.turning[0]
    assert operation.motor.pressure[0] == pytest.approx(1.6)  # figure pump-bypass
    assert operation.motor.flow[0] == 0


@pytest.mark.parametrize("topology", ["direct", "relay"])
@pytest.mark.parametrize(("cut_out", "stops"), [(1.25, True), (1.55, True), (1.65, False)])
def test_the_pressure_switch_stops_a_pump_that_can_reach_its_setting(
    topology: str, cut_out: float, stops: bool
) -> None:
    setting = {"pressure_switch__cut_out": cut_out}

    assert runs(topology, "pressure_switch", "satisfied", **setting) != stops


@pytest.mark.parametrize("topology", ["direct", "relay"])
@pytest.mark.parametrize(
    ("fault", "calling", "satisfied"),
    [
        ({"float_switch__welded": 1.0}, True, True),
        ({"float_switch__inverted": 1.0}, False, True),
        ({"float_switch": OPEN}, False, False),
    ],
)
def test_float_switch_faults(
    topology: str, fault: dict[str, float], calling: bool, satisfied: bool
) -> None:
    assert runs(topology, "float_switch", "calling", **fault) == calling
    assert runs(topology, "float_switch", "satisfied", **fault) == satisfied
    assert not runs(topology, "float_switch", "rest", **fault)


@pytest.mark.parametrize("control", ["pressure_switch", "float_switch", "manual"])
def test_a_welded_relay_runs_the_pump_until_the_master_is_off(control: str) -> None:
    assert runs("relay", control, "satisfied", relay__welded=1)
    assert not runs("relay", control, "rest", relay__welded=1)


@pytest.mark.parametrize("part", ["control_fuse", "control_wire_1", "hand_switch", "coil"])
def test_an_open_control_circuit_leaves_the_relay_out(part: str) -> None:
    operation = settled("relay", "pressure_switch", "calling", **{part: OPEN})

    assert not operation.pulled[0]
    assert not operation.turning[0]


def test_a_shorted_coil_does_not_pull_in_and_loads_the_control_fuse() -> None:
    """A diode the wrong way round: 12 V on a tenth of an ohm and the control wire."""
    operation = settled("relay", "pressure_switch", "calling", coil__diode_reversed=1)

    amps = operation.idle.network[("relay.86", "relay.85")] * operation.idle.coil_volts(0.0)
    assert not operation.pulled[0]
    assert amps[0] > 10 * BOWSER.control_fuse_rating


def test_a_master_switch_open_kills_what_is_behind_it() -> None:
    """The coil of the bowser is fed from before it, and clicks for nothing."""
    operation = settled("relay", "pressure_switch", "calling", master_switch=OPEN)

    assert operation.pulled[0]
    assert not operation.turning[0]
