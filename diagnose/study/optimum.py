"""The best that any order of tests could do, exactly, on problems small enough for it.

A problem has a few causes, each with its probability and its repair, and a few tests whose outcome
each cause fixes. It is solved when all causes that are left share one repair, or no test tells
them apart any more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.parameters import Array
from diagnose.reasoning.next_test import entropy, gain

Ints = NDArray[np.intp]
Left = int
"""The causes that are left, one bit each."""


@dataclass
class Problem:
    """p: probability of each cause; repair: its repair, by number; outcome: of each test (row)
    under each cause; cost: of each test (column) by the state the rig is in (row), as minutes or
    plain; after: the state that each test leaves, likewise."""

    p: Array
    repair: Ints
    outcome: Ints
    cost: Array
    after: Ints
    _known: dict[tuple[Left, int], tuple[float, int]] = field(default_factory=dict)

    @classmethod
    def plain(
        cls,
        p: Sequence[float],
        outcome: Sequence[Sequence[int]],
        cost: Sequence[float] | None = None,
        repair: Sequence[int] | None = None,
    ) -> Problem:
        """A problem whose tests cost the same in every state (1 unless given)."""
        tests = len(outcome)
        price = np.ones((1, tests)) if cost is None else np.array([cost], dtype=np.float64)
        groups = np.arange(len(p)) if repair is None else np.asarray(repair)
        probability = np.asarray(p, dtype=np.float64)
        table = np.asarray(outcome, dtype=np.intp)
        return cls(probability / probability.sum(), groups, table, price, np.zeros_like(price, int))

    @property
    def everything(self) -> Left:
        return (1 << len(self.p)) - 1

    def causes(self, left: Left) -> list[int]:
        return [i for i in range(len(self.p)) if left >> i & 1]

    def solved(self, left: Left) -> bool:
        return len({int(self.repair[i]) for i in self.causes(left)}) == 1

    def parts(self, left: Left, test: int) -> list[tuple[Left, float]]:
        """What is left after each outcome of a test, with its chance."""
        parts: dict[int, Left] = {}
        for i in self.causes(left):
            outcome = int(self.outcome[test, i])
            parts[outcome] = parts.get(outcome, 0) | 1 << i
        whole = self._weight(left)
        return [(part, self._weight(part) / whole) for part in parts.values()]

    def _weight(self, left: Left) -> float:
        return float(self.p[self.causes(left)].sum())

    def useful(self, left: Left) -> list[int]:
        """The tests that tell the remaining causes apart at all."""
        return [t for t in range(len(self.outcome)) if len(self.parts(left, t)) > 1]

    def best(self, left: Left, state: int = 0) -> tuple[float, int]:
        """Least expected cost from here, and the first test of it (-1: nothing to do)."""
        key = (left, state)
        if key not in self._known:
            choices = [] if self.solved(left) else self.useful(left)
            options = [(self.after_test(left, state, t, self._least), t) for t in choices]
            self._known[key] = min(options, default=(0.0, -1))
        return self._known[key]

    def _least(self, left: Left, state: int) -> float:
        return self.best(left, state)[0]

    def after_test(
        self, left: Left, state: int, test: int, rest: Callable[[Left, int], float]
    ) -> float:
        """Cost of a test now, and of what follows by `rest`."""
        now, then = float(self.cost[state, test]), int(self.after[state, test])
        return now + sum(chance * rest(part, then) for part, chance in self.parts(left, test))

    def follow(self, choose: Choice, left: Left | None = None, state: int = 0) -> float:
        """Expected cost of a policy."""
        left = self.everything if left is None else left
        useful = [] if self.solved(left) else self.useful(left)
        if not useful:
            return 0.0
        test = choose(self, left, state, useful)
        return self.after_test(left, state, test, lambda part, s: self.follow(choose, part, s))


Choice = Callable[[Problem, Left, int, list[int]], int]
"""The next test, of those that are useful."""


def information(problem: Problem, left: Left, test: int) -> float:
    """What a test tells about the repair [bit]; the same sum by which the tool chooses."""
    causes = problem.causes(left)
    rows = {int(o): i for i, o in enumerate(np.unique(problem.outcome[test]))}
    columns = {int(r): i for i, r in enumerate(np.unique(problem.repair))}
    joint = np.zeros((len(rows), len(columns)))
    for i in causes:
        outcome, repair = int(problem.outcome[test, i]), int(problem.repair[i])
        joint[rows[outcome], columns[repair]] += problem.p[i]
    return gain(joint / joint.sum())


def most_bits(problem: Problem, left: Left, state: int, useful: list[int]) -> int:
    """The test that teaches most; the first of equals."""
    return max(useful, key=lambda test: (round(information(problem, left, test), 12), -test))


def most_bits_per_cost(problem: Problem, left: Left, state: int, useful: list[int]) -> int:
    """The test that teaches most for its cost, as the tool chooses; the first of equals."""

    def rate(test: int) -> float:
        return information(problem, left, test) / float(problem.cost[state, test])

    return max(useful, key=lambda test: (round(rate(test), 12), -test))


def in_order(order: Sequence[int]) -> Choice:
    """A fixed order, tests that can teach nothing left out."""

    def choose(problem: Problem, left: Left, state: int, useful: list[int]) -> int:
        return next(test for test in order if test in useful)

    return choose


def huffman(p: Sequence[float], ways: int = 2) -> float:
    """Least mean number of tests with `ways` outcomes that could tell the causes apart.

    Source: Huffman 1952, Proc. IRE 40:1098-1101; entropy <= this <= any tree of tests.
    """
    missing = 0 if ways < 3 else -(len(p) - 1) % (ways - 1)
    heap = [*map(float, p), *[0.0] * missing]
    heapify(heap)
    length = 0.0
    while len(heap) > 1:
        joined = sum(heappop(heap) for _ in range(min(ways, len(heap))))
        length += joined
        heappush(heap, joined)
    return length


def bound(problem: Problem) -> float:
    """No policy costs less: Huffman length over the repairs, times the cheapest test."""
    repairs = np.bincount(problem.repair, problem.p)
    ways = max(len(np.unique(row)) for row in problem.outcome)
    return huffman(repairs[repairs > 0].tolist(), max(ways, 2)) * float(problem.cost.min())


def uncertainty(p: Sequence[float]) -> float:
    """Entropy of the causes [bit]."""
    return float(entropy(np.asarray(p, dtype=np.float64)))


def checking_order(p: Sequence[float], cost: Sequence[float]) -> list[int]:
    """The order in which to try causes one by one: descending p/c, which is optimal.

    Source: Kadane and Simon 1977, for independent actions that each find and cure one cause.
    """
    return sorted(range(len(p)), key=lambda i: (-p[i] / cost[i], i))


def checking_cost(p: Sequence[float], cost: Sequence[float], order: Sequence[int]) -> float:
    """Expected cost of trying causes in an order until one of them was it."""
    spent = np.cumsum([cost[i] for i in order])
    return float(sum(p[i] * s for i, s in zip(order, spent, strict=True)))
