"""Probability of every outcome of every test, under each hypothesis and together with a repair."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Band, Predictions

BINS = 7
"""Bins into which a reading is cut to judge beforehand what it will teach."""

NEGLIGIBLE = 1e-9
"""Probability below which a hypothesis has no say in what is asked next."""

Ints = NDArray[np.intp]


def asked_of(tests: Sequence[Test]) -> tuple[list[str], list[Reading]]:
    """The observations and the readings among some tests."""
    entries = [test.entry for test in tests]
    names = [one.id for one in entries if isinstance(one, Observation)]
    return names, [one.reading for one in entries if isinstance(one, ReadingEntry)]


def bin_edges(band: Band, weight: Array, bins: int) -> Array:
    """Edges that cut the expected values of a reading into bins of about equal chance, on the
    reading's scale; up to bins - 2 of them. weight: of each hypothesis."""
    order = np.argsort(band.mean)
    share = np.cumsum(weight[order]) / weight.sum()
    cuts = np.interp(np.arange(1, bins) / bins, share, band.mean[order])
    apart = float(np.median(band.spread))
    kept: list[float] = []
    for cut in cuts:
        if not kept or cut - kept[-1] > apart:
            kept.append(float(cut))
    middle = [(a + b) / 2 for a, b in pairwise(kept)]
    return np.asarray(middle or kept)


def bin_chances(band: Band, edges: Array) -> Array:
    """Chance that a reading that is no mistake falls in each bin; (bins, hypotheses)."""
    found = np.empty((len(edges) + 1, len(band.mean)))
    below: Array | float = 0.0
    for row, edge in enumerate(edges):
        up_to = normal_cdf((edge - band.mean) / band.spread)
        np.subtract(up_to, below, out=found[row])
        below = up_to
    np.subtract(1.0, below, out=found[-1])
    return found


@dataclass
class OutcomeTable:
    """Probability of every outcome of every test, the outcomes of each test side by side from its
    `start` on, shape (tests + 1); a reading's outcomes are BINS bins or fewer. Errors are not in
    it, since whoever answers is not known yet.

    solved: of the outcomes `of_solved`, which differ from circuit to circuit, shape (outcomes,
    hypotheses); said: of the outcomes `of_said`, which are alike for all circuits of a variant,
    shape (outcomes, variants).
    """

    predictions: Predictions
    tests: tuple[Test, ...]
    start: Ints = field(init=False)
    solved: Array = field(init=False)
    of_solved: Ints = field(init=False)
    said: Array = field(init=False)
    of_said: Ints = field(init=False)

    def __post_init__(self) -> None:
        self.predictions.prepare(*asked_of(self.tests))
        entries = [test.entry for test in self.tests]
        said = {i: rows for i, one in enumerate(entries) if (rows := self._said(one)) is not None}
        solved = {i: self._solved(one) for i, one in enumerate(entries) if i not in said}
        sizes = [len(said[i] if i in said else solved[i]) for i in range(len(entries))]
        self.start = np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp)
        self.said, self.of_said = self._stacked(said, len(self.predictions.hypotheses.variants))
        self.solved, self.of_solved = self._stacked(solved, len(self.predictions.hypotheses))

    def _stacked(self, rows: dict[int, Array], width: int) -> tuple[Array, Ints]:
        """The rows of some tests one below another, and which outcomes they are. Each is let go
        once it has its place, since all of them twice would be most of the memory."""
        outcomes = [np.arange(self.start[i], self.start[i + 1]) for i in rows]
        numbers = np.concatenate([np.zeros(0, dtype=np.intp), *outcomes])
        stacked, end = np.empty((len(numbers), width)), 0
        for i in list(rows):
            stacked[end : end + len(rows[i])] = rows[i]
            place = stacked[end : end + len(rows.pop(i))]
            self.predictions.keep(self.tests[i].id, place)
            end += len(place)
        return stacked, numbers

    def _said(self, entry: Observation | ReadingEntry) -> Array | None:
        return self.predictions.said(entry.id) if isinstance(entry, Observation) else None

    def _solved(self, entry: Observation | ReadingEntry) -> Array:
        if isinstance(entry, Observation):
            return self.predictions.plain(entry.id)
        band = self.predictions.band(entry.reading)
        return bin_chances(band, bin_edges(band, self.predictions.hypotheses.weight, BINS))

    def _stated(self, test: Test) -> float:
        """How often people on average are mistaken at a test."""
        if isinstance(test.entry, Observation):
            return test.entry.wrong
        return self.predictions.hypotheses.model.figures.get("misread")

    @cached_property
    def _error_rates(self) -> tuple[Array, Array]:
        """Error rate at each test, as stated, shape (tests), and with each kind of person, shape
        (tests, kinds)."""
        stated = [self._stated(test) for test in self.tests]
        kinds = np.stack([self.predictions.slips.error_rate(share) for share in stated])
        return np.array(stated), kinds

    def answered_by(self, person: Array) -> tuple[Array, Array]:
        """What turns the probabilities into those with this person: a factor and an amount to add,
        each of shape (outcomes of all tests). person: probability of each kind, shape (kinds)."""
        return self._scale(self._error_rates[1] @ person)

    def _scale(self, error_rate: Array) -> tuple[Array, Array]:
        """a and b of each outcome, whose probability is a p + b, p without any error: a mistaken
        answer is any of the others, a misplaced probe falls in any bin. error_rate: at each test.
        """
        sizes = np.diff(self.start)
        seen = np.array([isinstance(test.entry, Observation) for test in self.tests])
        level = error_rate / np.where(seen, np.maximum(sizes - 1, 1), sizes)
        factor = 1 - error_rate - np.where(seen, level, 0.0)
        return np.repeat(factor, sizes), np.repeat(level, sizes)

    @property
    def columns(self) -> Array:
        """Probability of every outcome with the error rates that are stated, shape (hypotheses,
        outcomes of all tests); made anew each time, since it is large."""
        whole = np.empty((len(self.predictions.hypotheses), self.start[-1]))
        whole[:, self.of_solved] = self.solved.T
        if len(self.of_said):
            whole[:, self.of_said] = self.said.T[self.predictions.hypotheses.variant]
        times, more = self._scale(self._error_rates[0])
        return whole * times + more

    def joint(self, column: Array, repair: Ints) -> Array:
        """Joint probabilities of repair and outcome, errors apart, shape (repairs, outcomes of all
        tests). column: probability of each hypothesis; repair: number of the repair of each."""
        table = np.zeros((int(repair.max()) + 1, self.start[-1]))
        for here, number in _runs(column, repair):
            table[number, self.of_solved] += self.solved[:, here] @ column[here]
        if len(self.of_said):
            variant = self.predictions.hypotheses.variant
            mass = np.zeros((self.said.shape[1], len(table)))
            np.add.at(mass, (variant, repair), column)
            table[:, self.of_said] = (self.said @ mass).T
        return table


