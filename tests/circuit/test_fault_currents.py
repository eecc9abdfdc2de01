"""Where the current of a fault flows: through which fuse, which clamp meter, which wire."""

from __future__ import annotations

import pytest

from diagnose.circuit.aftermath import main_history
from diagnose.circuit.heat import temperatures
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import open_rig

BOWSER, TANK = Model.of(open_rig("bowser")), Model.of(open_rig("header-tank"))
HOLDS, AT_ONCE = 0, 1


def bench(changes: dict[str, float], model: Model = BOWSER) -> Circuits:
    return Circuits(model, model.sound_batch().with_values(changes))


def amps(on: Circuits, conductor: str, condition: str = "calling") -> float:
    current, _ = on.predict(Reading("current", (conductor,), condition))
    return float(current[0])


def degrees(on: Circuits, part: str) -> float:
    return float(temperatures(on.model, on.batch, on.operation("calling"))[part][0])


def history(on: Circuits) -> list[float]:
    """Chances that the main fuse holds, blows at once, at start, after minutes."""
    chances = main_history(on.model, on.batch, on.operation("calling"))
    return [float(chance) for chance in chances[:, 0]]


@pytest.mark.parametrize("leak", ["leak_feed", "leak_motor_feed", "leak_case"])
def test_a_short_to_ground_blows_the_main_fuse_at_once(leak: str) -> None:
    """0.02 ohm: some 250 A through a 20 A fuse, twelve times its rating."""
    assert history(bench({leak: 0.02}))[AT_ONCE] > 0.95


def test_a_short_beyond_the_open_contact_of_a_dead_relay_blows_nothing() -> None:
    shorted = bench({"leak_motor_feed": 0.02, "coil": OPEN})

    assert not shorted.operation("calling").pulled[0]
    assert history(shorted)[HOLDS] > 0.95


def test_a_short_in_the_control_wire_spares_the_main_fuse() -> None:
    """The 3 A fuse opens first: 0.5 ohm, some 20 A, is 7 times its rating and 1.2 of the main."""
    shorted = bench({"leak_control": 0.5})

    assert amps(shorted, "battery") > 6 * BOWSER.rig.control_fuse_rating
    assert history(shorted)[AT_ONCE] < 0.05


def test_a_clamp_on_the_motor_feed_shows_what_leaks_inside_the_motor() -> None:
    """All that the battery gives but the coil's share goes through the feed wire."""
    leaking = bench({"leak_case": 2.0})

    expected = amps(leaking, "battery") - amps(leaking, "coil")
    assert amps(leaking, "motor-feed") == pytest.approx(expected, rel=1e-6)


def test_a_leak_in_the_motor_heats_the_wire_that_feeds_it() -> None:
    assert degrees(bench({"leak_case": 0.5}), "wire") > degrees(bench({}), "wire") + 1


def test_a_motor_on_a_welded_contact_gets_as_hot_as_any() -> None:
    """A dead coil changes nothing for a contact that is stuck."""
    stuck = bench({"relay.welded": 1.0, "coil": OPEN})

    assert stuck.operation("calling").turning[0]
    assert degrees(stuck, "motor") == pytest.approx(degrees(bench({}), "motor"), abs=1)
    assert degrees(stuck, "wire") == pytest.approx(degrees(bench({}), "wire"), abs=1)


def test_a_full_tank_does_not_shut_the_outlet() -> None:
    """With the float stuck closed the pump runs on at its usual pressure: the tank overflows."""
    stuck = bench({"float_switch.welded": 1.0}, TANK)

    motor, usual = stuck.operation("satisfied").motor, stuck.operation("calling").motor

    assert motor.flow[0] == pytest.approx(usual.flow[0], rel=1e-9)
    assert motor.current[0] == pytest.approx(usual.current[0], rel=1e-9)
