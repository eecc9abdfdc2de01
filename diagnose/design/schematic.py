"""A rig's circuit as a drawing sees it: test points in order, and the parts between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from diagnose.circuit.network import SWITCH_POINTS, control_switches
from diagnose.circuit.rig import Rig
from diagnose.design.wording import brief
from diagnose.errors import harmless

CALLERS = {
    "pressure_switch": "pressure switch",
    "float_switch": "float switch",
    "remote_output": "receiver output",
    "hand_switch": "hand switch",
}


@dataclass(frozen=True)
class Part:
    """kind: battery, fuse, switch, contact, coil or motor; label: what stands in its sign; note:
    what stands beside it."""

    kind: str
    label: str
    note: str = ""


Chain: TypeAlias = tuple[str | Part, ...]
"""Test points (by name) and parts in the order of the current; between two points runs wire."""


@dataclass(frozen=True)
class Schematic:
    """feed: from the battery's lug to the load; load: through the motor; control: from the tap to
    the coil's ground side, empty on a direct rig; wire: size of the thick wire; returns: from the
    stud to the battery."""

    battery: Part
    feed: Chain
    load: Chain
    control: Chain
    tap: str
    wire: str
    returns: Chain = ("ground", "lug-")


def schematic(rig: Rig) -> Schematic:
    """The circuit of one rig."""
    return Schematic(
        Part("battery", "12 V", f"{rig.battery_kind} {brief(rig.battery_capacity)} A h"),
        (
            "lug+",
            "fuse.in",
            Part("fuse", f"{brief(rig.main_fuse_rating)} A", "main fuse"),
            "fuse.out",
            "master.in",
            Part("switch", "/", "master switch"),
            "master.out",
        ),
        (
            *_carrier(rig),
            "motor+",
            Part("motor", "M", f"pump {brief(rig.pump_current)} A"),
            "motor-",
        ),
        tuple(_control(rig)) if rig.has_relay else (),
        rig.control_tap,
        harmless(rig.wire_gauge, 16),
    )


def _carrier(rig: Rig) -> Iterator[str | Part]:
    """What switches the motor's current besides the master switch."""
    if rig.has_relay:
        contact = Part("contact", "/", f"contact {brief(rig.relay_contact)} A")
        yield from ("relay.30", contact, "relay.87")
        return
    for switch in control_switches(rig):
        inlet, outlet = SWITCH_POINTS[switch]
        yield from (inlet, Part("switch", "/", CALLERS[switch]), outlet)


def _control(rig: Rig) -> Iterator[str | Part]:
    fuse = Part("fuse", f"{brief(rig.control_fuse_rating)} A", "control fuse")
    yield from ("cfuse.in", fuse, "cfuse.out")
    for switch in control_switches(rig):
        if switch != "hand_switch":
            inlet, outlet = SWITCH_POINTS[switch]
            yield from (inlet, Part("switch", "/", CALLERS[switch]), outlet)
    if rig.control == "manual":
        yield Part("switch", "/", CALLERS["hand_switch"])
    yield from ("relay.86", Part("coil", "coil", f"{brief(rig.relay_coil)} ohm"), "relay.85")
