"""Chances and bands, by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.reasoning.likelihood import density, explained, width
from diagnose.reasoning.predictions import (
    LEAD_OHMS,
    Band,
    _row,
    _steps,
    bin_chances,
    bin_edges,
    mistaken,
    scaled,
    shown,
    unscaled,
)

VOLTS, OHMS = reading_of("voltage motor+ motor- calling"), reading_of("resistance motor+ ground")


def test_a_mistake_is_any_other_answer() -> None:
    """By hand: 0.9 of what is so, and a tenth of the rest shared by two."""
    rows = mistaken(np.array([[0.7], [0.2], [0.1]]), 0.1)

    assert rows.ravel() == pytest.approx([0.9 * 0.7 + 0.015, 0.9 * 0.2 + 0.04, 0.9 * 0.1 + 0.045])
    assert rows.sum() == pytest.approx(1)


def test_answers_that_are_not_named_share_the_rest_as_on_any_rig() -> None:
    entry = SimpleNamespace(options=("a", "b", "c"), otherwise={"a": 0.5, "b": 0.3, "c": 0.2})

    column = shown(entry, {"a": "usually"}, {"usually": 0.8})  # type: ignore[arg-type]

    assert column == pytest.approx([0.8, 0.2 * 0.3 / 0.5, 0.2 * 0.2 / 0.5])


def test_named_answers_that_leave_nothing_are_shared_out_among_themselves() -> None:
    entry = SimpleNamespace(options=("a", "b"), otherwise={"a": 0.5, "b": 0.5})

    column = shown(entry, {"a": "high", "b": "low"}, {"high": 0.9, "low": 0.3})  # type: ignore[arg-type]

    assert column == pytest.approx([0.75, 0.25])


def test_bins_are_cut_half_way_between_values_of_equal_chance() -> None:
    band = Band(np.array([20.0, 0.0, 30.0, 10.0]), np.full(4, 0.1))

    edges = bin_edges(band, np.full(4, 0.25), 4)

    assert edges == pytest.approx([5, 15])


def test_a_step_in_severity_goes_to_the_nearer_neighbour_of_the_same_row() -> None:
    average, row = np.array([0.0, 1.0, 3.0, 9.0]), np.array([0, 0, 0, 1], dtype=np.intp)
    backwards = np.array([3, 2, 1, 0], dtype=np.intp)

    assert _steps(average, np.arange(4), row) == pytest.approx([1, 1, 2, 0])
    assert _steps(average, backwards, row[backwards]) == pytest.approx([1, 1, 2, 0])


def test_neighbours_in_one_severity_are_alike_in_the_other() -> None:
    """By hand: two levels by two; along the first axis 0 and 2, 1 and 3 are neighbours, along the
    second 0 and 1, 2 and 3, and a state of its own has none."""
    keys = np.array([[0, 0, 0, 0, 5], [0, 0, 1, 1, 0], [0, 1, 0, 1, 0]])
    average = np.array([0.0, 1.0, 10.0, 13.0, 50.0])

    first, second = (_steps(average, *_row(keys, axis)) for axis in (1, 2))

    assert first == pytest.approx([10, 12, 10, 12, 0])
    assert second == pytest.approx([1, 1, 3, 3, 0])


def test_a_reading_falls_in_its_own_bin_and_astray_in_any() -> None:
    """By hand: three bins, so a third of a tenth astray in each."""
    chances = bin_chances(Band(np.array([0.0, 10.0]), np.full(2, 0.1)), np.array([5.0, 15.0]), 0.1)

    assert chances.sum(axis=0) == pytest.approx([1, 1])
    assert chances[:, 0] == pytest.approx([0.9 + 0.1 / 3, 0.1 / 3, 0.1 / 3])
    assert chances[:, 1] == pytest.approx([0.1 / 3, 0.9 + 0.1 / 3, 0.1 / 3])


def test_ohms_are_compared_by_decades_and_volts_as_they_are() -> None:
    assert scaled(OHMS, 9.8) == pytest.approx(1)
    assert scaled(OHMS, 1e12) == scaled(OHMS, LARGEST_OHMS)
    assert scaled(VOLTS, 9.8) == 9.8
    assert unscaled(OHMS, float(scaled(OHMS, 47.0))) == pytest.approx(47)
    assert unscaled(OHMS, float(np.log10(LEAD_OHMS)) - 1) == 0


def test_the_density_is_that_of_the_normal_distribution() -> None:
    """Source: 0.3989 at the mean and 0.2420 one deviation off, as any table of it has."""
    band = Band(np.array([12.0, 12.0]), np.array([1.0, 0.5]))

    assert density(band, 12.0) == pytest.approx([0.39894, 2 * 0.39894], abs=1e-4)
    assert density(band, 13.0)[0] == pytest.approx(0.24197, abs=1e-4)


def test_misplaced_probes_read_nothing_the_battery_or_anything(bowser: Bench) -> None:
    """By hand, from the shares and spreads of the book; 0.3989 is the normal density at its mean.
    Half-way between nothing and the battery only what reads anything is left."""

    def astray(value: float, reading: Reading = VOLTS) -> float:
        return float(explained(bowser.predictions, Measured(reading, value)).astray[0])

    table = bowser.model.figures.table("misplaced-probe")
    battery = float(bowser.model.sound_batch(1)["battery.voltage"][0])
    anything = table.row("anything")["share"] / width(bowser.predictions, VOLTS)

    assert sum(table.column("share")) == pytest.approx(1)
    for name, volts in (("nothing", 0.0), ("battery", battery)):
        row = table.row(name)
        peak = row["share"] * 0.39894 / row["spread"]
        assert astray(volts) - anything == pytest.approx(peak, rel=1e-3)
        assert astray(volts + row["spread"]) == pytest.approx(astray(volts - row["spread"]))
    assert astray(battery / 2) == pytest.approx(anything)
    assert astray(20.0, OHMS) == pytest.approx(1 / width(bowser.predictions, OHMS))


@pytest.mark.parametrize(
    ("once", "twice"),
    [
        (Seen("onset", "suddenly"), Seen("onset", "suddenly", sure=True)),
        (Measured(VOLTS, 9.0), Measured(VOLTS, 9.0, sure=True)),
    ],
    ids=["an answer", "a reading"],
)
def test_what_is_said_twice_alike_is_a_mistake_as_seldom_as_people_look_again(
    bowser: Bench, once: Seen | Measured, twice: Seen | Measured
) -> None:
    first, again = (explained(bowser.predictions, item) for item in (once, twice))

    assert again.wrong == pytest.approx(first.wrong * bowser.predictions.slips.unlooked)
    assert np.array_equal(again.plain, first.plain)
