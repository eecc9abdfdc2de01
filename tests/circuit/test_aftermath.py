"""A blown fuse is met before or after it has gone; the chances of both make up the circuit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.circuit.aftermath import CONTROL, MAIN, found, main_history
from diagnose.circuit.model import Model
from diagnose.circuit.operate import operate
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import open_rig

BOWSER, BENCH = Model.of(open_rig("bowser")), Model.of(open_rig("mist-bench"))
SHORT = 0.02


def history(model: Model, changes: dict[str, float]) -> list[float]:
    batch = model.sound_batch().with_values(changes)
    return [
        float(one) for one in main_history(model, batch, operate(model, batch, "calling"))[:, 0]
    ]


def test_a_sound_circuit_is_met_once_and_whole() -> None:
    states = found(BOWSER, BOWSER.sound_batch())

    assert (states.origin.tolist(), states.share.tolist()) == ([0], pytest.approx([1], abs=1e-3))
    assert states.main[:, 0] == pytest.approx([1, 0, 0, 0], abs=1e-3)
    assert states.control[:, 0] == pytest.approx([1, 0, 0], abs=1e-3)
    assert states.batch["main_fuse"][0] < 1
    assert states.batch["control_fuse"][0] < 1


def test_a_shorted_feed_is_met_with_its_fuse_open() -> None:
    states = found(BOWSER, BOWSER.sound_batch().with_values({"leak_feed": SHORT}))

    assert states.share == pytest.approx([1], abs=0.01)
    assert states.batch["main_fuse"][0] == OPEN
    assert states.main[1, 0] == pytest.approx(1, abs=0.01)
    assert states.batch["control_fuse"][0] < 1


def test_a_shorted_control_wire_opens_the_control_fuse_and_spares_the_main_one() -> None:
    states = found(BOWSER, BOWSER.sound_batch().with_values({"leak_control": SHORT}))

    assert states.share == pytest.approx([1], abs=0.02)
    assert states.batch["control_fuse"][0] == OPEN
    assert states.batch["main_fuse"][0] < 1
    assert states.control[:, 0] == pytest.approx([0, 1, 0], abs=0.01)
    assert states.main[0, 0] == pytest.approx(1, abs=0.01)


def test_a_fuse_that_blows_after_minutes_is_met_in_both_states() -> None:
    """Whole by the share 1 - 0.5 with which such a fuse is found blown."""
    states = found(BOWSER, BOWSER.sound_batch().with_values({"main_fuse.rating": 8.0}))
    blown = states.batch["main_fuse"] == OPEN

    assert states.origin.tolist() == [0, 0]
    assert blown.tolist() == [False, True]
    assert states.share.sum() == pytest.approx(1, abs=0.03)
    assert float(states.share[1]) == pytest.approx(
        float(MAIN @ history(BOWSER, {"main_fuse.rating": 8.0}))
    )
    assert states.main[:, 1].sum() == pytest.approx(1)
    assert states.main[0, 1] == 0
    assert states.main[:, 0].sum() == pytest.approx(1)


def test_each_state_knows_the_circuit_that_it_comes_from() -> None:
    leaks = np.array([OPEN, SHORT, OPEN, SHORT])
    ratings = np.array([20.0, 20.0, 8.0, 20.0])
    batch = BOWSER.sound_batch(4).with_values({"leak_feed": leaks, "main_fuse.rating": ratings})

    states = found(BOWSER, batch)

    assert sorted(states.origin.tolist()) == [0, 1, 2, 2, 3]
    assert np.bincount(states.origin, states.share) == pytest.approx(np.ones(4), abs=0.03)
    assert states.batch["leak_feed"].tolist() == [leaks[i] for i in states.origin]
    assert states.main.shape[1] == states.control.shape[1] == len(states.batch) == 5
    assert states.main.sum(axis=0) == pytest.approx(np.ones(5))
    assert states.control.sum(axis=0) == pytest.approx(np.ones(5))


@pytest.mark.parametrize(
    ("changes", "most"),
    [
        ({}, 0),
        ({"leak_feed": SHORT}, 1),
        ({"leak_motor_feed": SHORT}, 1),
        ({"motor.locked": 1.0, "main_fuse.rating": 20.0}, 2),
        ({"main_fuse.rating": 8.0}, 3),
        ({"leak_feed": SHORT, "main_fuse.bridged": 1.0}, 0),
        ({"leak_feed": SHORT, "main_fuse": OPEN}, 0),
        ({"leak_motor_feed": SHORT, "control_wire_1": OPEN}, 0),
        ({"leak_motor_feed": SHORT, "master_switch": OPEN}, 0),
    ],
)
def test_what_the_main_fuse_does(changes: dict[str, float], most: int) -> None:
    said = history(BOWSER, changes)

    assert int(np.argmax(said)) == most
    assert sum(said) == pytest.approx(1)
    assert min(said) >= 0


def test_a_control_circuit_fed_before_the_main_fuse_never_blows_it() -> None:
    before = Model.of(replace(BOWSER.rig, control_tap="lug+"))

    assert history(before, {"leak_control": 0.05})[0] == pytest.approx(1, abs=1e-3)


def test_behind_the_main_fuse_the_smaller_control_fuse_goes_first() -> None:
    assert history(BOWSER, {"leak_control": 0.05})[0] > 0.95
    assert history(BOWSER, {"leak_control": 0.05, "control_fuse.rating": 40.0})[0] < 0.05


def test_a_direct_rig_has_no_control_fuse_to_blow() -> None:
    states = found(BENCH, BENCH.sound_batch().with_values({"leak_motor_feed": SHORT}))

    assert states.control.tolist() == [[1.0], [0.0], [0.0]]
    assert states.batch["main_fuse"][0] == OPEN


def test_a_history_that_surely_ends_in_a_blown_fuse_is_never_met_whole() -> None:
    assert MAIN[0] == CONTROL[0] == 0
    assert MAIN[1] == CONTROL[1] == 1
