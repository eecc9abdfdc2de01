"""Chatter: enough coil volts with the contact open, too few with it closed on the start."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.operate import operate
from diagnose.circuit.operation import Operation
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig

BOWSER = Model.of(open_rig("bowser"))  # control feed tapped at fuse.out, 14 A pump
HALF_OHM = 0.5
"""A bad joint [ohm]: little for a coil of 85 ohm, much for a start of some seventy ampere."""


def called(model: Model, added: dict[str, float]) -> Operation:
    """The rig called, with resistance added to some of its parts."""
    changes = {name: model.sound[name] + ohms for name, ohms in added.items()}
    return operate(model, model.sound_batch().with_values(changes), "calling")


def tapped(point: str) -> Model:
    return Model.of(replace(BOWSER.rig, control_tap=point))


@pytest.mark.parametrize(
    "joint",
    [
        "terminal_positive",
        "battery_lead",
        "fuse_holder",
        "main_fuse",
        "return_2",
        "terminal_negative",
    ],
)
def test_a_bad_joint_that_coil_and_motor_share_chatters(joint: str) -> None:
    operation = called(BOWSER, {joint: HALF_OHM})

    assert operation.pulled[0]
    assert operation.chatter[0]
    assert 0 < operation.on[0] < 1


@pytest.mark.parametrize(
    "joint",
    [
        "control_tap",
        "control_fuse_holder",
        "control_wire_1",
        "pressure_switch",
        "hand_switch",
        "coil_ground",
    ],
)
def test_the_same_joint_in_the_control_circuit_does_not(joint: str) -> None:
    operation = called(BOWSER, {joint: HALF_OHM})

    assert operation.pulled[0]
    assert not operation.chatter[0]
    assert operation.running.speed[0] == pytest.approx(
        called(BOWSER, {}).running.speed[0], rel=1e-3
    )


@pytest.mark.parametrize(
    "joint",
    ["feed_1", "master_switch", "feed_2", "relay_socket", "relay_contact", "feed_3", "return_1"],
)
def test_nor_does_a_joint_after_the_tap(joint: str) -> None:
    """It starves the motor alone: the pump is slow, the relay steady."""
    operation = called(BOWSER, {joint: HALF_OHM})

    assert not operation.chatter[0]
    assert operation.running.speed[0] < 0.75 * called(BOWSER, {}).running.speed[0]


@pytest.mark.parametrize(
    ("tap", "chattering"),
    [
        ("lug+", {"terminal_positive"}),
        ("fuse.out", {"terminal_positive", "fuse_holder"}),
        ("master.out", {"terminal_positive", "fuse_holder", "master_switch"}),
    ],
)
def test_the_tap_decides_which_joints_can_chatter(tap: str, chattering: set[str]) -> None:
    joints = ("terminal_positive", "fuse_holder", "master_switch", "feed_2")

    found = {joint for joint in joints if called(tapped(tap), {joint: HALF_OHM}).chatter[0]}

    assert found == chattering


def test_a_weak_battery_chatters() -> None:
    operation = called(BOWSER, {"battery.resistance": HALF_OHM})

    assert operation.chatter[0]


def test_a_flat_battery_does_not_even_pull_in() -> None:
    flat = BOWSER.sound_batch().with_values({"battery.voltage": BOWSER.sound["coil.pull_in"] - 0.1})

    operation = operate(BOWSER, flat, "calling")

    assert not operation.pulled[0]
    assert not operation.chatter[0]
    assert operation.on[0] == 0


def test_a_sound_rig_is_steady() -> None:
    operation = called(BOWSER, {})

    assert operation.pulled[0]
    assert not operation.unsteady[0]
    assert operation.on[0] == 1


def test_chatter_begins_where_the_start_leaves_the_coil_its_drop_out_voltage() -> None:
    """By hand for a shared joint r: coil volts at the start = drop-out at the edge of chatter."""
    sound, limit = BOWSER.sound, BOWSER.sound["coil.drop_out"]
    start = called(BOWSER, {})
    source = (sound["battery.voltage"] - sound["motor.brush_drop"]) / start.start_current[0]
    # (E - brush) / (source + r) * (before the tap + r) = E - drop-out, the coil's own 1 % left out
    shared = ["battery.resistance", "terminal_positive", "battery_lead", "fuse_holder", "main_fuse"]
    shared += ["return_2", "terminal_negative"]
    before = sum(sound[name] for name in shared)
    drive, lost = (
        sound["battery.voltage"] - sound["motor.brush_drop"],
        sound["battery.voltage"] - limit,
    )
    edge = (lost * source - drive * before) / (drive - lost)

    assert not called(BOWSER, {"fuse_holder": 0.97 * edge}).chatter[0]
    assert called(BOWSER, {"fuse_holder": 1.03 * edge}).chatter[0]


@pytest.mark.parametrize("joint", ["control_wire_1", "control_wire_2", "coil_ground"])
def test_a_shaken_joint_shows_its_volts_across_itself_alone(joint: str) -> None:
    """Kirchhoff: what lies apart from the two probes adds nothing between them."""
    changes = {joint: BOWSER.sound[joint] + 50.0, "control.flutter": 1.0}
    circuits = Circuits(BOWSER, BOWSER.sound_batch().with_values(changes))

    volts, unsteady = circuits.predict(reading_of("voltage pswitch.in pswitch.out calling"))

    assert circuits.operation("calling").chatter[0]
    assert volts[0] < 0.05
    assert unsteady[0] < 0.05
