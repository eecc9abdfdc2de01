"""How often a person is wrong, by hand."""

import numpy as np
import pytest

from diagnose.figures import shipped_figures
from diagnose.reasoning.error_models import LikelihoodTerms, ResponseErrors

ERRORS = ResponseErrors(
    relative_rate=np.array([0.5, 3.0]),
    share=np.array([0.8, 0.2]),
    unchecked_rate=0.4,
    outlier_rate=0.5,
)
"""Four persons in five err half as often as people do at a test, the fifth three times as often."""


def test_a_person_errs_in_proportion_to_what_the_test_makes_hard() -> None:
    """By hand: at 0.1 stated 0.05 and 0.3, together 0.8 * 0.05 + 0.2 * 0.3 = 0.1; nobody above 0.6;
    given twice alike, 0.4 of it."""
    assert ERRORS.error_rate(0.1) == pytest.approx([0.05, 0.3])
    assert ERRORS.error_rate(0.1) @ ERRORS.share == pytest.approx(0.1)
    assert ERRORS.error_rate(0.4) == pytest.approx([0.2, 0.6])
    assert ERRORS.error_rate(0.1, sure=True) == pytest.approx([0.02, 0.12])


def test_the_shipped_kinds_err_as_often_as_a_test_says_on_average() -> None:
    shipped = ResponseErrors.of(shipped_figures())
    assert shipped.error_rate(0.05) @ shipped.share == pytest.approx(0.05)


def test_a_finding_under_the_named_and_under_the_unknown() -> None:
    """By hand: 0.8 * 0.9 + 0.2 * 0.05; the unknown is half their average and half flat."""
    one = LikelihoodTerms(
        correct=np.array([0.9, 0.1]),
        mistaken=np.array([0.05, 0.45]),
        uninformed=0.25,
        error_rate=np.array([0.0, 0.2]),
        weight=np.array([0.75, 0.25]),
        outlier_rate=0.5,
    )

    assert one.likelihood() == pytest.approx(np.array([[0.9, 0.1], [0.73, 0.17]]))
    assert np.exp(one.log_likelihood[:, -1]) == pytest.approx([0.475, 0.42])
    assert one.correct_probability(np.array([0.0, 1.0])) == pytest.approx(
        [0.72 / 0.73, 0.08 / 0.17]
    )
