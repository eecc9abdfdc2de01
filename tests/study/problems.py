"""Small problems of causes and tests as papers print them, and ways of choosing from papers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.study.optimum import Choice, Left, Problem, information


def plain(
    p: Sequence[float],
    outcome: Sequence[Sequence[int]],
    cost: Sequence[float] | None = None,
    repair: Sequence[int] | None = None,
) -> Problem:
    """A problem whose tests cost the same in every state (1 unless given)."""
    price = np.ones((1, len(outcome))) if cost is None else np.array([cost], dtype=np.float64)
    groups = np.arange(len(p)) if repair is None else np.asarray(repair)
    probability = np.asarray(p, dtype=np.float64)
    table = np.asarray(outcome, dtype=np.intp)
    return Problem(probability / probability.sum(), groups, table, price, np.zeros_like(price, int))


def most_bits(problem: Problem, left: Left, state: int, useful: list[int]) -> int:
    """The test that teaches most; the first of equals."""
    return max(useful, key=lambda test: (round(information(problem, left, test), 12), -test))


def in_order(order: Sequence[int]) -> Choice:
    """A fixed order, tests that can teach nothing left out."""
    return lambda problem, left, state, useful: next(test for test in order if test in useful)
