"""What a test is worth, and when to stop, by hand."""

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.figures import shipped_figures
from diagnose.reasoning.available_tests import cost
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.information import entropy, information_gain
from diagnose.reasoning.next_test import ExpectedGain, least_rate, reason_to_stop
from diagnose.reasoning.outcome_table import joint_probabilities
from diagnose.reasoning.posterior import by_repair, posterior
from diagnose.reasoning.predictions import mistaken

FIGURES = shipped_figures()


def test_entropy_and_gain_of_a_coin() -> None:
    """Source: Shannon 1948: a fair coin is one bit; what tells all of it gives it all."""
    assert entropy(np.array([0.5, 0.5])) == pytest.approx(1)
    assert entropy(np.array([1.0, 0.0])) == 0
    assert information_gain(np.array([[0.5, 0.0], [0.0, 0.5]])) == pytest.approx(1)
    assert information_gain(np.full((2, 2), 0.25)) == pytest.approx(0, abs=1e-12)
    assert information_gain(np.array([[0.4, 0.1], [0.1, 0.4]])) == pytest.approx(0.2780719)


def test_a_bit_may_take_half_the_time_of_a_repair_in_vain() -> None:
    assert least_rate(FIGURES) == pytest.approx(1 / (FIGURES.get("repair-in-vain", "min") / 2))


def test_a_test_costs_its_minutes_the_asking_and_a_change_of_state(bowser: Bench) -> None:
    ohms = bowser.tests["voltage battery+ battery- rest"]
    asking, change = (FIGURES.get(name, "min") for name in ("asking-time", "state-change-time"))

    assert cost(ohms, "calling", FIGURES) == ohms.minutes + asking + change
    assert cost(ohms, "rest", FIGURES) == ohms.minutes + asking
    assert cost(bowser.tests["flow"], "rest", FIGURES) == bowser.tests["flow"].minutes + asking


def test_chances_of_every_test_add_up_to_the_belief(bowser: Bench) -> None:
    belief = posterior(bowser.predictions, [Seen("pump-action", "slow")])
    chances, group = bowser.chooser.outcomes, bowser.chooser.repair_numbers(belief.hypotheses)
    table = joint_probabilities(chances, belief, group)
    whole = np.add.reduceat(table, chances.start[:-1])
    repairs = by_repair(belief.ranking, bowser.shop.repair)

    assert whole.sum(axis=1) == pytest.approx(np.ones(len(chances.tests)), abs=1e-6)
    assert np.sort(whole[0]) == pytest.approx(np.sort(list(repairs.values())), abs=1e-6)


def test_chances_with_this_person_are_those_of_that_share_of_mistakes(bowser: Bench) -> None:
    """A hasty person's answers, computed from scratch beside those of all tests together, where
    one hypothesis is certain; the first is told by the entry alone, the others by the circuit."""
    predictions, chances = bowser.predictions, bowser.chooser.outcomes
    person = np.zeros(len(predictions.slips.relative_rate))
    person[2] = 1.0
    times, more = chances.answered_by(person)
    certain = np.zeros(len(bowser.hypotheses))
    certain[1234] = 1.0
    whole = chances.joint(certain, np.zeros(len(certain), dtype=np.intp))[0]
    for name in ("onset", "relay-sound", "flow"):
        place = next(i for i, test in enumerate(chances.tests) if test.id == name)
        rows = slice(chances.start[place], chances.start[place + 1])
        stated = bowser.shop.catalogue.observations[name].wrong
        wrong = float(predictions.slips.error_rate(stated)[2])
        afresh = mistaken(predictions.plain(name), wrong)[:, 1234]

        assert pytest.approx(afresh) == whole[rows] * times[rows] + more[rows]


def test_a_misplaced_probe_falls_in_any_bin(bowser: Bench) -> None:
    """By hand: of a share e of mistakes each of k bins gets e / k, and its own chance times 1 - e
    beside it."""
    predictions, chances = bowser.predictions, bowser.chooser.outcomes
    person = np.zeros(len(predictions.slips.relative_rate))
    person[1] = 1.0
    times, more = chances.answered_by(person)
    wrong = float(predictions.slips.error_rate(FIGURES.get("misread"))[1])
    place = [test.id for test in chances.tests].index("voltage motor+ motor- calling")
    rows = slice(chances.start[place], chances.start[place + 1])

    assert times[rows] == pytest.approx(1 - wrong)
    assert more[rows].sum() == pytest.approx(wrong)


def test_chances_of_all_tests_side_by_side_are_those_of_each(bowser: Bench) -> None:
    predictions, chances = bowser.predictions, bowser.chooser.outcomes
    columns = chances.columns
    for name in ("onset", "relay-sound", "flow"):
        place = next(i for i, test in enumerate(chances.tests) if test.id == name)
        rows = slice(chances.start[place], chances.start[place + 1])

        assert pytest.approx(predictions.chances(name).T) == columns[:, rows]


def test_worths_come_best_first_and_only_of_what_is_allowed(bowser: Bench) -> None:
    belief = posterior(bowser.predictions, [Seen("pump-action", "slow")])
    allowed = {"flow", "onset", "voltage motor+ motor- calling"}
    found = bowser.chooser.gains(belief, allowed, "calling")

    assert {worth.test.id for worth in found} == allowed
    assert [w.rate for w in found] == sorted((w.rate for w in found), reverse=True)
    assert all(worth.rate == worth.bits / worth.minutes for worth in found)


@pytest.mark.parametrize(
    ("probability", "other", "rate", "asked", "why"),
    [
        (0.95, 0.02, 1.0, 3, "one repair is likely enough"),
        (0.95, 0.2, 1.0, 3, ""),
        (0.5, 0.02, 1.0, 3, ""),
        (0.5, 0.02, 0.001, 3, "no test that is left would teach enough for its time"),
        (0.5, 0.02, 1.0, 24, "enough has been asked"),
        (0.5, 0.02, None, 3, "nothing more can be asked safely"),
    ],
)
def test_when_to_stop(
    bowser: Bench, probability: float, other: float, rate: float | None, asked: int, why: str
) -> None:
    belief = posterior(bowser.predictions, [])
    object.__setattr__(belief, "other", other)
    repairs = {"replace-motor": probability, "not-in-the-book": other}
    worths = [] if rate is None else [ExpectedGain(bowser.tests["flow"], rate, 1.0)]

    assert reason_to_stop(belief, repairs, worths, FIGURES, asked) == why
