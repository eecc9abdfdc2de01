"""Parts get as hot as I^2 R times their thermal resistance over the air."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.circuit.heat import temperatures
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import bundled_rigs, open_rig

BOWSER = Model.of(open_rig("bowser"))


def with_loads_off(model: Model) -> dict[str, float]:
    """Whatever else hangs on the rig draws nothing."""
    return {load.parameter("load"): OPEN for load in model.rig.loads}


def degrees(
    model: Model, changes: dict[str, float], condition: str = "calling"
) -> dict[str, float]:
    bench = Circuits(model, model.sound_batch().with_values(changes))
    found = temperatures(model, bench.batch, bench.operation(condition))
    return {part: float(value[0]) for part, value in found.items()}


def test_a_fuse_holder_rises_by_its_loss_times_its_thermal_resistance() -> None:
    """Volts across it times amps through it, as meters show them; 8 K/W is an estimate."""
    added = {"fuse_holder": BOWSER.sound["fuse_holder"] + 0.02}
    bench = Circuits(BOWSER, BOWSER.sound_batch().with_values(added))
    volts, _ = bench.predict(Reading("voltage", ("fuse.in", "fuse.out"), "calling"))
    amps, _ = bench.predict(Reading("current", ("battery",), "calling"))
    per_watt = BOWSER.figures.table("thermal-resistance").row("fuse-holder")["rise"]

    rise = degrees(BOWSER, added)["fuse-holder"] - BOWSER.sound["ambient"]

    assert rise == pytest.approx(volts[0] * amps[0] * per_watt, rel=1e-6)


def test_heat_goes_with_the_added_resistance_while_the_current_hardly_moves() -> None:
    rises = [
        degrees(BOWSER, {"master_switch": ohms})["master-switch"] - BOWSER.sound["ambient"]
        for ohms in (0.004, 0.008)
    ]

    assert rises[1] / rises[0] == pytest.approx(2, rel=0.02)


@pytest.mark.parametrize("name", bundled_rigs())
def test_the_motor_is_the_warmest_part_of_a_sound_rig(name: str) -> None:
    """How warm is held against common practice in tests/outside; a solenoid may be warmer."""
    model = Model.of(open_rig(name))
    found = degrees(model, {})
    if model.rig.relay_coil < 40:
        found.pop("relay", None)

    assert max(found, key=lambda part: found[part]) == "motor"


@pytest.mark.parametrize("name", bundled_rigs())
@pytest.mark.parametrize("condition", ["rest", "satisfied", "unplugged"])
def test_power_parts_are_cool_while_nothing_runs(name: str, condition: str) -> None:
    """The relay keeps the few watts of its coil."""
    model = Model.of(open_rig(name))

    found = degrees(model, with_loads_off(model), condition)

    assert found.pop("relay", 20.0) < 45
    assert list(found.values()) == pytest.approx([model.sound["ambient"]] * len(found), abs=0.1)


@pytest.mark.parametrize(
    ("joint", "part"),
    [
        ("fuse_holder", "fuse-holder"),
        ("relay_contact", "relay"),
        ("relay_socket", "relay"),
        ("master_switch", "master-switch"),
        ("feed_2", "wire"),
        ("return_1", "wire"),
    ],
)
def test_a_bad_joint_heats_its_own_part_and_no_other(joint: str, part: str) -> None:
    sound, faulty = degrees(BOWSER, {}), degrees(BOWSER, {joint: BOWSER.sound[joint] + 0.05})

    assert faulty[part] > sound[part] + 30
    others = [other for other in sound if other != part]
    assert all(faulty[other] < sound[other] + 1 for other in others)


def test_warm_air_warms_every_part_alike() -> None:
    cold, warm = degrees(BOWSER, {"ambient": 10.0}), degrees(BOWSER, {"ambient": 35.0})

    assert np.subtract(list(warm.values()), list(cold.values())) == pytest.approx(25.0)
