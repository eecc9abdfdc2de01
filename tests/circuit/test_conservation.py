"""Whatever the parameters, the circuit keeps the laws: Kirchhoff's, Joule's, and common sense."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.circuit.fed import Fed
from diagnose.circuit.heat import temperatures
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.network import EARTH, SOURCE, points_on
from diagnose.circuit.operation import Operation
from diagnose.circuit.parameters import FLAGS, RESISTANCES
from diagnose.circuit.rig import CONTROLS, TAPS, Rig, open_rig

BOWSER = open_rig("bowser")
RIGS = [
    replace(BOWSER, topology=topology, control=control, remote=remote, control_tap=tap)
    for topology, control, remote, tap in product(
        ("direct", "relay"), CONTROLS, (False, True), TAPS
    )
    if topology == "relay" or (not remote and tap == "lug+")
]
CONDITIONS = ("rest", "calling", "satisfied", "unplugged")
EXAMPLES = settings(max_examples=150, deadline=None, derandomize=True)
EPSILON = float(np.finfo(np.float64).eps)

ohms = st.floats(-5, 10).map(lambda decade: 10.0**decade)
ratio = st.floats(0, 4)
ANYTHING = {
    **dict.fromkeys([*RESISTANCES, "motor.resistance"], ohms),
    **dict.fromkeys(FLAGS, st.sampled_from([0.0, 1.0])),
    "battery.voltage": st.just(0.0) | st.floats(1e-3, 30),
    "coil.pull_in": st.floats(0.1, 30),
    "coil.drop_out": st.floats(0.1, 30),
    "motor.back_emf": st.floats(0.1, 30),
    "motor.brush_drop": st.floats(0, 3),
    "motor.friction": st.floats(0.01, 100),
    "motor.pressure_torque": st.floats(0, 100),
    "pump.filling": ratio,
    "pump.slip": ratio,
    "pump.bypass": ratio,
    "outlet.opening": ratio,
    "outlet.leak": ratio,
    "suction.limit": ratio,
    "pressure_switch.cut_out": ratio,
}


Case = tuple[Rig, dict[str, float], str]


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Any rig with up to six parameters anywhere in their range, in any condition."""
    names = draw(st.lists(st.sampled_from(sorted(ANYTHING)), max_size=6, unique=True))
    changes = {name: draw(ANYTHING[name]) for name in names}
    return draw(st.sampled_from(RIGS)), changes, draw(st.sampled_from(CONDITIONS))


def bench_of(rig: Rig, changes: dict[str, float]) -> Circuits:
    model = Model.of(rig)
    return Circuits(model, model.sound_batch().with_values(changes))


def occurring(operation: Operation) -> list[tuple[Fed, float]]:
    """The states of the contacts that occur, each with its motor current [A]."""
    states = [(operation.idle, float(operation.idle_current[0]))]
    if operation.on[0] > 0:
        states.append((operation.live, float(operation.motor_current[0])))
    return states


def solved(fed: Fed, motor_current: float) -> dict[str, float]:
    return {node: float(fed.volts(node, motor_current)[0]) for node in fed.none}


def largest_term(fed: Fed, motor_current: float) -> dict[str, float]:
    """What each voltage was added up from [V]: its own rounding is a last digit of this."""
    return {
        node: abs(float(fed.none[node][0])) + abs(float(fed.unit[node][0]) * motor_current)
        for node in fed.none
    }


def currents(fed: Fed, volts: dict[str, float]) -> dict[tuple[str, str], float]:
    """Current of every branch, from its first node to its second [A]."""
    return {
        (a, b): (volts[a] - volts[b]) * float(siemens[0]) for (a, b), siemens in fed.network.items()
    }


@given(cases())
@EXAMPLES
def test_every_answer_is_a_finite_number_of_the_right_sign(case: Case) -> None:
    rig, changes, condition = case
    bench = bench_of(rig, changes)
    operation = bench.operation(condition)
    motor = operation.motor

    for fed, current in occurring(operation):
        volts = np.array(list(solved(fed, current).values()))
        highest = bench.batch["battery.voltage"][0]
        assert np.all((volts >= -1e-9) & (volts <= highest + 1e-9))
        assert 0 <= current < np.inf
    for value in (motor.speed, motor.pressure, motor.flow, motor.current, operation.start_current):
        assert 0 <= value[0] < np.inf
    assert 0 <= operation.on[0] <= 1
    warmest = max(float(v[0]) for v in temperatures(bench.model, bench.batch, operation).values())
    assert bench.batch["ambient"][0] <= warmest < np.inf


