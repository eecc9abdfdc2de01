"""A rig as a network: which parameter lies between which test points, in a given state."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnose.circuit.parameters import OPEN, RESISTANCES, Array, Batch, Flags
from diagnose.circuit.rig import Rig

SOURCE = "source"
"""The ideal battery behind its internal resistance; not a test point."""

EARTH = "battery-"
SWITCH_POINTS = {
    "pressure_switch": ("pswitch.in", "pswitch.out"),
    "float_switch": ("float.in", "float.out"),
    "remote_output": ("remote.in", "remote.out"),
    "hand_switch": ("hand.in", "hand.out"),
}


@dataclass(frozen=True)
class Branch:
    """Series parameters between two nodes."""

    a: str
    b: str
    parameters: tuple[str, ...]


@dataclass(frozen=True)
class Contacts:
    """How the moving contacts stand; True is closed. Arrays go circuit by circuit."""

    master: bool
    control: bool
    relay: bool | Flags = False
    battery: bool = True


def control_switches(rig: Rig) -> tuple[str, ...]:
    """The switches that call for the pump, in the order of the circuit."""
    own = {"manual": "hand_switch"}.get(rig.control, rig.control)
    if not rig.has_relay:
        return () if rig.control == "manual" else (own,)
    return ("remote_output", own) if rig.remote else (own,)


def _chain(
    start: str, parts: list[tuple[str, str, str]], last: tuple[str, ...], end: str
) -> list[Branch]:
    """wire - part - wire - part ... from `start` to `end`; parts are (wire, in, out)."""
    branches, here = [], start
    for wire, inlet, outlet in parts:
        branches.append(Branch(here, inlet, (wire,)))
        here = outlet
    return [*branches, Branch(here, end, last)]


def _power(rig: Rig) -> list[Branch]:
    common = [
        Branch(SOURCE, "battery+", ("battery.resistance",)),
        Branch("battery+", "lug+", ("terminal_positive",)),
        Branch("lug+", "fuse.in", ("battery_lead",)),
        Branch("fuse.in", "fuse.out", ("fuse_holder", "main_fuse")),
        Branch("master.in", "master.out", ("master_switch",)),
        Branch("motor-", "ground", ("return_1",)),
        Branch("ground", "lug-", ("return_2",)),
        Branch("lug-", EARTH, ("terminal_negative",)),
        Branch("lug+", "lug-", ("rest_drain",)),
        Branch("fuse.out", "ground", ("leak_feed",)),
        Branch("motor+", "ground", ("leak_motor_feed",)),
        Branch("motor+", "ground", ("leak_case",)),
    ]
    parts = [("feed_1", "master.in", "master.out")]
    if rig.has_relay:
        parts.append(("feed_2", "relay.30", "relay.87"))
        common += [
            Branch("relay.30", "blade", ("relay_socket",)),
            Branch("blade", "relay.87", ("relay_contact",)),
            Branch("blade", "relay.87a", ("relay_contact_nc",)),
            Branch("relay.87a", "motor+", ("motor_on_87a",)),
        ]
        return common + _chain("fuse.out", parts, ("feed_3",), "motor+")
    for switch in control_switches(rig):
        inlet, outlet = SWITCH_POINTS[switch]
        parts.append(("feed_2", inlet, outlet))
        common.append(Branch(inlet, outlet, (switch,)))
    last = ("feed_3",) if control_switches(rig) else ("feed_2", "feed_3")
    return common + _chain("fuse.out", parts, last, "motor+")


def _control(rig: Rig) -> list[Branch]:
    wires = ["control_wire_1", *["control_link"] * 3]
    parts = [("control_tap", "cfuse.in", "cfuse.out")]
    branches = [
        Branch("cfuse.in", "cfuse.out", ("control_fuse_holder", "control_fuse")),
        Branch("cfuse.out", "ground", ("leak_control",)),
        Branch("relay.86", "relay.85", ("coil",)),
        Branch("relay.86", "relay.85", ("coil_shunt",)),
        Branch("relay.85", "ground", ("coil_ground",)),
    ]
    for wire, switch in zip(wires, control_switches(rig), strict=False):
        inlet, outlet = SWITCH_POINTS[switch]
        parts.append((wire, inlet, outlet))
        branches.append(Branch(inlet, outlet, (switch,)))
    last = ("control_wire_2",) if rig.control == "manual" else ("control_wire_2", "hand_switch")
    return branches + _chain(rig.control_tap, parts, last, "relay.86")


@lru_cache(maxsize=64)
def branches(rig: Rig) -> tuple[Branch, ...]:
    """Every branch of the rig but the motor, whose current depends on its speed."""
    return tuple(_power(rig) + (_control(rig) if rig.has_relay else []))


def points_on(rig: Rig) -> tuple[str, ...]:
    """Where a probe can go on this rig, from the battery's plus round to its minus."""
    control: list[str] = []
    if rig.has_relay:
        control = ["relay.86", "relay.85", "cfuse.in", "cfuse.out"]
    for switch in control_switches(rig):
        if switch != "hand_switch":
            control += SWITCH_POINTS[switch]
    power = ["battery+", "lug+", "fuse.in", "fuse.out", "master.in", "master.out"]
    if rig.has_relay:
        power += ["relay.30", "relay.87", "relay.87a"]
    return (*power, *control, "motor+", "motor-", "ground", "lug-", "battery-")


