"""A rig told in short and told as a list of its parts is the same rig."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.network import branches, points_on
from diagnose.circuit.operation import Operation
from diagnose.circuit.rig import Rig, open_rig, read_rig
from diagnose.design.facts import rig_facts
from diagnose.documents import parse
from diagnose.walkthrough import Walk
from tests import once

AS_LISTS = {
    "bowser": """
name: tree-watering bowser
battery: {kind: agm, capacity: 90 A*h}
feed:
  - fuse: {rating: 20 A, distance: 5 in}
  - master_switch
  - relay: {contact: 70 A, coil: 85 ohm}
control: {tap: fuse.out, parts: [fuse: {rating: 3 A}, pressure_switch, hand_switch]}
pump: {current: 14 A, pressure: 50 psi, flow: 4 gal/min, at: working}
wire: {gauge: 8 AWG, length: 14 ft}
""",
    "header-tank": """
name: header-tank transfer pump
battery: {kind: agm, capacity: 75 A*h}
feed:
  - fuse: {rating: 15 A, distance: 6 in}
  - master_switch
  - relay: {contact: 40 A, coil: 90 ohm}
control: {tap: master.out, parts: [fuse: {rating: 2 A}, remote, float_switch, hand_switch]}
pump: {current: 9 A, pressure: 40 psi, flow: 3 gal/min, at: working}
wire: {gauge: 10 AWG, length: 20 ft}
""",
    "mist-bench": """
name: propagation mist bench
battery: {kind: flooded, capacity: 60 A*h}
feed:
  - fuse: {rating: 10 A, distance: 150 mm}
  - master_switch
  - pressure_switch
pump: {current: 7.5 A, pressure: 4 bar, flow: 8 L/min, at: working}
wire: {gauge: 4 mm2, length: 3 m}
""",
}
"""The rigs of the short form, told a second time as lists."""

GIVEN = {
    "pump-action": "cuts-in-and-out",
    "voltage battery+ battery- rest": "12.4",
    "voltage fuse.in fuse.out calling": "0.9",
    "voltage motor+ motor- satisfied": "0",
}


def as_list(name: str) -> Rig:
    return read_rig(parse(AS_LISTS[name], f"{name}.yaml"))


@pytest.mark.parametrize("name", AS_LISTS)
def test_a_rig_in_short_and_as_a_list_is_the_same_circuit(name: str) -> None:
    short, listed = Model.of(open_rig(name)), Model.of(as_list(name))

    assert sorted(map(str, branches(short.rig))) == sorted(map(str, branches(listed.rig)))
    assert points_on(short.rig) == points_on(listed.rig)
    assert short.sound == listed.sound
    for condition in ("rest", "calling", "satisfied", "unplugged"):
        ours, theirs = (
            Circuits(one, one.sound_batch()).operation(condition) for one in (short, listed)
        )
        for point in points_on(short.rig)[:-1]:
            assert at(ours, point) == pytest.approx(at(theirs, point), rel=1e-12, abs=1e-15)


def at(operation: Operation, point: str) -> list[float]:
    """Volts of a point with the contacts apart and closed."""
    return [
        float(operation.idle.volts(point, operation.idle_current)[0]),
        float(operation.live.volts(point, operation.motor_current)[0]),
    ]


@pytest.mark.parametrize("name", AS_LISTS)
def test_the_facts_of_both_forms_differ_in_nothing_that_is_there(name: str) -> None:
    """A direct rig has no coil's line, so no fuse in it: the list says so, the short form speaks
    of the fuse that a coil's line would have."""
    short, listed = (rig_facts(Model.of(rig)) for rig in (open_rig(name), as_list(name)))
    other = {fact for fact in {*short, *listed} if short.get(fact) != listed.get(fact)}

    assert other == ({"control-fuse"} if name == "mist-bench" else set())


@pytest.mark.parametrize("name", AS_LISTS)
def test_both_forms_rank_alike(name: str) -> None:
    walks = [Walk(one) for one in (once.bench(name), Bench.for_rig(as_list(name), once.shop()))]
    for walk in walks:
        for test, answer in GIVEN.items():
            walk.answer(walk.ask(test), answer)
    ours, theirs = (dict(walk.belief().ranking) for walk in walks)

    assert ours == pytest.approx(theirs, abs=1e-9)