@given(cases())
@EXAMPLES
def test_as_much_current_leaves_each_node_as_enters_it(case: Case) -> None:
    """Kirchhoff's current law to 1e-9, but for the last digits of the volts times siemens."""
    rig, changes, condition = case
    bench = bench_of(rig, changes)
    for fed, motor_current in occurring(bench.operation(condition)):
        volts = solved(fed, motor_current)
        terms = largest_term(fed, motor_current)
        total = dict.fromkeys(volts, 0.0) | {"motor+": -motor_current, "motor-": motor_current}
        largest = {node: abs(current) for node, current in total.items()}
        rounding = dict.fromkeys(volts, 0.0)
        for (a, b), current in currents(fed, volts).items():
            for node, sign in ((a, -1), (b, 1)):
                total[node] += sign * current
                largest[node] = max(largest[node], abs(current))
                siemens = float(fed.network[(a, b)][0])
                rounding[node] += 8 * EPSILON * siemens * (terms[a] + terms[b])
        for node in set(total) - {SOURCE, EARTH}:
            assert abs(total[node]) <= 1e-9 * largest[node] + rounding[node], node


@given(cases())
@EXAMPLES
def test_the_battery_gives_what_the_parts_and_the_motor_take(case: Case) -> None:
    """Energy: E I = sum of V^2 / R and motor volts times motor amps."""
    rig, changes, condition = case
    bench = bench_of(rig, changes)
    for fed, motor_current in occurring(bench.operation(condition)):
        volts = solved(fed, motor_current)
        flows = currents(fed, volts)
        given_ = volts[SOURCE] * flows[(SOURCE, "battery+")]
        heat = sum((volts[a] - volts[b]) * current for (a, b), current in flows.items())
        motor = (volts["motor+"] - volts["motor-"]) * motor_current
        stiff = max(float(siemens[0]) for siemens in fed.network.values())
        rounding = 16 * EPSILON * stiff * volts[SOURCE] ** 2
        assert heat + motor == pytest.approx(given_, rel=1e-9, abs=rounding)
        assert motor >= -rounding


@given(cases())
@EXAMPLES
def test_the_motor_obeys_its_own_equations(case: Case) -> None:
    """Turning: volts = brushes + k w + I R and torques balance; held: no more than volts over R."""
    rig, changes, condition = case
    bench = bench_of(rig, changes)
    operation, batch = bench.operation(condition), bench.batch
    if not operation.motor_connected or operation.on[0] == 0 or operation.chatter[0]:
        return
    value = {name: float(batch[name][0]) for name in (*ANYTHING,)}
    amps, speed = float(operation.motor_current[0]), float(operation.motor.speed[0])
    volts = float((operation.live.volts("motor+", amps) - operation.live.volts("motor-", amps))[0])
    if operation.motor.stalled[0]:
        assert speed == operation.motor.pressure[0] == operation.motor.flow[0] == 0
        assert amps * value["motor.resistance"] <= volts * (1 + 1e-9) + 1e-9
        return
    inside = value["motor.brush_drop"] + value["motor.back_emf"] * speed
    assert inside + amps * value["motor.resistance"] == pytest.approx(volts, rel=1e-9, abs=1e-9)
    torque = value["motor.friction"] + value["motor.pressure_torque"] * operation.motor.pressure[0]
    assert amps == pytest.approx(torque, rel=1e-9)
    assert operation.motor.pressure[0] <= value["pump.bypass"]


@given(cases(), st.data())
@EXAMPLES
def test_a_meter_never_shows_more_than_there_is(case: Case, data: st.DataObject) -> None:
    rig, changes, condition = case
    bench = bench_of(rig, changes)
    probes = st.sampled_from(points_on(rig))
    red, black = data.draw(st.lists(probes, min_size=2, max_size=2, unique=True))

    volts, spread = bench.predict(Reading("voltage", (red, black), condition))
    reverse, _ = bench.predict(Reading("voltage", (black, red), condition))
    ohms, _ = bench.predict(Reading("resistance", (red, black), "isolated"))

    assert abs(volts[0]) <= bench.batch["battery.voltage"][0] * (1 + 1e-9)
    assert 0 <= spread[0] < np.inf
    assert reverse[0] == pytest.approx(-volts[0], rel=1e-9, abs=1e-12)
    assert 0 <= ohms[0] <= LARGEST_OHMS


@pytest.mark.parametrize("condition", CONDITIONS)
def test_a_reversed_battery_is_the_same_circuit_with_every_sign_turned(condition: str) -> None:
    right = bench_of(BOWSER, {})
    wrong = bench_of(BOWSER, {"battery.voltage": -right.model.sound["battery.voltage"]})

    for red, black in (("motor+", "motor-"), ("relay.86", "ground"), ("lug+", "fuse.out")):
        reading = Reading("voltage", (red, black), condition)
        assert wrong.predict(reading)[0] == pytest.approx(-right.predict(reading)[0], rel=1e-12)
    assert wrong.operation(condition).motor.speed == right.operation(condition).motor.speed
