"""The circuit agrees with general-purpose circuit simulators that know nothing of this program.

Two hundred random rigs, sound and faulted, are drawn a second time (tests/tables/rig_drawing.yaml)
and become SPICE netlists, the motor and its water as behavioural sources. They are solved by
ngspice, left out where it is not installed, and by neospice, a Python package. Both descend from
Berkeley SPICE3: they stand outside this program rather than outside each other. A third solver,
LAPACK's dense LU, checks the linear part in tests/circuit/test_solve.py.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.circuit.meter import Bench, Reading
from diagnose.circuit.motor import FILM_SHARE
from diagnose.circuit.network import test_points as points_of
from diagnose.circuit.operate import Fed, Model
from diagnose.circuit.parameters import CONTROL_WIRES, JOINTS, LEAKS, OPEN, WIRES
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse

RIGS = 200
RELATIVE, ABSOLUTE = 1e-6, 1e-7
"""Agreement, and its floor [V, A]: a floating node hangs on 1e10 ohm, and the simulators stop when
reltol 1e-9 of 12 V and abstol 1e-13 A are met, which leaves some nanovolts undecided."""

DRAWING = yaml.safe_load(
    (Path(__file__).parents[1] / "tables" / "rig_drawing.yaml").read_text(encoding="utf-8")
)
Values = Mapping[str, float]
Nodes = dict[str, float]
Simulator = Callable[[Sequence[str]], list[Nodes]]


def drawn(rig: Rig) -> Iterator[tuple[str, str, str]]:
    """Every part of the rig but the motor as (node, part, node)."""
    lines, relay = list(DRAWING["always"]), DRAWING["relay"]
    if rig.topology == "direct":
        lines.append(f"{DRAWING['to_switch']} {DRAWING['direct'][rig.control]}")
    else:
        remote = f"{relay['remote']} " if rig.remote else ""
        called_by = relay["called_by"][rig.control]
        lines += [f"{DRAWING['to_switch']} {relay['to_motor']}", *relay["around"]]
        lines.append(f"{rig.control_tap} {relay['control_feed']} {remote}{called_by}")
    for line in lines:
        words = line.split()
        yield from zip(words[0:-1:2], words[1::2], words[2::2], strict=True)


# --- one rig in one state of its contacts, as a netlist -------------------------------------------


@dataclass(frozen=True)
class State:
    """A rig with its parameters, its contacts, and what stands for its motor."""

    rig: Rig
    values: Values
    master: bool
    called: bool
    outlet: bool
    relay: bool = False
    motor: str = "standing"  # absent, standing, turning

    def closed(self, part: str) -> bool:
        value = self.values
        relay = self.relay or bool(value["relay.welded"])
        called = self.called != bool(value["float_switch.inverted"])
        return {
            "master_switch": self.master,
            "relay_contact": relay,
            "relay_contact_nc": not relay,
            "pressure_switch": self.called or bool(value["pressure_switch.welded"]),
            "float_switch": called or bool(value["float_switch.welded"]),
            "hand_switch": self.called or self.rig.control != "manual",
        }.get(part, True)

    def ohms(self, part: str) -> float:
        own = self.values["relay_contact" if part == "relay_contact_nc" else part]
        if part == "main_fuse" and self.values["main_fuse.bridged"]:
            return 1e-4  # a bolt in its place
        if part == "coil_shunt" and self.values["coil.diode_reversed"]:
            return min(own, 0.1)  # a conducting diode
        return own if self.closed(part) else max(own, OPEN)


def spice_name(node: str) -> str:
    return node.replace("+", "_p").replace("-", "_n").replace(".", "_")


def part_lines(state: State) -> Iterator[str]:
    """A low resistance is a source that its own current controls, which makes the current an
    unknown: as 1e4 S beside the 1e-10 S of open contacts it would drown a floating node's digits."""
    for i, (a, part, b) in enumerate(drawn(state.rig)):
        a, b, ohms = spice_name(a), spice_name(b), state.ohms(part)
        if ohms > 1e5:
            yield f"R{i} {a} {b} {ohms!r}"
        else:
            yield f"V{i} {a} k{i} 0\nH{i} k{i} {b} V{i} {ohms!r}"


