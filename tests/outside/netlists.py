"""Rigs drawn a second time, as SPICE netlists: tests/tables/rig_drawing.yaml, and those that list
their parts in list_drawings.yaml.

The motor and its water are behavioural sources; what relay and motor do follows from the voltages
that the simulator finds, and from nothing of this program but the parameters.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from diagnose.circuit.model import Model
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import Rig, open_rig
from diagnose.figures import shipped_figures
from tests.outside.cells import table
from tests.outside.simulators import Nodes, Simulator

DRAWING, LISTED = table("rig_drawing.yaml"), table("list_drawings.yaml")
Values = Mapping[str, float]


@cache
def listed(name: str) -> Mapping[str, Any]:
    """The drawing of the rig of that name, which lists its parts."""
    files: Mapping[str, Mapping[str, Any]] = LISTED["rigs"]
    return next(drawing for file, drawing in files.items() if open_rig(file).name == name)


def _lines(rig: Rig) -> Iterator[str]:
    if rig.feed:
        drawing = listed(rig.name)
        coil = LISTED["coil"] if drawing.get("coil") else []
        yield from LISTED["always"] + coil + drawing["drawn"]
        return
    names = {
        "tap": rig.control_tap,
        "remote": DRAWING["remote"] if rig.remote else "",
        "called_by": DRAWING["called_by"][rig.topology][rig.control],
    }
    for line in DRAWING["always"] + DRAWING[rig.topology]:
        yield line.format(**names)


def drawn(rig: Rig) -> Iterator[tuple[str, str, str]]:
    """Every part of the rig but the motor as (node, part, node)."""
    for line in _lines(rig):
        words = [word.replace("~", " ") for word in line.split()]
        yield from zip(words[0:-1:2], words[1::2], words[2::2], strict=True)


@dataclass(frozen=True)
class State:
    """A rig with its parameters, its contacts, and what stands for its motor. on: whether it has
    not been put off for the day."""

    rig: Rig
    values: Values
    master: bool
    called: bool
    outlet: bool
    relay: bool = False
    motor: str = "standing"  # absent, standing, turning
    on: bool = True

    def closed(self, part: str) -> bool:
        value = self.values
        relay = self.relay or bool(value["relay.welded"])
        if self.rig.feed and not part.startswith("relay_contact"):
            return self._closed_on_a_list(part)
        called = self.called != bool(value["float_switch.inverted"])
        return {
            "master_switch": self.master,
            "relay_contact": relay,
            "relay_contact_nc": not relay,
            "pressure_switch": self.called or bool(value["pressure_switch.welded"]),
            "float_switch": called or bool(value["float_switch.welded"]),
            "hand_switch": self.called or self.rig.control != "manual",
        }.get(part, True)

    def _closed_on_a_list(self, part: str) -> bool:
        value, drawing = self.values, listed(self.rig.name)
        welded = bool(value.get(f"{part.removesuffix('.minus')}.welded"))
        if part in drawing["called"]:
            called = self.called and part not in drawing.get("spare", ())
            turned = part == "float_switch" and bool(value["float_switch.inverted"])
            return called != turned or welded
        if part in drawing.get("put_off", ()) or part.endswith(".load"):
            return self.on or welded
        return True

    @property
    def ceiling(self) -> float:
        """The pressure that the switch lets the pump reach while water is drawn."""
        held = self.outlet and self.rig.control == "pressure_switch"
        if not held or self.values["pressure_switch.welded"]:
            return 1e6
        return self.values["pressure_switch.cut_out"]

    def ohms(self, part: str) -> float:
        own = self.values["relay_contact" if part == "relay_contact_nc" else part]
        if part == "main_fuse" and self.values["main_fuse.bridged"]:
            return 1e-4  # a bolt in its place
        if part == "coil_shunt" and self.values["coil.diode_reversed"]:
            return min(own, 0.1)  # a conducting diode
        return own if self.closed(part) else max(own, OPEN)


def spice_name(node: str) -> str:
    return node.replace("+", "_p").replace("-", "_n").replace(".", "_").replace(" ", "_")


def part_lines(state: State) -> Iterator[str]:
    """Low resistances as sources controlled by their own current, which thus becomes an unknown:
    as 1e4 S beside the 1e-10 S of open contacts they would drown a floating node's digits."""
    for i, (a, part, b) in enumerate(drawn(state.rig)):
        a, b, ohms = spice_name(a), spice_name(b), state.ohms(part)
        if ohms > 1e5:
            yield f"R{i} {a} {b} {ohms!r}"
        else:
            yield f"V{i} {a} k{i} 0\nH{i} k{i} {b} V{i} {ohms!r}"


