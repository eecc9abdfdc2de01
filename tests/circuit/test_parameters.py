"""The flat list of parameters: each has a sound value, a unit, and its place in the circuit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.circuit.model import Model
from diagnose.circuit.network import bears_on, branches
from diagnose.circuit.parameters import NAMES, unit_of
from diagnose.circuit.parts import extra_parameters, feed_wires, listed_parts
from diagnose.circuit.rig import bundled_rigs, open_rig

BOWSER, BENCH, TANK = (open_rig(name) for name in ("bowser", "mist-bench", "header-tank"))


@pytest.mark.parametrize("name", bundled_rigs())
def test_a_sound_rig_has_a_value_for_every_parameter_and_no_other(name: str) -> None:
    """Beside them a rig in list form has those of its own parts."""
    rig = open_rig(name)

    assert set(Model.of(rig).sound) == {*NAMES, *extra_parameters(rig)}
    assert bool(extra_parameters(rig)) == bool(
        listed_parts(rig) or feed_wires(rig)[3:] or rig.loads
    )


@pytest.mark.parametrize(
    ("parameter", "unit"),
    [
        ("fuse_holder", "ohm"),
        ("leak_control", "ohm"),
        ("motor.resistance", "ohm"),
        ("battery.resistance", "ohm"),
        ("battery.voltage", "V"),
        ("coil.pull_in", "V"),
        ("motor.back_emf", "V"),
        ("motor.friction", "A"),
        ("main_fuse.rating", "A"),
        ("ambient", "degC"),
        ("pump.slip", "1"),
        ("relay.welded", "1"),
        ("pressure_switch.cut_out", "1"),
    ],
)
def test_units(parameter: str, unit: str) -> None:
    assert unit_of(parameter) == unit


@pytest.mark.parametrize(
    ("parameter", "rigs"),
    [
        ("fuse_holder", "bowser mist-bench header-tank"),
        ("battery.voltage", "bowser mist-bench header-tank"),
        ("motor.locked", "bowser mist-bench header-tank"),
        ("outlet.opening", "bowser mist-bench header-tank"),
        ("leak_feed", "bowser mist-bench header-tank"),
        ("relay.welded", "bowser header-tank"),
        ("relay_contact", "bowser header-tank"),
        ("coil", "bowser header-tank"),
        ("coil.pull_in", "bowser header-tank"),
        ("coil_ground", "bowser header-tank"),
        ("control_fuse.rating", "bowser header-tank"),
        ("control_fuse_holder", "bowser header-tank"),
        ("control.flutter", "bowser header-tank"),
        ("pressure_switch", "bowser mist-bench"),
        ("pressure_switch.welded", "bowser mist-bench"),
        ("float_switch", "header-tank"),
        ("float_switch.inverted", "header-tank"),
    ],
)
def test_a_parameter_bears_on_the_rigs_that_have_its_part(parameter: str, rigs: str) -> None:
    rig_of = {"bowser": BOWSER, "mist-bench": BENCH, "header-tank": TANK}

    assert [name for name, rig in rig_of.items() if bears_on(rig, parameter)] == rigs.split()


@pytest.mark.parametrize("topology", ["relay", "direct"])
@pytest.mark.parametrize("control", ["pressure_switch", "float_switch", "manual"])
def test_the_coil_lies_between_its_terminals_and_nowhere_else(topology: str, control: str) -> None:
    here = branches(replace(BOWSER, topology=topology, control=control))
    coils = [(one.a, one.b) for one in here if "coil" in one.parameters]

    assert coils == ([("relay.86", "relay.85")] if topology == "relay" else [])
