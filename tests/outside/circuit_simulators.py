"""The circuit beside general-purpose circuit simulators, two hundred random rigs long, and on every
rig that lists its parts."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from diagnose.circuit.fed import Fed
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.operation import Operation
from tests.outside.cells import Cell
from tests.outside.netlists import (
    Behaviour,
    behave,
    netlist,
    solve_all,
    spice_name,
    states_of,
)
from tests.outside.random_rigs import Case, list_cases, random_cases
from tests.outside.simulators import SIMULATORS, Nodes, Simulator

RELATIVE, FLOOR = 1e-6, 1e-3
"""Agreement, and the value [V, A] below which it is taken of that value: a floating node hangs on
1e10 ohm, where the simulators' abstol of 1e-13 A leaves it undecided."""


@dataclass(frozen=True)
class Pair:
    """One case, answered by us and by the simulator."""

    case: Case
    bench: Circuits
    theirs: Behaviour

    @property
    def ours(self) -> Operation:
        return self.bench.operation(self.case[2])

    def contacts(self) -> Iterator[tuple[Fed, float, Nodes]]:
        """Each state of the contacts that occurs: our network, our motor current, their nodes."""
        yield self.ours.idle, float(self.ours.idle_current[0]), self.theirs.idle.settled
        if self.theirs.pulled:
            yield self.ours.live, float(self.ours.motor_current[0]), self.theirs.nodes


def behaviours(cases: Sequence[Case], simulator: Simulator) -> list[Behaviour]:
    """What each rig does; where its low-voltage cut-out opens, what it does after that."""
    found = list(_at_first(cases, simulator))
    low = [i for i, one in enumerate(found) if one.cuts_off]
    again = [(rig, {**changes, **found[i].cuts_off}, condition)
             for i in low for rig, changes, condition in [cases[i]]]  # fmt: skip
    for i, behaviour in zip(low, _at_first(again, simulator), strict=True):
        found[i] = behaviour
    return found


def _at_first(cases: Sequence[Case], simulator: Simulator) -> Iterator[Behaviour]:
    states = [states_of(*case) for case in cases]
    solved = iter(solve_all([state for some in states for state in some], simulator))
    for some in states:
        released, *pressed = [behave(next(solved), next(solved)) for _ in some[::2]]
        yield pressed[0] if pressed and pressed[0].keeps_running else released


@cache
def pairs(name: str) -> tuple[Pair, ...]:
    """Every case, answered by us and by the simulator of that name. Raises Missing."""
    cases = [*random_cases(), *list_cases()]
    both = zip(cases, behaviours(cases, SIMULATORS[name]), strict=True)
    return tuple(Pair(case, on_the_bench(case), theirs) for case, theirs in both)


def on_the_bench(case: Case) -> Circuits:
    model = Model.of(case[0])
    return Circuits(model, model.sound_batch().with_values(case[1]))


def _cell(name: str, what: str, pair: Pair, theirs: float, ours: float) -> Cell:
    where = f"{what} of {pair.case}"
    source = f"{name} on random rigs"
    basis = "reference library"
    return Cell(what, where, theirs, ours, RELATIVE, source, basis, floor=FLOOR)


def nodes(name: str) -> Iterator[Cell]:
    """Voltages of all points, and the motor's current."""
    for pair in pairs(name):
        for fed, current, found in pair.contacts():
            for point in points_on(pair.case[0])[:-1]:
                ours = float(fed.volts(point, current)[0])
                yield _cell(name, "node voltages", pair, found[spice_name(point)], ours)
            yield _cell(name, "motor currents", pair, found["motor_amps"], current)
        if pair.theirs.pulled:
            start = abs(pair.theirs.live.start["motor_amps"])
            ours = float(pair.ours.start_current[0])
            yield _cell(name, "motor currents", pair, start, ours)


def turning(name: str) -> Iterator[Cell]:
    """Speed and pressure of the motors that turn."""
    for pair in pairs(name):
        if pair.theirs.found.state.motor == "turning":
            motor, found = pair.ours.motor, pair.theirs.found.settled
            for what, ours in (("speed", motor.speed[0]), ("pressure", motor.pressure[0])):
                yield _cell(name, "speed and pressure", pair, found[what], float(ours))


def relays(name: str) -> Iterator[Cell]:
    """What the relay does: pulled in or not, chattering or not."""
    for pair in pairs(name):
        ours = f"{bool(pair.ours.pulled[0])} {bool(pair.ours.chatter[0])}"
        theirs = f"{pair.theirs.pulled} {pair.theirs.chatter}"
        where, source = f"relay of {pair.case}", f"{name} on random rigs"
        yield Cell("relay states", where, theirs, ours, 0, source, "reference library")


def voltmeters(name: str) -> Iterator[Cell]:
    """A voltmeter of 10 megohm, to 10 uV: it sees the motor as its bare winding, without the film
    of the brushes."""
    draw, readings, netlists = random.Random(42), [], []
    steady = [pair for pair in pairs(name) if not pair.theirs.chatter]  # else an average is shown
    for pair in steady:
        red, black = draw.sample(points_on(pair.case[0])[:-1], 2)
        readings.append(Reading("voltage", (red, black), pair.case[2]))
        meter = f"Rmeter {spice_name(red)} {spice_name(black)} 1e7"
        netlists.append(netlist(pair.theirs.found.state, meter))
    for pair, reading, found in zip(steady, readings, SIMULATORS[name](netlists), strict=True):
        high, low = (found[spice_name(point)] for point in reading.points)
        ours, where = float(pair.bench.predict(reading)[0][0]), f"{reading} of {pair.case}"
        source, basis = f"{name} on random rigs", "reference library"
        yield Cell("voltmeter", where, high - low, ours, RELATIVE, source, basis, floor=10.0)


def cells(name: str) -> list[Cell]:
    """Every comparison with one simulator. Raises Missing."""
    kinds = (nodes, turning, relays, voltmeters)
    return [cell for kind in kinds for cell in kind(name)]
