"""The exact optimum where tests can mislead: minutes of testing plus repairs tried in vain.

As in `optimum`, but every test has chances of outcomes under each cause, and one may stop at any
time and mend, the likeliest repair first, until the rig works. Beliefs are kept as weights: the
chance of the answers so far together with each cause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.circuit.parameters import Array
from diagnose.reasoning.next_test import gain
from diagnose.study.optimum import Ints

Asked = tuple[int, ...]
"""Outcome of each test, -1 where it has not been asked."""


@dataclass(frozen=True)
class Stop:
    """When the tool stops: a repair is this likely, or no test gives so many bits a minute."""

    at: float
    least_gain: float


@dataclass
class NoisyProblem:
    """p, repair, cost, after: as in optimum.Problem; chances: of each test's outcomes (rows) under
    each cause (columns); vain: minutes that one wrong repair costs; stop: the tool's rule."""

    p: Array
    repair: Ints
    chances: Sequence[Array]
    cost: Array
    after: Ints
    vain: float
    stop: Stop
    _known: dict[tuple[Asked, int], float] = field(default_factory=dict)

    def mending(self, weight: Array) -> float:
        """Cost of stopping now: repairs tried in falling probability, the right one free."""
        by_repair = np.sort(np.bincount(self.repair, weight))[::-1]
        return self.vain * float(by_repair @ np.arange(len(by_repair)))

    @property
    def nothing_asked(self) -> Asked:
        return (-1,) * len(self.chances)

    def best(self) -> float:
        """Least expected cost of any policy."""
        self._known.clear()
        return self._best(self.p, self.nothing_asked, 0)

    def _best(self, weight: Array, asked: Asked, state: int) -> float:
        key = (asked, state)
        if key not in self._known:
            self._known[key] = self._least(weight, asked, state)
        return self._known[key]

    def _least(self, weight: Array, asked: Asked, state: int) -> float:
        least, mass = self.mending(weight), float(weight.sum())
        for test in self._open(asked):
            spent = float(self.cost[state, test]) * mass
            if spent < least:  # or the test alone costs more than stopping
                then = int(self.after[state, test])
                rest = [self._best(w, after, then) for w, after in self._next(weight, asked, test)]
                least = min(least, spent + sum(rest))
        return least

    def _open(self, asked: Asked) -> list[int]:
        return [test for test, outcome in enumerate(asked) if outcome < 0]

    def _next(self, weight: Array, asked: Asked, test: int) -> list[tuple[Array, Asked]]:
        rows = self.chances[test]
        return [
            (weight * row, (*asked[:test], outcome, *asked[test + 1 :]))
            for outcome, row in enumerate(rows)
        ]

    def tool(self) -> float:
        """Expected cost of the tool's way: most bits a minute, and its own rule to stop."""
        return self._tool(self.p, self.nothing_asked, 0)

    def _tool(self, weight: Array, asked: Asked, state: int) -> float:
        rates = {test: self._rate(weight, test, state) for test in self._open(asked)}
        test = max(rates, key=lambda t: (round(rates[t], 12), -t), default=-1)
        if test < 0 or self._sure(weight) or rates[test] < self.stop.least_gain:
            return self.mending(weight)
        then = int(self.after[state, test])
        rest = [self._tool(w, after, then) for w, after in self._next(weight, asked, test)]
        return float(self.cost[state, test] * weight.sum()) + sum(rest)

    def _sure(self, weight: Array) -> bool:
        return float(np.bincount(self.repair, weight).max()) >= self.stop.at * float(weight.sum())

    def _rate(self, weight: Array, test: int, state: int) -> float:
        """Bits about the repair for a minute of this test."""
        joint = np.zeros((len(self.chances[test]), int(self.repair.max()) + 1))
        np.add.at(joint.T, self.repair, (self.chances[test] * weight).T)
        return gain(joint / joint.sum()) / float(self.cost[state, test])
