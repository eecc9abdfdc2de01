"""What is taken, asked and left alone, by words and likeness together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.phrases import EITHER, Match
from diagnose.phrases.likeness import learn
from diagnose.phrases.records import CLEAR, NEAR
from diagnose.phrases.sureness import Case, fit, sureness
from diagnose.phrases.weighing import Weighing
from tests.phrases.reading import read, taken, to_ask

NOTHING = Case(0.0, 0.0, 0.0, False, False, False, False, False, False)
SILENT, HUMS = ("pump-action", "silent"), ("pump-action", "hums")


def test_the_weights_make_the_likelihood_greatest() -> None:
    """At its maximum the slope of the penalised likelihood is nothing: the sum of what was missed,
    times each regressor, is the weight itself (Hastie, Tibshirani & Friedman, The Elements of
    Statistical Learning, section 4.4.1, with the penalty of section 4.4.4)."""
    chance = np.random.default_rng(1)
    cases = [replace(NOTHING, score=float(s), told=s > 0.5) for s in chance.uniform(0, 1, 200)]
    right = [bool(one.score > chance.uniform()) for one in cases]
    weights = fit(cases, right)
    missed = np.array(right) - np.array([sureness(one, weights) for one in cases])
    assert missed @ np.array([one.terms() for one in cases]) == pytest.approx(weights, abs=1e-6)


def test_what_is_as_likely_as_not_comes_out_as_a_half() -> None:
    assert sureness(NOTHING, fit([NOTHING, NOTHING], [True, False])) == pytest.approx(0.5)


def _weighing(trust: float, named: tuple[Match, ...]) -> Weighing:
    """How sure all is: a constant."""
    told = [("stone dead", [SILENT])] * 9 + [("it hums away", [HUMS])] * 9
    weights = np.array([trust] + [0.0] * (len(NOTHING.terms()) - 1))
    likeness = replace(learn(told), trust=weights)
    return Weighing(likeness, likeness.scores("stone dead"), named, "")


@pytest.mark.parametrize(
    ("trust", "before", "after"),
    [(5.0, CLEAR, CLEAR), (-5.0, CLEAR, EITHER), (5.0, EITHER, NEAR), (-5.0, EITHER, EITHER)],
)
def test_words_are_taken_where_likeness_bears_them_out(
    trust: float, before: str, after: str
) -> None:
    match = Match(*SILENT, "dead", before)
    assert [one.strength for one in _weighing(trust, (match,)).weighed()] == [after]


def test_what_the_words_leave_open_is_asked_however_likely() -> None:
    match = Match(*SILENT, "dead", EITHER, doubted=True)
    assert list(_weighing(9.0, (match,)).weighed()) == [match]


def test_of_two_answers_to_a_question_none_is_taken_for_its_likeness() -> None:
    both = Match(*SILENT, "dead", EITHER), Match(*HUMS, "hums", EITHER)
    assert list(_weighing(9.0, both).weighed()) == [*both]


def test_what_figures_tell_stands() -> None:
    match = Match(*SILENT, "10, should be 20", CLEAR)
    weighing = replace(_weighing(-9.0, (match,)), exact=(match,))
    assert list(weighing.weighed()) == [match]


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("someone hooked the battery up backwards", "connected-reversed=battery"),
        ("quits after about ten minutes", "pump-action=starts-then-stops"),
        ("pump keeps running", "pump-when-satisfied=keeps-running"),
        ("no water but I can hear the motor", "flow=none"),
        ("weak spray at the far end", "flow=weak"),
        ("pulses on and off with the tap shut", "pump-when-satisfied=restarts-by-itself"),
        ("won't prime", "priming=never"),
    ],
)
def test_everyday_words_are_taken(text: str, means: str) -> None:
    """What each means is a reader's judgement."""
    assert means in taken(read(text))


@pytest.mark.parametrize(
    "text",
    [
        "blew another fuse",
        "trips the breaker",
        "works when I jump it with a wire",
        "it just clicks",
    ],
)
def test_what_may_be_one_of_several_is_offered_and_not_taken(text: str) -> None:
    found = read(text)
    assert found.matches
    assert not taken(found)


def test_hearsay_is_asked_however_alike() -> None:
    found = read("the neighbour reckons it might be that the fuse is blown")
    assert "main-fuse-element=open" in to_ask(found)
    assert not taken(found)
