"""The tool's choice of questions against the exact optimum, on small parts of real rigs.

A problem has a few causes, each with its probability and its repair, and a few tests. Where each
cause fixes the outcome of each test, it is solved when all causes that are left share one repair,
or no test tells them apart any more. Where tests can mislead, one may stop at any time and mend,
the likeliest repair first, until the rig works.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush

import numpy as np
from numpy.typing import NDArray

from diagnose.bench import Bench
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test, cost
from diagnose.reasoning.information import information_gain
from diagnose.reasoning.next_test import least_rate

Ints = NDArray[np.intp]
Left = int
"""The causes that are left, one bit each."""

Asked = tuple[int, ...]
"""Outcome of each test, -1 where it has not been asked."""

CAUSES, TESTS, NOISY_TESTS = 10, 10, 6
"""Sizes that can be computed exactly: plain problems, and fewer tests where answers mislead."""

OUTCOMES = 3
"""Outcomes of a test that are told apart where answers mislead; the rarer ones are joined."""

TRIES = 50


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

    @property
    def everything(self) -> Left:
        return (1 << len(self.p)) - 1

    def causes(self, left: Left) -> list[int]:
        return [i for i in range(len(self.p)) if left >> i & 1]

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
        """The tests that tell the remaining causes apart; none once they share a repair."""
        if len({int(self.repair[i]) for i in self.causes(left)}) == 1:
            return []
        return [t for t in range(len(self.outcome)) if len(self.parts(left, t)) > 1]

    def best(self, left: Left, state: int = 0) -> tuple[float, int]:
        """Least expected cost from here, and the first test of it (-1: nothing to do)."""
        key = (left, state)
        if key not in self._known:
            rest = self._least
            options = [(self.after_test(left, state, t, rest), t) for t in self.useful(left)]
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
        useful = self.useful(left)
        if not useful:
            return 0.0
        test = choose(self, left, state, useful)
        return self.after_test(left, state, test, lambda part, s: self.follow(choose, part, s))


Choice = Callable[[Problem, Left, int, list[int]], int]
"""The next test, of those that are useful."""


def information(problem: Problem, left: Left, test: int) -> float:
    """What a test tells about the repair [bit]; the same sum by which the tool chooses."""
    causes = problem.causes(left)
    both = (problem.outcome[test], problem.repair)
    row, column = (np.unique(one, return_inverse=True)[1] for one in both)
    joint = np.zeros((row.max() + 1, column.max() + 1))
    np.add.at(joint, (row[causes], column[causes]), problem.p[causes])
    return information_gain(joint / joint.sum())


def most_bits_per_cost(problem: Problem, left: Left, state: int, useful: list[int]) -> int:
    """The test that teaches most for its cost, as the tool chooses; the first of equals."""
    rates = {t: information(problem, left, t) / float(problem.cost[state, t]) for t in useful}
    return max(useful, key=lambda test: (round(rates[test], 12), -test))


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


@dataclass
class NoisyProblem:
    """p, repair, cost, after: as in Problem; chances: of each test's outcomes (rows) under each
    cause (columns); vain: minutes that one wrong repair costs. The tool stops when a repair is as
    likely as `sure`, or no test gives `least` bits a minute. Beliefs are kept as weights: the
    chance of the answers so far together with each cause."""

    p: Array
    repair: Ints
    chances: Sequence[Array]
    cost: Array
    after: Ints
    vain: float
    sure: float = 1.1
    least: float = 0.0
    _known: dict[tuple[Asked, int], float] = field(default_factory=dict)

    def mending(self, weight: Array) -> float:
        """Cost of stopping now: repairs tried in falling probability, the right one free."""
        by_repair = np.sort(np.bincount(self.repair, weight))[::-1]
        return self.vain * float(by_repair @ np.arange(len(by_repair)))

    def best(self) -> float:
        """Least expected cost of any policy."""
        self._known.clear()
        return self._best(self.p, (-1,) * len(self.chances), 0)

    def _best(self, weight: Array, asked: Asked, state: int) -> float:
        key = (asked, state)
        if key not in self._known:
            least, mass = self.mending(weight), float(weight.sum())
            for test in (t for t, outcome in enumerate(asked) if outcome < 0):
                spent = float(self.cost[state, test]) * mass
                if spent < least:  # or the test alone costs more than stopping
                    then = int(self.after[state, test])
                    rest = [self._best(w, a, then) for w, a in self._next(weight, asked, test)]
                    least = min(least, spent + sum(rest))
            self._known[key] = least
        return self._known[key]

    def _next(self, weight: Array, asked: Asked, test: int) -> list[tuple[Array, Asked]]:
        return [
            (weight * row, (*asked[:test], outcome, *asked[test + 1 :]))
            for outcome, row in enumerate(self.chances[test])
        ]

    def tool(self) -> float:
        """Expected cost of the tool's way: most bits a minute, and its own rule to stop."""
        return self._tool(self.p, (-1,) * len(self.chances), 0)

    def _tool(self, weight: Array, asked: Asked, state: int) -> float:
        rates = {t: self._rate(weight, t, state) for t, outcome in enumerate(asked) if outcome < 0}
        test = max(rates, key=lambda t: (round(rates[t], 12), -t), default=-1)
        most = float(np.bincount(self.repair, weight).max())
        if test < 0 or most >= self.sure * float(weight.sum()) or rates[test] < self.least:
            return self.mending(weight)
        then = int(self.after[state, test])
        rest = [self._tool(w, after, then) for w, after in self._next(weight, asked, test)]
        return float(self.cost[state, test] * weight.sum()) + sum(rest)

    def _rate(self, weight: Array, test: int, state: int) -> float:
        """Bits about the repair for a minute of this test."""
        joint = np.zeros((len(self.chances[test]), int(self.repair.max()) + 1))
        np.add.at(joint.T, self.repair, (self.chances[test] * weight).T)
        return information_gain(joint / joint.sum()) / float(self.cost[state, test])


