"""Scores, against worked examples and reference libraries from outside."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.study.scores import (
    brier,
    brier_parts,
    calibration,
    calibration_error,
    isolation_utility,
    log_loss,
    share,
)


def test_brier_score_of_two_classes():
    # scikit-learn 1.9.1, docstring of brier_score_loss: 0.0375; summed over both classes 0.075.
    y, p = [0, 1, 1, 0], [0.1, 0.9, 0.8, 0.3]

    assert brier([(1 - one, one) for one in p], y) == pytest.approx(0.075)
    assert brier_parts(p, [bool(one) for one in y]).brier == pytest.approx(0.0375)


def test_brier_score_of_three_classes():
    # scikit-learn 1.9.1, same docstring: 0.146, recomputed to 0.146667.
    rows = [[0.8, 0.1, 0.1], [0.2, 0.7, 0.1], [0.2, 0.2, 0.6]]

    assert brier(rows, [0, 1, 2]) == pytest.approx(0.146667, abs=1e-6)


def test_log_loss():
    # scikit-learn 1.9.1, docstring of log_loss: 0.21616.
    assert log_loss([0.9, 0.9, 0.8, 0.65]) == pytest.approx(0.21616, abs=5e-6)


def test_what_a_uniform_guess_over_80_causes_scores():
    # By hand: (1 - 1/80)^2 + 79/80^2 and ln 80.
    assert brier([[1 / 80] * 80], [7]) == pytest.approx(0.9875)
    assert log_loss([1 / 80]) == pytest.approx(4.382027, abs=1e-6)


def test_one_confident_miss_costs_much():
    # By hand: -ln 0.001, -ln 0.2, and 0.999^2 twice.
    assert log_loss([0.001]) == pytest.approx(6.907755, abs=1e-6)
    assert log_loss([0.2]) == pytest.approx(1.609438, abs=1e-6)
    assert brier([[0.001, 0.999]], [0]) == pytest.approx(1.996002)


def test_no_single_miss_is_infinitely_dear():
    assert log_loss([0.0]) == pytest.approx(-math.log(1e-6))


# Murphy 1973, the decomposition from memory; data made for it, recomputed by hand.
FORECAST = [0.1] * 5 + [0.4] * 4 + [0.8] * 5
OUTCOME = [False] * 4 + [True] + [False, True] * 2 + [True, True, True, False, True]


def test_murphy_decomposition():
    parts = brier_parts(FORECAST, OUTCOME)

    assert parts.brier == pytest.approx(0.192143, abs=1e-6)
    assert parts.reliability == pytest.approx(0.006429, abs=1e-6)
    assert parts.resolution == pytest.approx(0.064286, abs=1e-6)
    assert parts.uncertainty == pytest.approx(0.25)


def test_expected_calibration_error():
    assert calibration_error(calibration(FORECAST, OUTCOME)) == pytest.approx(0.064286, abs=1e-6)


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 9), st.booleans()), min_size=1, max_size=60))
def test_the_parts_add_up_when_forecasts_within_a_bin_are_equal(cases):
    parts = brier_parts([(tenth + 0.5) / 10 for tenth, _ in cases], [right for _, right in cases])

    assert parts.brier == pytest.approx(parts.reliability - parts.resolution + parts.uncertainty)


def test_a_certain_forecast_belongs_to_the_last_bin():
    (row,) = calibration([1.0, 0.9], [True, False])

    assert (row.low, row.high, row.n) == (0.9, 1.0, 2)


# Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3 (score, without continuity
# correction), from memory.
@pytest.mark.parametrize(
    ("hits", "n", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)],
)
def test_wilson_interval_of_the_published_examples(hits, n, low, high):
    found = share(hits, n)

    assert (found.low, found.high) == (pytest.approx(low, abs=6e-5), pytest.approx(high, abs=6e-5))


@settings(deadline=None, max_examples=40)
@given(st.integers(1, 3000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_interval_agrees_with_scipy(case):
    stats = pytest.importorskip("scipy.stats", reason="scipy is only a reference here")
    hits, n = case
    found, reference = share(hits, n), stats.binomtest(hits, n).proportion_ci(method="wilson")

    assert found.low == pytest.approx(reference.low, abs=1e-12)
    assert found.high == pytest.approx(reference.high, abs=1e-12)


def test_a_share_of_nothing_says_nothing():
    assert (share(0, 0).low, share(0, 0).high) == (0.0, 1.0)


# Isolation utility of the diagnosis competition: formula of the DX Competition 2026 synthetic
# track (MIT licence), its pairs recomputed for ten components, components 0 and 1 named a and b.
@pytest.mark.parametrize(
    ("named", "true", "utility"),
    [
        ("a", "a", 1.0),
        ("", "a", 0.45),
        ("b", "a", 0.4),
        ("ab", "a", 0.85),
        ("a", "ab", 0.5),
        ("abcdefghij", "a", 0.01),
    ],
)
def test_isolation_utility_of_ten_components(named, true, utility):
    assert isolation_utility(frozenset(named), frozenset(true), 10) == pytest.approx(utility)


def test_probabilities_that_are_meant_are_found_calibrated():
    random = np.random.default_rng(1)
    stated = random.uniform(0, 1, 20000)
    right = random.uniform(0, 1, 20000) < stated

    assert calibration_error(calibration(stated, right)) < 0.015
    assert calibration_error(calibration(stated, ~right)) > 0.3
