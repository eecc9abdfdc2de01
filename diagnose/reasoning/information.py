"""What the answer to a test is expected to teach: Shannon's information, in bits.

The information that an outcome O gives about a cause C is

    I(O; C) = H(O) + H(C) - H(O, C),    H(X) = -sum_x p(x) log2 p(x)

Source: C. E. Shannon, A Mathematical Theory of Communication, 1948.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.records import Observation
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.likelihood import explained
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Predictions, bin_chances, bin_edges

BINS = 7
"""Bins into which a reading is cut to judge beforehand what it will teach."""

NEGLIGIBLE = 1e-9
"""Probability below which a hypothesis has no say in what is asked next."""


def _terms(probability: Array) -> Array:
    """p log2 p, and 0 where p is 0."""
    logs = np.log2(probability, out=np.zeros_like(probability), where=probability > 0)
    return np.asarray(probability * logs)


def entropy(probability: Array, axis: int = -1) -> Array:
    """Shannon's entropy H = -sum p log2 p [bit] along an axis, which goes.

    >>> float(entropy(np.array([0.5, 0.5]))), float(entropy(np.full(8, 1 / 8)))
    (1.0, 3.0)
    """
    return np.asarray(-_terms(np.asarray(probability)).sum(axis=axis))


def information_gains(table: Array, first: NDArray[np.intp]) -> Array:
    """Information I(O; C) [bit] that the outcome of each test gives about a cause, shape (tests).

    table: joint probabilities of outcome (row) and cause (column), the tests' rows one below
    another, shape (outcomes of all tests, causes); only their proportions within a test count.
    first: row from which on each test's outcomes stand, shape (tests).
    """
    sizes = np.diff(first, append=len(table))
    whole = np.maximum(np.add.reduceat(table.sum(axis=1), first), 1e-300)
    joint = table / np.repeat(whole, sizes)[:, None]
    outcome = np.add.reduceat(_terms(joint.sum(axis=1)), first)
    cause = _terms(np.add.reduceat(joint, first)).sum(axis=1)
    both = np.add.reduceat(_terms(joint).sum(axis=1), first)
    return np.asarray(both - outcome - cause)


def information_gain(joint: Array) -> float:
    """Information I(O; C) [bit] of one test, from the joint probabilities of its outcomes (rows)
    and the causes (columns).

    A test that tells two even causes apart gives one bit, one that tells nothing gives none:

    >>> information_gain(np.array([[0.5, 0.0], [0.0, 0.5]]))
    1.0
    >>> information_gain(np.array([[0.25, 0.25], [0.25, 0.25]]))
    0.0
    """
    first = np.zeros(1, dtype=np.intp)
    return float(information_gains(np.asarray(joint), first)[0])


@dataclass
class OutcomeTable:
    """Probability of every outcome of every test under every hypothesis, no error but the usual.

    columns: shape (hypotheses, outcomes of all tests), the outcomes of each test side by side from
    its `start` on, shape (tests + 1); a reading's outcomes are BINS bins or fewer.
    """

    predictions: Predictions
    tests: tuple[Test, ...]
    columns: Array = field(init=False)
    start: NDArray[np.intp] = field(init=False)

    def __post_init__(self) -> None:
        parts = [self._outcomes(test) for test in self.tests]
        sizes = [len(part) for part in parts]
        self.start = np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp)
        self.columns = np.empty((len(self.predictions.hypotheses), self.start[-1]))
        np.concatenate([part.T for part in parts], axis=1, out=self.columns)

    def _outcomes(self, test: Test) -> Array:
        """Shape (outcomes, hypotheses)."""
        if isinstance(test.entry, Observation):
            return self.predictions.chances(test.id)
        band = self.predictions.band(test.entry.reading)
        hypotheses = self.predictions.hypotheses
        edges = bin_edges(band, hypotheses.weight, BINS)
        return bin_chances(band, edges, hypotheses.model.figures.get("misread"))

    def _stated(self, test: Test) -> float:
        """How often people on average are mistaken at a test."""
        if isinstance(test.entry, Observation):
            return test.entry.wrong
        return self.predictions.hypotheses.model.figures.get("misread")

    @cached_property
    def _error_rates(self) -> tuple[Array, Array]:
        """Error rate at each test, as `columns` has them, shape (tests), and with each kind of
        person, shape (tests, kinds)."""
        stated = [self._stated(test) for test in self.tests]
        kinds = np.stack([self.predictions.slips.error_rate(share) for share in stated])
        return np.array(stated), kinds

    def answered_by(self, person: Array) -> tuple[Array, Array]:
        """What turns the probabilities of `columns` into those with this person: a factor and an
        amount to add, each of shape (outcomes of all tests).

        With an error rate e an outcome's probability is a p + b, p without any error: a mistaken
        answer is any of the others, a misplaced probe falls in any bin. person: probability of each
        kind, shape (kinds).
        """
        stated, kinds = self._error_rates
        (a, b), (known, added) = self._scale(kinds @ person), self._scale(stated)
        sizes = np.diff(self.start)
        ratio = a / known
        return np.repeat(ratio, sizes), np.repeat(b - ratio * added, sizes)

    def _scale(self, error_rate: Array) -> tuple[Array, Array]:
        """a and b of a p + b for each test."""
        sizes = np.diff(self.start)
        seen = np.array([isinstance(test.entry, Observation) for test in self.tests])
        level = error_rate / np.where(seen, np.maximum(sizes - 1, 1), sizes)
        return 1 - error_rate - np.where(seen, level, 0.0), level


def joint_probabilities(
    outcomes: OutcomeTable, belief: Posterior, group: NDArray[np.intp]
) -> Array:
    """Joint probabilities of outcome and repair for all tests at once, shape (outcomes of all
    tests, repairs + 1), OTHER last; each test's sum to 1.

    group: number of the repair of each failure mode, shape (failure modes).
    """
    kept = np.flatnonzero(belief.column > NEGLIGIBLE)
    column, repair = belief.column[kept], group[belief.hypotheses.mode[kept]]
    table = np.zeros((int(group.max()) + 2, outcomes.columns.shape[1]))
    first = np.flatnonzero(np.diff(repair, prepend=-1))
    for start, end in zip(first, [*first[1:], len(kept)], strict=True):
        table[repair[start]] += column[start:end] @ outcomes.columns[_rows(kept[start:end])]
    mass = np.bincount(repair, column, len(table))
    times, more = outcomes.answered_by(belief.person)
    table = table * times + mass[:, None] * more
    table[-1] = belief.other * _unknown(outcomes, table)
    return table.T


def _rows(kept: NDArray[np.intp]) -> NDArray[np.intp] | slice:
    """The same rows as a slice where they lie together, so that they need not be copied."""
    together = kept[-1] - kept[0] + 1 == len(kept)
    return slice(kept[0], kept[-1] + 1) if together else kept


def _unknown(outcomes: OutcomeTable, table: Array) -> Array:
    """Probability of each outcome under OTHER: like the book's average, and at times even."""
    sizes, outlier_rate = np.diff(outcomes.start), outcomes.predictions.slips.outlier_rate
    even = np.repeat(1.0 / sizes, sizes)
    average = table.sum(axis=0)
    total = np.add.reduceat(average, outcomes.start[:-1])
    usual = average / np.repeat(np.maximum(total, 1e-12), sizes)
    return np.asarray((1 - outlier_rate) * usual + outlier_rate * even)


def repeat_gain(
    predictions: Predictions, belief: Posterior, group: NDArray[np.intp], item: Evidence
) -> float:
    """Information [bit] about the repair in whether a second answer is like the first: a mistake
    seldom comes twice alike.

    group: number of the repair of each failure mode, shape (failure modes). Under OTHER an answer
    that fits nothing is no mistake.
    """
    terms, unchecked = explained(predictions, item), predictions.slips.unchecked_rate
    wrong = float(belief.person @ terms.error_rate)
    correct = np.append(terms.correct_probability(belief.person), 1 - wrong)
    looked = correct * (1 - wrong) + (1 - correct) * wrong * _same_mistake(predictions, item)
    alike = unchecked + (1 - unchecked) * looked
    column = np.append(belief.column, belief.other)
    repair = np.append(group[belief.hypotheses.mode], int(group.max()) + 1)
    joint = [np.bincount(repair, column * chance) for chance in (alike, 1 - alike)]
    return information_gain(np.stack(joint))


def _same_mistake(predictions: Predictions, item: Evidence) -> float:
    """Probability that a second mistake is like the first."""
    if not isinstance(item, Seen):
        return 0.0
    return 1 / (len(predictions.catalogue.observations[item.observation].options) - 1)
