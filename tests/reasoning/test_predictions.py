"""Chances and bands, by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.reasoning.misreadings import guess_density, range_width
from diagnose.reasoning.neighbours import Row, row_of, steps_between
from diagnose.reasoning.outcome_table import bin_chances, bin_edges
from diagnose.reasoning.posterior import explained
from diagnose.reasoning.predictions import (
    LEAD_OHMS,
    Band,
    density,
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
    average, alike = np.array([0.0, 1.0, 3.0, 9.0]), np.array([0, 0, 0, 1], dtype=np.intp)
    backwards = np.array([3, 2, 1, 0], dtype=np.intp)

    assert steps_between(average, Row(np.arange(4), alike)) == pytest.approx([1, 1, 2, 0])
    assert steps_between(average, Row(backwards, alike[backwards])) == pytest.approx([1, 1, 2, 0])


def test_neighbours_in_one_severity_are_alike_in_the_other() -> None:
    """By hand: two levels by two; along the first axis 0 and 2, 1 and 3 are neighbours, along the
    second 0 and 1, 2 and 3, and another variant has none."""
    keys = np.array([[0, 0, 0, 0, 8], [0, 0, 1, 1, 0], [0, 1, 0, 1, 0]])
    average = np.array([0.0, 1.0, 10.0, 13.0, 50.0])

    first, second = (steps_between(average, row_of(keys, axis)) for axis in (1, 2))

    assert first == pytest.approx([10, 12, 10, 12, 0])
    assert second == pytest.approx([1, 1, 3, 3, 0])


def test_what_is_alone_in_its_state_looks_to_the_next_state_but_not_over_a_blown_fuse() -> None:
    """By hand: running, standing and blown (bit 1 turns, bit 0 is the fuse) at three severities."""
    keys = np.array([[2, 0, 1], [0, 1, 2], [0, 0, 0]])

    assert steps_between(np.array([12.0, 4.0, 0.0]), row_of(keys, 1)) == pytest.approx([8, 8, 0])


def test_a_reading_falls_in_its_own_bin() -> None:
    """By hand: values fifty spreads from every edge between three bins."""
    chances = bin_chances(Band(np.array([0.0, 10.0]), np.full(2, 0.1)), np.array([5.0, 15.0]))

    assert chances.T.tolist() == [pytest.approx([1, 0, 0]), pytest.approx([0, 1, 0])]


def test_ohms_are_compared_by_decades_and_volts_as_they_are() -> None:
    assert scaled(OHMS, 9.8) == pytest.approx(1)
    assert scaled(OHMS, 1e12) == scaled(OHMS, LARGEST_OHMS)
    assert scaled(VOLTS, 9.8) == 9.8
    assert unscaled(OHMS, float(scaled(OHMS, 47.0))) == pytest.approx(47)
    assert unscaled(OHMS, float(np.log10(LEAD_OHMS)) - 1) == 0


def test_the_density_is_that_of_student_s_law() -> None:
    """By hand: 3/8 at the mean, and 3/8 (5/4)^-2.5 one spread off."""
    band = Band(np.array([12.0, 12.0]), np.array([1.0, 0.5]))

    assert density(band, 12.0, 12.0) == pytest.approx([0.375, 0.75])
    assert density(band, 13.0, 13.0)[0] == pytest.approx(0.21466, abs=1e-4)


def test_a_misplaced_probe_shows_another_reading_of_the_rig(bowser: Bench) -> None:
    """Nothing and the battery's own volts are common on it, half of them is nowhere on a rig whose
    wires are sound, and then only a guess is left; by hand, its share over the range."""
    h = bowser.hypotheses
    dry = int(np.flatnonzero(h.mode == h.modes.index("supply-empty"))[0])

    def astray(value: float, reading: Reading = VOLTS) -> float:
        return float(explained(bowser.predictions, Measured(reading, value)).mistaken[dry])

    table = bowser.model.figures.table("misplaced-probe")
    guess = table.row("anything")["share"] * guess_density(
        VOLTS, 6.0, range_width(bowser.predictions, VOLTS)
    )

    assert sum(table.column("share")) == pytest.approx(1)
    assert guess <= astray(6.0) < 1.5 * guess
    assert astray(0.0) > 100 * guess
    assert astray(12.6) > 10 * guess
    assert astray(LARGEST_OHMS, OHMS) > 10 * astray(300.0, OHMS)


def test_a_guess_is_even_by_decades() -> None:
    """By hand: over 16 V down to 0.16 V the density is 1 / (V (1 + ln 100)), and all of it is 1."""
    values = (np.arange(16_000) + 0.5) / 1_000

    assert guess_density(VOLTS, 4.0, 16.0) == pytest.approx(1 / (4 * (1 + np.log(100))))
    assert np.mean([guess_density(VOLTS, one, 16.0) for one in values]) * 16 == pytest.approx(
        1, rel=1e-3
    )
    assert guess_density(OHMS, 2.0, 8.0) == 1 / 8


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

    assert again.error_rate == pytest.approx(
        first.error_rate * bowser.predictions.slips.unchecked_rate
    )
    assert np.array_equal(again.correct, first.correct)
