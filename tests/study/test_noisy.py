"""The exact optimum with misleading tests, against brute force and against the plain one."""

import numpy as np
import pytest

from tests.study.optimum import NoisyProblem
from tests.study.problems import plain as plain_problem

NEVER = (1.1, 0.0)
"""The tool's rule to stop: a repair is so likely, or no test gives so many bits a minute."""


def problem(seed, vain=20.0, stop=NEVER, causes=4, tests=3):
    random = np.random.default_rng(seed)
    chances = tuple(random.dirichlet(np.ones(2), causes).T for _ in range(tests))
    cost = random.uniform(0.5, 4, (1, tests))
    p = random.dirichlet(np.ones(causes))
    repair = random.integers(0, 3, causes)
    return NoisyProblem(p, repair, chances, cost, np.zeros((1, tests), dtype=int), vain, *stop)


def brute_force(case, weight, left):
    """Least expected cost by trying everything, beliefs normalised at every step."""
    p = weight / weight.sum()
    least = case.vain * sum(
        rank * share for rank, share in enumerate(sorted(np.bincount(case.repair, p))[::-1])
    )
    for test in left:
        rest = [other for other in left if other != test]
        spent = case.cost[0, test]
        for row in case.chances[test]:
            spent += float(row @ p) * brute_force(case, row * p, rest)
        least = min(least, spent)
    return least


@pytest.mark.parametrize("seed", range(5))
def test_optimum_is_that_of_brute_force(seed):
    case = problem(seed)

    assert case.best() == pytest.approx(brute_force(case, case.p, [0, 1, 2]))


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("stop", [NEVER, (0.9, 0.03), (0.0, 0.0)])
def test_the_tool_is_never_better_than_the_optimum(seed, stop):
    case = problem(seed, stop=stop, causes=6)

    assert case.best() <= case.tool() + 1e-9


def test_with_certain_outcomes_and_dear_repairs_it_is_the_plain_optimum():
    # All causes can be told apart, so nobody would repair in vain at such a price.
    outcome = np.array([[0, 0, 1, 1], [0, 1, 0, 1], [0, 1, 1, 1]])
    plain = plain_problem([0.4, 0.3, 0.2, 0.1], outcome, [2.0, 3.0, 1.0])
    certain = tuple(np.stack([row == 0, row == 1]).astype(float) for row in outcome)
    noisy = NoisyProblem(
        plain.p, np.arange(4), certain, plain.cost, plain.after, vain=1e6, sure=0.999999
    )

    assert noisy.best() == pytest.approx(plain.best(plain.everything)[0])
    assert noisy.tool() >= noisy.best() - 1e-9


def test_who_stops_at_once_pays_for_repairs_in_vain():
    case = problem(1, stop=(0.0, 0.0))
    shares = np.sort(np.bincount(case.repair, case.p))[::-1]

    # One repair after the other, the last of them right and not in vain.
    trying = sum(case.vain * before * share for before, share in enumerate(shares))
    assert case.tool() == pytest.approx(trying)


def test_tests_that_cost_more_than_they_save_are_not_done():
    case = problem(2, vain=0.1)

    assert case.best() == pytest.approx(case.mending(case.p))
