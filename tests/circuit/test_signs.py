"""What a person would see, hear and feel, by plain reasoning from the fault: the likeliest answer.

How likely each answer is rests on estimates; which of them is the likeliest does not.
"""

from __future__ import annotations

import random

import numpy as np
import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import holds
from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import JOINTS, LEAKS, OPEN, WIRES, Array
from diagnose.circuit.rig import open_rig
from diagnose.circuit.scene import Scene, choose_rows, spread_over
from diagnose.circuit.trial_signs import SIGNS
from diagnose.design.facts import rig_facts

MODELS = {name: Model.of(open_rig(name)) for name in ("bowser", "mist-bench", "header-tank")}
OBSERVATIONS = shipped_catalogue().observations
SHORT = 0.02
"""A dead short [ohm]."""


def scene_of(rig: str, changes: dict[str, float]) -> Scene:
    """The rig with some parameters changed, in the likeliest state of its fuses."""
    model = MODELS[rig]
    states = found(model, model.sound_batch().with_values(changes))
    likeliest = [int(np.argmax(states.share))]
    bench = Circuits(model, states.batch.take(np.array(likeliest)))
    return Scene(bench, states.main[:, likeliest], states.control[:, likeliest])


def chances(scene: Scene, sign: str) -> dict[str, float]:
    column: Array = SIGNS[sign](scene)[:, 0]
    assert column.min() >= 0
    assert column.sum() == pytest.approx(1, abs=1e-6)
    return dict(zip(OBSERVATIONS[sign].options, map(float, column), strict=True))


def likeliest(scene: Scene, sign: str) -> str:
    said = chances(scene, sign)
    return max(said, key=lambda option: said[option])


