"""Random rigs, sound and faulted, that are drawn a second time for the simulators."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from itertools import product

from diagnose.circuit import parameters
from diagnose.circuit.model import Model
from diagnose.circuit.network import bears_on
from diagnose.circuit.parameters import CONTROL_WIRES, JOINTS, LEAKS, OPEN, WIRES
from diagnose.circuit.parts import extra_parameters
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.documents import parse

Case = tuple[Rig, dict[str, float], str]
"""A rig, the parameters that are changed, and a condition."""

RIGS = 200
CONDITIONS = ("calling", "satisfied", "calling", "unplugged", "satisfied", "rest", "calling")
SERIES = (*WIRES, *CONTROL_WIRES, *JOINTS, "battery.resistance", "motor.resistance", "coil")
RANGES: Mapping[str, tuple[float, float]] = {
    "battery.voltage": (-13.0, 15.0),
    "coil.pull_in": (3.0, 12.0),
    "coil.drop_out": (0.5, 8.0),
    "motor.back_emf": (2.0, 24.0),
    "motor.friction": (0.1, 40.0),
    "motor.pressure_torque": (0.1, 40.0),
    "pump.filling": (0.05, 1.0),
    "pump.slip": (0.01, 1.0),
    "pump.bypass": (0.2, 3.0),
    "outlet.opening": (0.0, 4.0),
    "outlet.leak": (0.0, 1.0),
    "suction.limit": (0.05, 3.0),
    "pressure_switch.cut_out": (0.2, 3.0),
}
LEFT_OUT = ("control.flutter", "power.flutter", "motor.reversed")
"""Flags that are not drawn."""

FLAGS = tuple(flag for flag in parameters.FLAGS if flag not in LEFT_OUT)


def _rig(draw: random.Random) -> Rig:
    topology = draw.choice(["relay", "relay", "direct"])
    remote = topology == "relay" and draw.random() < 0.4
    text = f"""
topology: {topology}
control: {draw.choice(["pressure_switch", "float_switch", "manual"])}
remote: {str(remote).lower()}
control_tap: {draw.choice(["lug+", "fuse.out", "master.out"])}
pump: {{current: {draw.uniform(2, 30):.2f} A}}
wire: {{gauge: {draw.choice([14, 12, 10, 8, 6, 4])} AWG, length: {draw.uniform(1, 12):.2f} m}}
main_fuse: {{rating: {draw.choice([5, 10, 20, 30])} A, distance: {draw.uniform(0.1, 0.5):.2f} m}}
control_fuse: {{rating: {draw.choice([1, 2, 3, 5])} A}}
relay: {{coil: {draw.uniform(20, 200):.1f} ohm}}
battery:
  kind: {draw.choice(["agm", "gel", "flooded"])}
  capacity: {draw.uniform(7, 200):.0f} A*h
"""
    return read_rig(parse(text, "random rig"))


RELAY_PARTS = ("relay", "coil", "control", "remote", "hand", "leak_control", "motor_on_87a")


def _bears(rig: Rig, name: str) -> bool:
    """Whether a parameter is part of this rig at all."""
    absent = {"pressure_switch", "float_switch"} - {rig.control}
    if rig.feed:
        return bears_on(rig, name)
    if rig.topology == "direct":
        absent |= set(RELAY_PARTS)
    return not name.startswith(tuple(absent))


def _change(draw: random.Random, rig: Rig, sound: Mapping[str, float]) -> tuple[str, float]:
    """One parameter changed: resistance in series, a leak, a value out of range, a flag."""
    names = draw.choices((SERIES, LEAKS, tuple(RANGES), FLAGS), weights=(8, 3, 5, 4))[0]
    name = draw.choice([name for name in names if _bears(rig, name)])
    if names is SERIES:
        return name, OPEN if draw.random() < 0.2 else sound[name] + 10 ** draw.uniform(-3, 3)
    if names is LEAKS:
        return name, 10 ** draw.uniform(-1.5, 6)
    return name, 1.0 if names is FLAGS else draw.uniform(*RANGES[name])


def random_cases() -> list[Case]:
    """Rigs with no, one or two parameters changed, each in one condition."""
    draw, cases = random.Random(1904), []
    for i in range(RIGS):
        rig = _rig(draw)
        sound = Model.of(rig).sound
        changes = dict(_change(draw, rig, sound) for _ in range((0, 1, 2, 1, 2)[i % 5]))
        cases.append((rig, changes, CONDITIONS[i % len(CONDITIONS)]))
    return cases


OFTEN = 2
"""How often each rig that lists its parts is drawn in each condition of CONDITIONS."""


def _changed_part(draw: random.Random, rig: Rig, sound: Mapping[str, float]) -> tuple[str, float]:
    """Something of one listed part changed: its contact, a weld, a load that is off, volts at which
    it opens."""
    name = draw.choice([name for name in extra_parameters(rig) if not name.endswith(".rating")])
    if name.endswith(".welded"):
        return name, 1.0
    if name.endswith(".opens"):
        return name, draw.uniform(8, 14)
    if draw.random() < 0.3:
        return name, OPEN
    return name, sound[name] + 10 ** draw.uniform(-3, 3)


def _list_changes(draw: random.Random, rig: Rig, number: int) -> dict[str, float]:
    sound, changes = Model.of(rig).sound, {}
    for _ in range((0, 1, 1, 2)[number % 4]):
        own = extra_parameters(rig) and draw.random() < 0.6
        name, value = (_changed_part if own else _change)(draw, rig, sound)
        changes[name] = value
    if number % 4 == 2:
        changes["battery.voltage"] = draw.uniform(9.0, 12.2)
    return changes


def list_cases(often: int = OFTEN) -> list[Case]:
    """Every rig that lists its parts, but for those whose batteries stand in series, which the
    netlists draw as one: sound, with faults, on a low battery, and now and then with the other kind
    of pump."""
    draw, cases = random.Random(1966), []
    rigs = [rig for rig in map(open_rig, bundled_rigs()) if rig.feed and rig.battery_series == 1]
    for number, (rig, turn) in enumerate(product(rigs, range(often * len(CONDITIONS)))):
        other = "diaphragm" if rig.pump_kind == "impeller" else "impeller"
        kind = other if turn % 5 == 4 else rig.pump_kind
        model = replace(rig, pump_kind=kind)
        changes = _list_changes(draw, model, number)
        cases.append((model, changes, CONDITIONS[turn % len(CONDITIONS)]))
    return cases