@dataclass(frozen=True)
class Regret:
    """Expected minutes of one subset. floor: no policy costs less; in_vain: without any test,
    repairs in falling probability; noisy_*: the same with answers that may mislead."""

    best: float
    tool: float
    floor: float
    noisy_best: float
    noisy_tool: float
    in_vain: float


def _causes(bench: Bench, random: np.random.Generator) -> Ints:
    """Columns of different failure modes, drawn by their probability."""
    h = bench.hypotheses
    columns = random.choice(len(h), size=CAUSES * 20, p=h.weight / h.weight.sum())
    _, first = np.unique(h.mode[columns], return_index=True)
    return np.asarray(columns[np.sort(first)][:CAUSES], dtype=np.intp)


def _fewer(rows: Array) -> Array:
    """The same test with its rarest outcomes taken together."""
    if len(rows) <= OUTCOMES:
        return rows
    order = np.argsort(-rows.sum(axis=1), kind="stable")
    kept, rest = rows[order[: OUTCOMES - 1]], rows[order[OUTCOMES - 1 :]]
    return np.concatenate([kept, rest.sum(axis=0, keepdims=True)])


def _tables(bench: Bench, columns: Ints) -> dict[str, Array]:
    """Chances of every test on the rig that can tell some of these causes apart."""
    chances = bench.chooser.outcomes
    here = chances.columns[columns]
    found = {}
    for test, a, b in zip(chances.tests, chances.start[:-1], chances.start[1:], strict=True):
        rows = here[:, a:b].T
        rows = rows / rows.sum(axis=0)
        if len(np.unique(rows.argmax(axis=0))) > 1:
            found[test.id] = rows
    return found


def _prices(bench: Bench, tests: Sequence[Test]) -> tuple[Array, Ints]:
    """Minutes of each test by the state the rig is in, and the state it leaves."""
    states = ["calling", *sorted({test.state for test in tests} - {"calling", "off"})]
    price = [[cost(test, state, bench.model.figures) for test in tests] for state in states]
    left = [[state if test.state == "off" else test.state for test in tests] for state in states]
    after = [[states.index(state) for state in row] for row in left]
    return np.array(price), np.array(after, dtype=np.intp)


def _drawn(bench: Bench, random: np.random.Generator) -> tuple[Ints, dict[str, Array]]:
    """Some causes, and the chances of some tests under them that tell them apart."""
    draws = (_causes(bench, random) for _ in range(TRIES))
    found = ((one, _tables(bench, one)) for one in draws)
    enough = (both for both in found if len(both[0]) == CAUSES and len(both[1]) >= TESTS)
    columns, tables = next(enough)
    names = random.choice(sorted(tables), size=TESTS, replace=False)
    return columns, {name: tables[name] for name in names}


def regret(bench: Bench, seed: tuple[int, ...]) -> Regret:
    """One subset of a rig's causes and tests, solved exactly and by the tool's way: as if every
    cause always gave its likeliest answer, and with answers that may mislead."""
    columns, tables = _drawn(bench, np.random.default_rng(seed))
    h, figures = bench.hypotheses, bench.model.figures
    prior = np.bincount(h.mode, h.weight)[h.mode[columns]]
    p = prior / prior.sum()
    names = [bench.shop.repair[h.modes[mode]] for mode in h.mode[columns]]
    repair = np.unique(names, return_inverse=True)[1].astype(np.intp)
    price, after = _prices(bench, [bench.tests[name] for name in tables])
    likeliest = np.array([rows.argmax(axis=0) for rows in tables.values()], dtype=np.intp)
    plain = Problem(p, repair, likeliest, price, after)
    vain, few = figures.get("repair-in-vain", "min"), slice(NOISY_TESTS)
    fewer = tuple(_fewer(rows) for rows in [*tables.values()][few])
    rule = figures.get("stop-at"), least_rate(figures)
    noisy = NoisyProblem(p, repair, fewer, price[:, few], after[:, few], vain, *rule)
    return Regret(
        best=plain.best(plain.everything)[0],
        tool=plain.follow(most_bits_per_cost),
        floor=bound(plain),
        noisy_best=noisy.best(),
        noisy_tool=noisy.tool(),
        in_vain=noisy.mending(p),
    )