SOUND: dict[str, float] = {}
SEEN = [
    ("pump-action", "bowser", SOUND, "normal"),
    ("pump-action", "bowser", {"main_fuse": OPEN}, "silent"),
    ("pump-action", "bowser", {"motor.locked": 1.0, "main_fuse.bridged": 1.0}, "silent"),
    ("pump-action", "bowser", {"motor.friction": 44.0, "main_fuse.bridged": 1.0}, "hums"),
    ("pump-action", "bowser", {"return_1": 0.25}, "slow"),
    ("pump-action", "bowser", {"fuse_holder": 0.5}, "cuts-in-and-out"),
    ("pump-action", "bowser", {"control.flutter": 1.0}, "cuts-in-and-out"),
    ("pump-action", "bowser", {"outlet.opening": 0.35}, "short-cycles"),
    ("pump-action", "bowser", {"outlet.opening": 0.0}, "starts-then-stops"),
    ("pump-action", "header-tank", {"outlet.opening": 0.35}, "normal"),
    ("pump-when-satisfied", "bowser", SOUND, "stops"),
    ("pump-when-satisfied", "bowser", {"relay.welded": 1.0}, "keeps-running"),
    ("pump-when-satisfied", "bowser", {"pressure_switch.welded": 1.0}, "keeps-running"),
    ("pump-when-satisfied", "header-tank", {"float_switch.welded": 1.0}, "keeps-running"),
    ("pump-when-satisfied", "bowser", {"outlet.leak": 0.05}, "restarts-by-itself"),
    ("flow", "bowser", SOUND, "normal"),
    ("flow", "bowser", {"control_wire_1": OPEN}, "none"),
    ("flow", "bowser", {"pump.filling": 0.5}, "weak"),
    ("flow", "bowser", {"return_1": 0.25}, "weak"),
    ("flow", "bowser", {"outlet.opening": 0.0}, "none"),
    # full flow lasts 1.2 s on hose and accumulator; at a third of it 3.5 s, in which it falls by a
    # fifth, the root of 0.85 / 1.25
    ("flow", "bowser", {"outlet.opening": 0.35}, "weak"),
    ("flow", "bowser", {"outlet.opening": 0.35, "accumulator.volume": 0.2}, "pulsing"),
    ("flow", "bowser", {"fuse_holder": 0.5}, "pulsing"),
    ("relay-sound", "bowser", SOUND, "one-click"),
    ("relay-sound", "bowser", {"coil": OPEN}, "silent"),
    ("relay-sound", "bowser", {"pressure_switch": OPEN}, "silent"),
    ("relay-sound", "bowser", {"fuse_holder": 0.5}, "chatters"),
    ("relay-sound", "bowser", {"relay_contact": OPEN}, "one-click"),
    ("relay-sound", "bowser", {"relay.welded": 1.0}, "silent"),
    ("main-fuse-history", "bowser", SOUND, "holds"),
    ("main-fuse-history", "bowser", {"leak_feed": SHORT}, "blows-at-once"),
    ("main-fuse-history", "bowser", {"leak_motor_feed": SHORT}, "blows-at-once"),
    ("main-fuse-history", "bowser", {"motor.locked": 1.0}, "blows-at-start"),
    ("main-fuse-history", "bowser", {"main_fuse.rating": 10.0}, "blows-after-minutes"),
    ("main-fuse-history", "bowser", {"leak_feed": SHORT, "main_fuse.bridged": 1.0}, "holds"),
    ("main-fuse-history", "bowser", {"main_fuse": OPEN}, "blew-unseen"),
    ("main-fuse-element", "bowser", SOUND, "intact"),
    ("main-fuse-element", "bowser", {"main_fuse": OPEN}, "open"),
    ("main-fuse-element", "bowser", {"leak_feed": SHORT}, "open"),
    ("control-fuse-history", "bowser", SOUND, "holds"),
    ("control-fuse-history", "bowser", {"leak_control": SHORT}, "blows-at-once"),
    ("control-fuse-element", "bowser", SOUND, "intact"),
    ("control-fuse-element", "bowser", {"leak_control": SHORT}, "open"),
    ("fuse-holder-heat", "bowser", SOUND, "cool"),
    ("fuse-holder-heat", "bowser", {"fuse_holder": 0.05}, "too-hot-to-hold"),
    ("relay-heat", "bowser", {"relay_contact": 0.05}, "too-hot-to-hold"),
    ("master-switch-heat", "bowser", {"master_switch": 0.05}, "too-hot-to-hold"),
    ("master-switch-heat", "bowser", {"fuse_holder": 0.05}, "cool"),
    ("pressure-switch-heat", "mist-bench", {"pressure_switch": 0.4}, "too-hot-to-hold"),
    ("pressure-switch-heat", "bowser", {"pressure_switch": 0.4}, "cool"),
    ("wire-heat", "bowser", SOUND, "cool"),
    ("wire-heat", "bowser", {"feed_2": 0.2}, "too-hot-to-hold"),
    ("lamp-at-motor", "bowser", SOUND, "bright"),
    ("lamp-at-motor", "bowser", {"relay_contact": OPEN}, "dark"),
    ("lamp-at-motor", "bowser", {"motor.resistance": OPEN}, "bright"),
    ("lamp-at-motor", "bowser", {"motor.resistance": OPEN, "feed_2": 1e4}, "dark"),
    ("lamp-at-motor", "bowser", {"return_1": 0.35}, "dim"),
    ("other-loads", "bowser", SOUND, "fine"),
    ("other-loads", "bowser", {"terminal_positive": OPEN}, "dead-too"),
    ("other-loads", "bowser", {"battery.voltage": 9.5}, "weak-too"),
    ("other-loads", "bowser", {"master_switch": OPEN}, "fine"),
    ("float-by-hand", "header-tank", SOUND, "follows"),
    ("float-by-hand", "header-tank", {"float_switch": OPEN}, "never-closes"),
    ("float-by-hand", "header-tank", {"float_switch.welded": 1.0}, "never-opens"),
    ("float-by-hand", "header-tank", {"float_switch.inverted": 1.0}, "inverted"),
    ("battery-found", "bowser", SOUND, "charged"),
    ("battery-found", "bowser", {"battery.voltage": 11.6}, "flat"),
    ("cycling-interval", "bowser", SOUND, "none"),
    ("cycling-interval", "bowser", {"outlet.leak": 0.3}, "seconds"),
    ("cycling-interval", "bowser", {"outlet.leak": 1.5}, "none"),
    ("cycling-interval", "bowser", {"outlet.leak": 0.005}, "minutes"),
    ("cycling-interval", "bowser", {"outlet.leak": 0.0001}, "hours"),
    ("cycling-interval", "bowser", {"outlet.leak": 0.9, "main_fuse": OPEN}, "none"),
    ("jumper-relay-contact", "bowser", {"relay_contact": OPEN}, "runs-normal"),
    ("jumper-relay-contact", "bowser", {"coil": OPEN}, "runs-normal"),
    ("jumper-relay-contact", "bowser", {"motor.resistance": OPEN}, "nothing"),
    ("jumper-relay-contact", "bowser", {"return_1": 0.25}, "runs-slow"),
    ("jumper-relay-contact", "bowser", {"leak_motor_feed": SHORT, "coil": OPEN}, "fuse-blows"),
    ("jumper-pressure-switch", "mist-bench", {"pressure_switch": OPEN}, "runs-normal"),
    ("jumper-pressure-switch", "mist-bench", {"master_switch": OPEN}, "nothing"),
    ("jumper-float", "header-tank", {"float_switch": OPEN}, "runs-normal"),
    ("jumper-float", "header-tank", {"float_switch.inverted": 1.0}, "runs-normal"),
    ("jumper-float", "header-tank", {"main_fuse": OPEN}, "nothing"),
    ("swap-relay", "bowser", {"relay_contact": OPEN}, "cured"),
    ("swap-relay", "bowser", {"coil": OPEN}, "cured"),
    ("swap-relay", "bowser", {"relay_socket": OPEN}, "no-change"),
    ("swap-relay", "bowser", SOUND, "no-change"),
    ("swap-relay", "bowser", {"relay_contact": 0.05}, "cured"),
    ("swap-relay", "bowser", {"relay_socket": 0.05}, "no-change"),
    ("new-main-fuse", "bowser", {"main_fuse": OPEN}, "holds"),
    ("new-main-fuse", "bowser", {"main_fuse.rating": 10.0}, "holds"),
    ("new-main-fuse", "bowser", {"main_fuse": OPEN, "fuse_holder": 0.05}, "holder-hot"),
    ("new-main-fuse", "bowser", {"leak_feed": SHORT}, "blows-at-once"),
    ("new-main-fuse", "bowser", {"motor.locked": 1.0}, "blows-at-once"),
    ("new-main-fuse", "bowser", {"motor.friction": 24.0}, "blows-in-minutes"),
    ("swap-pump", "bowser", {"motor.resistance": OPEN}, "cured"),
    ("swap-pump", "bowser", {"return_1": 0.25}, "no-change"),
    ("swap-pump", "bowser", {"pump.slip": 1.5, "thermal": 1.5}, "cured"),
    ("swap-pump", "bowser", {"outlet.opening": 0.7}, "no-change"),
    ("charging-source-effect", "bowser", {"battery.resistance": 0.25}, "runs-better"),
    ("charging-source-effect", "bowser", SOUND, "no-change"),
    ("charging-source-effect", "bowser", {"master_switch": OPEN}, "no-change"),
    ("bench-run-motor", "bowser", SOUND, "runs-normal"),
    ("bench-run-motor", "bowser", {"return_1": OPEN}, "runs-normal"),
    ("bench-run-motor", "bowser", {"motor.resistance": OPEN}, "nothing"),
    ("bench-run-motor", "bowser", {"motor.friction": 16.0}, "high-current"),
    ("bench-run-motor", "bowser", {"motor.resistance": 0.6}, "runs-slow"),
]