WINDING = """Vm motor_p m1 0
Hm m1 m2 Vm {ohms}
Hshow motor_amps 0 Vm 1
Rshow motor_amps 0 1
"""
STANDING = "Bbrush m2 motor_n V = max(-{brush}, min({brush}, {film} * i(Vm)))"
TURNING = """Bemf m2 motor_n V = {sign} * ({brush} + {emf} * v(speed))
Btorque 0 speed I = {sign} * i(Vm) - {friction} - {torque} * v(pressure)
Bwater 0 stroke I = {filling} * min(max(v(speed), 0), {top}) - {opening} * v(stroke)
Bpressure pressure 0 V = min(v(stroke) ** 2, {ceiling})"""


def motor_lines(state: State) -> str:
    """Standing: winding and brushes. Turning: torques on the shaft and flows at the pump balance.

    v(motor_amps) is the current; v(speed), v(pressure) and its root v(stroke) are over rated.
    """
    if state.motor == "absent":
        return "Vnone motor_amps 0 0"
    value = state.values
    rated = value["motor.friction"] + value["motor.pressure_torque"]
    outlet = value["outlet.opening"] if state.outlet else 0.0
    lines = WINDING + (TURNING if state.motor == "turning" else STANDING)
    return lines.format(
        sign=math.copysign(1, value["battery.voltage"]),
        brush=value["motor.brush_drop"],
        film=value["motor.brush_drop"] / (FILM_SHARE * rated),
        ohms=value["motor.resistance"],
        emf=value["motor.back_emf"],
        friction=value["motor.friction"],
        torque=value["motor.pressure_torque"],
        filling=value["pump.filling"],
        top=value["suction.limit"],
        opening=outlet + value["outlet.leak"] + value["pump.slip"],
        ceiling=value["pump.bypass"],
    )


def netlist(state: State, meter: str = "") -> str:
    lines = [
        "* rig",
        f"Vbattery source 0 {state.values['battery.voltage']!r}",
        *part_lines(state),
        motor_lines(state),
        meter,
        ".options reltol=1e-9 vntol=1e-12 abstol=1e-13 gmin=1e-20 itl1=1000",
        ".op",
        ".end",
    ]
    return "\n".join(line for line in lines if line) + "\n"


# --- what the rig does, from the simulator's answers ----------------------------------------------


@dataclass(frozen=True)
class Solved:
    """One state of the contacts: as the motor starts, and when it has settled."""

    state: State
    start: Nodes
    settled: Nodes

    @property
    def turning(self) -> bool:
        return self.state.motor == "turning"

    def coil_volts(self, nodes: Nodes) -> float:
        return abs(nodes["relay_86"] - nodes["relay_85"])


def breaks_away(state: State, start: Nodes) -> bool:
    """Whether the motor gets going against its sticking friction."""
    if state.motor == "absent" or state.values["motor.locked"]:
        return False
    breakaway = Model.of(state.rig).figures.get("motor-breakaway")
    return abs(start["motor_amps"]) >= breakaway * state.values["motor.friction"]


def solve_all(states: Sequence[State], simulator: Simulator) -> list[Solved]:
    """Every state with the motor held, and again with it free where it breaks away."""
    starts = simulator([netlist(state) for state in states])
    free = {
        i: replace(state, motor="turning")
        for i, (state, start) in enumerate(zip(states, starts, strict=True))
        if breaks_away(state, start)
    }
    ran = dict(zip(free, simulator([netlist(state) for state in free.values()]), strict=True))
    return [
        Solved(free.get(i, state), start, ran.get(i, start))
        for i, (state, start) in enumerate(zip(states, starts, strict=True))
    ]


@dataclass(frozen=True)
class Behaviour:
    """What the relay and the motor do in one condition."""

    idle: Solved
    live: Solved
    pulled: bool = True
    chatter: bool = False

    @property
    def found(self) -> Solved:
        return self.live if self.pulled else self.idle

    @property
    def keeps_running(self) -> bool:
        """With the outlet shut: it turns and never reaches the cut-out pressure."""
        cut_out = self.found.state.values["pressure_switch.cut_out"]
        return self.found.turning and self.found.settled["pressure"] < cut_out


def behave(idle: Solved, live: Solved) -> Behaviour:
    """The relay pulls in on what its open contact leaves it, and holds through the start or not."""
    value = idle.state.values
    if idle.state.rig.topology == "direct":
        return Behaviour(live, live)
    volts = idle.coil_volts(idle.settled)
    pulled = volts >= value["coil.pull_in"] and volts / value["coil"] > 1e-3  # A; a whole coil
    weakest = min(live.coil_volts(live.start), live.coil_volts(live.settled))
    if pulled and weakest < value["coil.drop_out"]:
        return Behaviour(idle, replace(live, settled=live.start), chatter=True)
    return Behaviour(idle, live, pulled)
