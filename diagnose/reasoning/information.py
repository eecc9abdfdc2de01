"""What the answer to a test is expected to teach: Shannon's information, in bits.

The information that an outcome O gives about a cause C is

    I(O; C) = H(O) + H(C) - H(O, C),    H(X) = -sum_x p(x) log2 p(x)

Source: C. E. Shannon, A Mathematical Theory of Communication, 1948.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.posterior import Posterior, explained
from diagnose.reasoning.predictions import Predictions


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
