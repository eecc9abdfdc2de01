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
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import pytest
import yaml

from diagnose.circuit.meter import Bench, Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.operate import Fed, Model, Operation
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import Rig
from diagnose.figures import shipped_figures

RELATIVE, ABSOLUTE = 1e-6, 1e-9
"""Agreement, and its floor [V, A]: a floating node hangs on 1e10 ohm, where the simulators' abstol
of 1e-13 A leaves it undecided. Found: 1e-11 relative, 1e-10 V."""

TABLE = Path(__file__).parents[1] / "tables" / "rig_drawing.yaml"
DRAWING = yaml.safe_load(TABLE.read_text(encoding="utf-8"))
Values = Mapping[str, float]
Nodes = dict[str, float]
Simulator = Callable[[Sequence[str]], list[Nodes]]


def drawn(rig: Rig) -> Iterator[tuple[str, str, str]]:
    """Every part of the rig but the motor as (node, part, node)."""
    names = {
        "tap": rig.control_tap,
        "remote": DRAWING["remote"] if rig.remote else "",
        "called_by": DRAWING["called_by"][rig.topology][rig.control],
    }
    for line in DRAWING["always"] + DRAWING[rig.topology]:
        words = line.format(**names).split()
        yield from zip(words[0:-1:2], words[1::2], words[2::2], strict=True)


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
    given = {**state.values, "sign": sign}
    if not state.outlet:
        given["outlet.opening"] = 0.0
    lines: str = DRAWING["motor"][state.motor]
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
    released = State(rig, values, master, wanted, outlet=outlet, motor=motor)
    both = [released, replace(released, relay=True)]
    if condition == "satisfied" and rig.control == "pressure_switch":
        both += [replace(state, called=True) for state in both]
    return both


Case = tuple[Rig, dict[str, float], str]


@dataclass(frozen=True)
class Pair:
    """One case, answered by us and by the simulator."""

    case: Case
    bench: Bench
    theirs: Behaviour

    @property
    def ours(self) -> Operation:
        return self.bench.operation(self.case[2])

    def contacts(self) -> Iterator[tuple[Fed, float, Nodes]]:
        """Each state of the contacts that occurs: our network, our motor current, their nodes."""
        yield self.ours.idle, float(self.ours.idle_current[0]), self.theirs.idle.settled
        if self.theirs.pulled:  # a chattering relay lets its motor go no further than the start
            live, chatter = self.theirs.live, self.theirs.chatter
            nodes = live.start if chatter else live.settled
            yield self.ours.live, float(self.ours.motor_current[0]), nodes


def behaviours(cases: Sequence[Case], simulator: Simulator) -> Iterator[Behaviour]:
    states = [states_of(*case) for case in cases]
    solved = iter(solve_all([state for some in states for state in some], simulator))
    for some in states:
        released, *pressed = [behave(next(solved), next(solved)) for _ in some[::2]]
        yield pressed[0] if pressed and pressed[0].keeps_running else released


def on_the_bench(rig: Rig, changes: Values) -> Bench:
    model = Model.of(rig)
    return Bench(model, model.sound_batch().with_values(changes))


@pytest.fixture(scope="module")
def pairs(simulator: Simulator, random_cases: list[Case]) -> list[Pair]:
    found = behaviours(random_cases, simulator)
    both = zip(random_cases, found, strict=True)
    return [Pair(case, on_the_bench(*case[:2]), theirs) for case, theirs in both]


near = partial(pytest.approx, rel=RELATIVE, abs=ABSOLUTE)


def test_node_voltages_agree(pairs: list[Pair]) -> None:
    for pair in pairs:
        for fed, current, nodes in pair.contacts():
            points = points_on(pair.case[0])[:-1]
            expected = {point: nodes[spice_name(point)] for point in points}
            found = {point: float(fed.volts(point, current)[0]) for point in points}
            assert found == near(expected), pair.case


def test_motor_currents_agree(pairs: list[Pair]) -> None:
    for pair in pairs:
        for _, current, nodes in pair.contacts():
            assert current == near(nodes["motor_amps"]), pair.case
        if pair.theirs.pulled:
            start = abs(pair.theirs.live.start["motor_amps"])
            assert pair.ours.start_current[0] == near(start), pair.case


def test_speed_and_pressure_agree(pairs: list[Pair]) -> None:
    turning = [pair for pair in pairs if pair.theirs.found.state.motor == "turning"]
    for pair in turning:
        motor, nodes = pair.ours.motor, pair.theirs.found.settled
        assert pair.ours.turning[0], pair.case
        assert motor.speed[0] == near(nodes["speed"]), pair.case
        assert motor.pressure[0] == near(nodes["pressure"]), pair.case
    assert len(turning) > len(pairs) / 4


def test_the_relay_does_what_its_coil_volts_say(pairs: list[Pair]) -> None:
    found = [(bool(pair.ours.pulled[0]), bool(pair.ours.chatter[0])) for pair in pairs]
    expected = [(pair.theirs.pulled, pair.theirs.chatter) for pair in pairs]

    assert found == expected
    assert {(True, False), (True, True), (False, False)} <= set(expected)


def test_a_voltmeter_loads_the_circuit_as_ten_megohm_do(
    pairs: list[Pair], simulator: Simulator
) -> None:
    """To 10 uV: the meter sees the motor as its bare winding, without the film of the brushes."""
    draw, readings, netlists = random.Random(42), [], []
    steady = [pair for pair in pairs if not pair.theirs.chatter]  # else a meter shows an average
    for pair in steady:
        red, black = draw.sample(points_on(pair.case[0])[:-1], 2)
        readings.append(Reading("voltage", (red, black), pair.case[2]))
        meter = f"Rmeter {spice_name(red)} {spice_name(black)} 1e7"
        netlists.append(netlist(pair.theirs.found.state, meter))
    for pair, reading, nodes in zip(steady, readings, simulator(netlists), strict=True):
        high, low = (nodes[spice_name(point)] for point in reading.points)
        mean, _ = pair.bench.predict(reading)
        assert mean[0] == pytest.approx(high - low, rel=RELATIVE, abs=1e-5), pair.case
