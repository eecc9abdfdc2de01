"""Scores; worked examples of others are held against them in tests/outside."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.study.scores import (
    brier_parts,
    calibration,
    calibration_error,
    log_loss,
    share,
)


def test_no_single_miss_is_infinitely_dear():
    assert log_loss([0.0]) == pytest.approx(-math.log(1e-6))


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 9), st.booleans()), min_size=1, max_size=60))
def test_the_parts_add_up_when_forecasts_within_a_bin_are_equal(cases):
    parts = brier_parts([(tenth + 0.5) / 10 for tenth, _ in cases], [right for _, right in cases])

    assert parts.brier == pytest.approx(parts.reliability - parts.resolution + parts.uncertainty)


def test_a_certain_forecast_belongs_to_the_last_bin():
    (row,) = calibration([1.0, 0.9], [True, False])

    assert (row.low, row.high, row.n) == (0.9, 1.0, 2)


def test_a_share_of_nothing_says_nothing():
    assert (share(0, 0).low, share(0, 0).high) == (0.0, 1.0)


def test_probabilities_that_are_meant_are_found_calibrated():
    random = np.random.default_rng(1)
    stated = random.uniform(0, 1, 20000)
    right = random.uniform(0, 1, 20000) < stated

    assert calibration_error(calibration(stated, right)) < 0.015
    assert calibration_error(calibration(stated, ~right)) > 0.3
