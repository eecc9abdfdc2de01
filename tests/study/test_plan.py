"""What a study plays."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.study.plan import RATES, dealt, full, quick, spread


@given(st.integers(0, 500), st.integers(1, 60))
def test_things_are_dealt_evenly_and_none_is_lost(count, over):
    dealt_out = spread(count, over)

    assert sum(dealt_out) == count
    assert max(dealt_out) - min(dealt_out) <= 1


def test_every_failure_mode_gets_its_cases_on_rigs_that_can_have_it():
    can_have = [frozenset("abc"), frozenset("ab"), frozenset("ad")]

    hands = dealt(can_have, 4)

    assert all(set(hand) <= here for hand, here in zip(hands, can_have, strict=True))
    assert sorted(name for hand in hands for name in hand) == sorted("abcd" * 4)
    assert [hand.count("a") for hand in hands] in ([1, 1, 2], [1, 2, 1], [2, 1, 1])
    assert [hand.count("b") for hand in hands] == [2, 2, 0]


@pytest.mark.parametrize("wrong", [0.0, 0.05, 0.1, 0.2])
def test_the_curve_of_wrong_answers_is_whole(wrong):
    plan = full(2000, 1, wrong)
    rates = {terms.person.wrong for terms, count in plan.again if count == plan.curve}

    assert rates | {plan.main.person.wrong} == set(RATES)


def test_terms_are_told_apart_by_name():
    for plan in (full(2000, 1), quick(1)):
        names = [plan.main.name, *(terms.name for terms, _ in plan.again)]
        assert len(names) == len(set(names))


def test_a_study_of_one_case_is_one_case_on_one_rig():
    plan = full(1, 1)

    assert (plan.cases, plan.rigs, plan.times, plan.held, plan.pairs) == (1, 1, 0, 0, 0)