@pytest.mark.parametrize(
    ("sign", "rig", "changes", "expected"), SEEN, ids=lambda part: str(part).replace(" ", "")
)
def test_the_likeliest_answer(
    sign: str, rig: str, changes: dict[str, float], expected: str
) -> None:
    assert likeliest(scene_of(rig, changes), sign) == expected


@pytest.mark.parametrize(
    ("changes", "runs"), [({"pressure_switch": OPEN}, True), ({"master_switch": OPEN}, False)]
)
def test_another_way_past_the_switch(changes: dict[str, float], runs: bool) -> None:
    """Most rigs have none; of the rest it runs or is dead."""
    said = chances(scene_of("mist-bench", changes), "runs-another-way")

    assert said["no-other-way"] == max(said.values())
    assert (said["runs"] > said["dead"]) == runs


@pytest.mark.parametrize("rig", MODELS)
def test_every_sign_gives_chances_that_sum_to_one(rig: str) -> None:
    """On rigs with faults by chance, whatever state their fuses are found in."""
    draw, model = random.Random(3), MODELS[rig]
    batch = model.sound_batch(40)
    for name in (*WIRES, *JOINTS):
        added = [10 ** draw.uniform(-3, 3) if draw.random() < 0.06 else 0.0 for _ in range(40)]
        batch = batch.with_values({name: batch[name] + np.array(added)})
    for name in LEAKS:
        leak = [10 ** draw.uniform(-2, 4) if draw.random() < 0.06 else OPEN for _ in range(40)]
        batch = batch.with_values({name: np.array(leak)})
    states = found(model, batch)
    scene = Scene(Circuits(model, states.batch), states.main, states.control)

    facts = rig_facts(model)
    here = [one for one in SIGNS if one in OBSERVATIONS and holds(OBSERVATIONS[one].applies, facts)]
    assert len(here) > 15
    for name in here:
        rows = SIGNS[name](scene)
        assert rows.shape == (len(OBSERVATIONS[name].options), len(states.batch)), name
        assert rows.min() >= 0, name
        assert rows.sum(axis=0) == pytest.approx(np.ones(rows.shape[1]), abs=1e-6), name


