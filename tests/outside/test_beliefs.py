"""What the examples of belief_tables.py and worth_tables.py say beside their figures."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.posterior import explained, normalised, posterior
from tests.outside.belief_tables import (
    ORACLES,
    READING,
    SIX_DECIMALS,
    causes,
    metered,
    told,
    yes,
)
from tests.outside.worth_tables import noisy


def test_asking_the_same_again_adds_nothing() -> None:
    once, twice = ORACLES["posterior"][-2:]
    chances = np.array([once["chances"]["first"]["fault"], once["chances"]["first"]["sound"]])
    predictions = told(causes(list(once["prior"].values())), {"first": chances})

    belief = posterior(predictions, yes(["first", "first"]))

    assert belief.mode[0] == pytest.approx(once["expect"]["fault"], abs=SIX_DECIMALS)
    assert belief.mode[0] < twice["expect"]["fault"] / 4


def test_meter_reading_and_a_wholly_unknown_fault() -> None:
    """The example's unknown fault reads anything over the range, unlike ours."""
    row = ORACLES["meter-reading"]
    predictions = metered()
    for value, expected in row["expect"].items():
        (named,) = explained(predictions, Measured(READING, value)).likelihood()
        prior = np.append(predictions.hypotheses.weight, predictions.hypotheses.other)

        belief = normalised(np.log(prior) + np.log(np.append(named, 1 / row["range"])))

        assert belief == pytest.approx(np.array([*expected.values()]), abs=SIX_DECIMALS)


def test_a_reading_that_nothing_predicts_raises_the_unknown() -> None:
    predictions = metered()
    leading = {
        value: posterior(predictions, [Measured(READING, value)]).ranking[0]
        for value in ORACLES["meter-reading"]["expect"]
    }
    assert [name for name, _ in leading.values()] == ["cause 0", "cause 1", OTHER]
    assert leading[8.0][1] > 0.5


def test_noisy_tests_come_in_the_order_of_bits_a_minute() -> None:
    chooser = noisy("ABC", {})
    worths = chooser.gains(posterior(chooser.outcomes.predictions, []), set("ABC"), "calling")

    assert [worth.test.id for worth in worths] == ["C", "A", "B"]
