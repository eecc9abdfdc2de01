"""How far a fault goes: from mild to severe, and on to what copper, fuse, battery and water allow.

All sums are by hand: half-way between two positive values is their geometric mean.
"""

from __future__ import annotations

from math import sqrt
from typing import Any

import numpy as np
import pytest

from diagnose.bench import Bench, Shop
from diagnose.catalogue.entry_parts import Change, Effect
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.rig import open_rig
from diagnose.errors import Place
from diagnose.figures import Figure, Figures, shipped_figures
from diagnose.reasoning.severity import (
    apply_effect,
    at_severity,
    between,
    coarse,
    levels,
    physical_ends,
)

ENDS = {
    "fuse_holder": ("none", "open"),
    "battery.voltage": ("0", "15"),
    "motor.pressure_torque": ("0.05x", "8x"),
    "leak_feed": ("0.01", "none"),
}
MILD_TO_END = np.array([0.0, 1.0, 1.5, 2.0])


def change(parameter: str, operation: str, mild: float, severe: float, **more: Any) -> Change:
    return Change(parameter, operation, mild, severe, **more)


def changed(*changes: Change, sound: float = 0.0, **axes: list[float]) -> list[np.ndarray]:
    """The changed parameters of rigs on which each was `sound`, along axis a to its end."""
    severities = {"a": MILD_TO_END, **{axis: np.array(row) for axis, row in axes.items()}}
    batch = Model.of(open_rig("bowser")).sound_batch(len(MILD_TO_END))
    batch = batch.with_values({one.parameter: sound for one in changes})
    effect = Effect("", 1.0, changes, "", "", {})
    found = apply_effect(batch, effect, severities, ENDS)
    return [found[one.parameter] for one in changes]


def test_severities_go_by_factors_where_both_ends_are_positive() -> None:
    """By hand: half-way from 0.01 to 1 is 0.1, from -1 to 3 it is 1."""
    half = np.array([0.0, 0.5, 1.0])

    assert at_severity(change("fuse_holder", "add", 0.01, 1.0), half) == pytest.approx(
        [0.01, 0.1, 1.0]
    )
    assert at_severity(change("fuse_holder", "add", -1.0, 3.0), half) == pytest.approx([-1, 1, 3])
    assert between(np.array([4.0]), np.array([0.0]), np.array([0.5])) == pytest.approx([2.0])


def test_a_joint_goes_on_until_it_is_open() -> None:
    """Half-way to no contact half of it is left twice over: a quarter, so four times the ohms."""
    (joint,) = changed(change("fuse_holder", "add", 0.01, 1.0))

    assert joint == pytest.approx([0.01, 1.0, 4.0, OPEN])


def test_a_battery_goes_down_to_nothing_and_up_to_its_charger() -> None:
    (empty,) = changed(change("battery.voltage", "set", 12.0, 10.0))
    (charged,) = changed(change("battery.voltage", "set", 12.8, 14.0))

    assert empty == pytest.approx([12, 10, 5, 0])
    assert charged == pytest.approx([12.8, 14, sqrt(14 * 15), 15])


def test_an_end_may_be_a_multiple_of_what_is_sound() -> None:
    """From twice to eight times, half-way four times; from a half to a twentieth."""
    (stiff,) = changed(change("motor.pressure_torque", "times", 1.5, 2.0), sound=3.0)
    (slack,) = changed(change("motor.pressure_torque", "times", 0.9, 0.5), sound=3.0)

    assert stiff == pytest.approx([4.5, 6, 12, 24])
    assert slack == pytest.approx([2.7, 1.5, 3 * sqrt(0.5 * 0.05), 0.15])


@pytest.mark.parametrize(
    ("one", "last"),
    [
        (change("leak_feed", "set", 1.0, 100.0), 100.0),
        (change("battery.voltage", "set", 13.0, 16.0), 16.0),
        (change("coil.pull_in", "set", 6.0, 9.0), 9.0),
        (change("fuse_holder", "add", 0.01, 1.0, bounded=True), 1.0),
        (change("fuse_holder", "set", 0.3, 0.3), 0.3),
    ],
    ids=["no end on that side", "beyond it already", "no end at all", "bounded", "no range"],
)
def test_what_has_no_further_to_go_stays_where_it_is(one: Change, last: float) -> None:
    (value,) = changed(one)

    assert value[1:] == pytest.approx([last] * 3)


def test_axes_grow_worse_each_on_its_own() -> None:
    joint, volts = changed(
        change("fuse_holder", "add", 0.01, 1.0),
        change("battery.voltage", "set", 12.0, 10.0, axis="b"),
        b=[1.0, 0.5, 0.0, 2.0],
    )

    assert joint == pytest.approx([0.01, 1.0, 4.0, OPEN])
    assert volts == pytest.approx([10, sqrt(120), 12, 0])


def few(**values: str) -> Figures:
    place = Place("by hand")
    return Figures({name: Figure(name, v, "", "", "", place) for name, v in values.items()}, {})


def test_levels_go_on_to_the_physical_end() -> None:
    """Two steps over -0.2 to 1: a quarter and three quarters of 1.2 in; two from 1 on, up to 2."""
    level, weight = levels(
        few(
            **{
                "severities": "2",
                "severity-margin": "0.2",
                "severities-beyond": "2",
                "beyond": "0.1",
            }
        )
    )

    assert level == pytest.approx([0.1, 0.7, 1.5, 2.0])
    assert weight == pytest.approx([0.45, 0.45, 0.05, 0.05])


def test_a_second_axis_has_fewer_levels_of_the_same_weight() -> None:
    """0.3 / 0.4 = 0.75 between 0 and 1; (2 x 0.4 + 3 x 0.2) / 0.6 = 7/3 between 2 and 3."""
    level, weight = coarse((np.arange(4.0), np.array([0.1, 0.3, 0.4, 0.2])), 2)

    assert level == pytest.approx([0.75, 7 / 3])
    assert weight == pytest.approx([0.4, 0.6])


def test_the_ends_of_the_book_are_on_the_right_side_of_a_sound_rig() -> None:
    """A joint can only open, a short only come near; a charger gives no more than 15 V. Common
    practice: 14.4 to 14.8 V is the most that ordinary chargers of 12 V batteries give."""
    ends = physical_ends(shipped_figures())

    assert ends["fuse_holder"] == ends["return_2"] == ("none", "open")
    assert ends["leak_feed"][1] == "none"
    assert 14.8 <= float(ends["battery.voltage"][1]) <= 15.5
    assert float(ends["battery.voltage"][0]) == 0


def test_every_joint_that_grows_worse_can_open(shop: Shop) -> None:
    ends = physical_ends(shipped_figures())
    adding = {
        one.parameter
        for mode in shop.catalogue.failure_modes.values()
        for effect in mode.effects
        for one in effect.changes
        if one.operation == "add" and one.has_range and one.severe > one.mild > 0
    }
    joints = {name for name in adding if "." not in name}

    assert "fuse_holder" in joints
    assert {name for name in joints if ends.get(name, ("", ""))[1] != "open"} == set()


def test_at_the_end_of_a_corroded_holder_nothing_runs(bowser: Bench) -> None:
    """Physics: through an open joint no current flows."""
    h = bowser.hypotheses
    last = (h.mode == h.modes.index("fuse-holder-corroded")) & (h.place[0] == h.place[0].max())
    options = tuple(bowser.shop.catalogue.observations["pump-action"].options)
    silent = bowser.predictions.plain("pump-action")[options.index("silent")]

    assert last.any()
    assert silent[last].min() > 0.9