def test_the_first_case_that_holds_decides() -> None:
    holds = np.array([True, True, False]), np.array([False, True, True])

    rows = choose_rows(
        [(holds[0], [1.0, 0.0]), (holds[1], [0.5, 0.5])], spread_over({1: 1.0}, 2, 3)
    )

    assert rows.tolist() == [[1.0, 1.0, 0.5], [0.0, 0.0, 0.5]]


def test_what_is_not_named_has_no_chance() -> None:
    assert spread_over({2: np.array([0.25, 1.0])}, 3, 2).tolist() == [[0, 0], [0, 0], [0.25, 1.0]]


def test_a_coil_below_its_pull_in_is_silent_on_clean_direct_current() -> None:
    """Common practice: buzzing takes ripple or chatter; 6 V are half a volt short of pull-in."""
    heard = chances(scene_of("bowser", {"coil_ground": 75.0}), "relay-sound")

    assert heard["silent"] > 0.85
    assert heard["buzzes"] < 0.1


def test_a_weak_battery_does_not_keep_a_pump_running_on_a_shut_outlet() -> None:
    """Common practice: a pump that lacks the torque for its cut-out is held, and stands."""
    for ohms in (0.05, 0.2, 0.5, 1.0):
        weak = {"battery.voltage": 11.8, "battery.resistance": ohms}
        assert chances(scene_of("bowser", weak), "pump-when-satisfied")["keeps-running"] < 0.3


def test_a_bolted_ground_joint_is_not_felt_along_the_wires() -> None:
    """Its heat goes into the frame (common practice); a splice in the feed is felt."""
    bolted = chances(scene_of("bowser", {"return_2": 0.15}), "wire-heat")
    splice = chances(scene_of("bowser", {"feed_3": 0.15}), "wire-heat")

    assert bolted["too-hot-to-hold"] < 0.05
    assert splice["too-hot-to-hold"] > 0.4


def test_a_switch_that_makes_and_breaks_cuts_the_pump_in_and_out_on_a_direct_rig() -> None:
    shaken = scene_of("mist-bench", {"pressure_switch": 0.5, "control.flutter": 1.0})

    assert chances(shaken, "pump-action")["cuts-in-and-out"] > 0.5