def _closed(batch: Batch, switch: str, called: bool) -> Flags | bool:
    """Whether a control switch is closed, circuit by circuit, with its own faults."""
    if switch == "pressure_switch":
        return called | (batch["pressure_switch.welded"] > 0)
    if switch == "float_switch":
        inverted = batch["float_switch.inverted"] > 0
        return (called ^ inverted) | (batch["float_switch.welded"] > 0)
    return called if switch == "hand_switch" else True


def _contact(resistance: Array, closed: Flags | bool) -> Array:
    return np.where(closed, resistance, np.maximum(resistance, OPEN))


def _resistance(batch: Batch, name: str, contacts: Contacts, moving: Collection[str]) -> Array:
    """Resistance of one parameter with the contacts as they stand [ohm]."""
    if name == "relay_contact":
        closed = (np.asarray(contacts.relay) > 0) | (batch["relay.welded"] > 0)
        return _contact(batch[name], closed)
    if name == "relay_contact_nc":
        closed = (np.asarray(contacts.relay) > 0) | (batch["relay.welded"] > 0)
        return _contact(batch["relay_contact"], ~closed)
    if name == "master_switch":
        return _contact(batch[name], contacts.master)
    if name == "battery.resistance":
        return _contact(batch[name], contacts.battery)
    if name in moving:
        return _contact(batch[name], _closed(batch, name, contacts.control))
    if name == "main_fuse":
        return np.where(batch["main_fuse.bridged"] > 0, 1e-4, batch[name])
    if name == "coil_shunt":
        forward = batch["coil.diode_reversed"] > 0
        return np.where(forward, np.minimum(batch[name], 0.1), batch[name])
    return batch[name]


def conductances(rig: Rig, batch: Batch, contacts: Contacts) -> dict[tuple[str, str], Array]:
    """Conductance of every branch [S], for many circuits at once."""
    network: dict[tuple[str, str], Array] = {}
    moving = control_switches(rig)
    for branch in branches(rig):
        ohms = sum((_resistance(batch, name, contacts, moving) for name in branch.parameters), 0.0)
        pair = (branch.a, branch.b)
        network[pair] = network.get(pair, 0.0) + 1.0 / np.asarray(ohms)
    return network


def bears_on(rig: Rig, parameter: str) -> bool:
    """Whether a parameter has any part in this rig's circuit."""
    part = parameter.split(".")[0]
    if part in ("pressure_switch", "float_switch") and "." in parameter:
        return part == rig.control
    if part in ("relay", "coil", "control", "control_fuse") and parameter != "coil_ground":
        return rig.has_relay
    if parameter in RESISTANCES:
        return any(parameter in branch.parameters for branch in branches(rig))
    return True