def _runs(column: Array, repair: Ints) -> Iterator[tuple[slice, int]]:
    """Hypotheses side by side that one repair mends, without the ends that have no chance."""
    first = np.flatnonzero(np.diff(repair, prepend=-1))
    for start, end in pairwise([*first.tolist(), len(repair)]):
        some = np.flatnonzero(column[start:end])
        if len(some):
            yield slice(start + int(some[0]), start + int(some[-1]) + 1), int(repair[start])


def joint_probabilities(outcomes: OutcomeTable, belief: Posterior, group: Ints) -> Array:
    """Joint probabilities of outcome and repair for all tests at once, shape (outcomes of all
    tests, repairs + 1), OTHER last; each test's sum to 1.

    group: number of the repair of each failure mode, shape (failure modes).
    """
    column = np.where(belief.column > NEGLIGIBLE, belief.column, 0.0)
    repair = group[belief.hypotheses.mode]
    table = np.zeros((int(group.max()) + 2, int(outcomes.start[-1])))
    known = outcomes.joint(column, repair)
    mass = np.bincount(repair, column, len(table))
    times, more = outcomes.answered_by(belief.person)
    table[: len(known)] = known
    table = table * times + mass[:, None] * more
    table[-1] = belief.other * _unknown(outcomes, table)
    return table.T


def _unknown(outcomes: OutcomeTable, table: Array) -> Array:
    """Probability of each outcome under OTHER: like the book's average, and at times even."""
    sizes, outlier_rate = np.diff(outcomes.start), outcomes.predictions.slips.outlier_rate
    even = np.repeat(1.0 / sizes, sizes)
    average = table.sum(axis=0)
    total = np.add.reduceat(average, outcomes.start[:-1])
    usual = average / np.repeat(np.maximum(total, 1e-12), sizes)
    return np.asarray((1 - outlier_rate) * usual + outlier_rate * even)