def motor_lines(state: State) -> str:
    sign = math.copysign(1, state.values["battery.voltage"])
    figures = shipped_figures()
    given = {
        **state.values,
        "sign": sign,
        "shut": figures.get("impeller-shut-pressure"),
        "idle": figures.get("impeller-idle-torque"),
        "ceiling": state.ceiling,
        "pump.bypass": min(state.values["pump.bypass"], state.ceiling),
    }
    if not state.outlet:
        given["outlet.opening"] = 0.0
    own = LISTED["impeller"] if state.rig.pump_kind == "impeller" else {}
    lines: str = {**DRAWING["motor"], **own}[state.motor]
    return re.sub(r"<([\w.]+)>", lambda name: repr(given[name[1]]), lines)


OPTIONS = ".options reltol=1e-9 vntol=1e-12 abstol=1e-13 gmin=1e-20 itl1=1000"


def netlist(state: State, meter: str = "* no meter") -> str:
    battery = f"Vbattery source 0 {state.values['battery.voltage']!r}"
    parts = "\n".join(part_lines(state))
    return f"* rig\n{battery}\n{parts}\n{motor_lines(state)}\n{meter}\n{OPTIONS}\n.op\n.end\n"


@dataclass(frozen=True)
class Solved:
    """One state of the contacts: as the motor starts, and when it has settled."""

    state: State
    start: Nodes
    settled: Nodes

    def coil_volts(self, nodes: Nodes) -> float:
        return abs(nodes["relay_86"] - nodes["relay_85"])


def breaks_away(state: State, start: Nodes) -> bool:
    """Whether the motor gets going against its sticking friction."""
    if state.motor == "absent" or state.values["motor.locked"]:
        return False
    breakaway = shipped_figures().get("motor-breakaway")
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
    def nodes(self) -> Nodes:
        """What a meter meets while the contacts make: a chattering relay lets its motor go no
        further than the start."""
        return self.found.start if self.chatter else self.found.settled

    @property
    def cuts_off(self) -> Values:
        """The parameters of a low-voltage cut-out that opens here."""
        state = self.found.state
        cut_out = listed(state.rig.name).get("cut_out") if state.rig.feed else None
        if cut_out is None:
            return {}
        inlet, contact, opens = cut_out
        volts = self.nodes[spice_name(inlet)] - self.nodes["lug_n"]
        return {contact: OPEN} if volts < state.values[opens] else {}

    @property
    def keeps_running(self) -> bool:
        """With the outlet shut: it turns and never reaches the cut-out pressure."""
        pressure = self.found.settled.get("pressure", math.inf)  # known only of a turning motor
        return pressure < self.found.state.values["pressure_switch.cut_out"]


def behave(idle: Solved, live: Solved) -> Behaviour:
    """The relay pulls in on what its open contact leaves it, and holds through the start or not."""
    value = idle.state.values
    if idle.state.rig.topology == "direct":
        return Behaviour(live, live)
    volts = idle.coil_volts(idle.settled)
    pulled = volts >= value["coil.pull_in"] and volts / value["coil"] > 1e-3  # A; a whole coil
    weakest = min(live.coil_volts(live.start), live.coil_volts(live.settled))
    return Behaviour(idle, live, pulled, chatter=pulled and weakest < value["coil.drop_out"])


def states_of(rig: Rig, changes: Values, condition: str) -> list[State]:
    """Contact open and closed; where the outlet is shut, also with the pressure switch closed."""
    values, wanted = {**Model.of(rig).sound, **changes}, condition in ("calling", "unplugged")
    by_hand = rig.control == "manual" and rig.topology == "direct"
    if condition == "unplugged":
        values["leak_case"] = OPEN  # it went with the motor
    master = condition != "rest" and (wanted or not by_hand)
    motor = "absent" if condition == "unplugged" else "standing"
    outlet = wanted or rig.control == "float_switch"  # a full tank does not shut it
    on = condition != "rest"
    released = State(rig, values, master, wanted, outlet=outlet, motor=motor, on=on)
    both = [released, replace(released, relay=True)]
    if condition == "satisfied" and rig.control == "pressure_switch":
        both += [replace(state, called=True) for state in both]
    return both
