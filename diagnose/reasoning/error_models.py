"""How meters scatter and how people err: the error models behind every likelihood.

A meter's reading scatters about what a hypothesis expects (Law). A person's answer is plainly wrong
now and then: nobody knows beforehand how often, but it is the same person all through a case. So
every piece of evidence is weighed under each kind of person, and the evidence itself tells which
kind it is: answers that fit no fault together speak for a hasty one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.parameters import Array
from diagnose.figures import Figures

LARGEST_ERROR_RATE = 0.6
"""Most mistakes that anybody makes at any test: more would be knowledge of its own; estimate."""


@dataclass(frozen=True)
class Law:
    """How a reading scatters, in units z of its spread about its mean.

    density(z): probability density per spread; below(z): probability of less. Both take and give
    arrays of any shape, elementwise.
    """

    density: Callable[[Array], Array]
    below: Callable[[Array], Array]


def _normal(z: Array) -> Array:
    """f(z) = exp(-z^2 / 2) / sqrt(2 pi)."""
    with np.errstate(under="ignore"):
        return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))


def _student(z: Array) -> Array:
    """f(z) = 3/8 (1 + z^2 / 4)^(-5/2), Student's t with 4 degrees of freedom."""
    root = 1 + z * z / 4
    return np.asarray(0.375 / (root * root * np.sqrt(root)))


def _student_below(z: Array) -> Array:
    """F(z) = 1/2 + 3/8 z / sqrt(1 + z^2 / 4) (1 - z^2 / (12 (1 + z^2 / 4)))."""
    root = 1 + z * z / 4
    return np.asarray(0.5 + 0.375 * z / np.sqrt(root) * (1 - z * z / (12 * root)))


NORMAL = Law(_normal, normal_cdf)
STUDENT = Law(_student, _student_below)
"""Student's t with 4 degrees of freedom (closed forms, from memory): a usual choice where rigs
differ, now and then, from every one that was computed by more than a normal law allows."""


@dataclass(frozen=True)
class ResponseErrors:
    """How often the answers of a person are plainly wrong, for each kind of person.

    relative_rate: errors of each kind over those of people on average, shape (kinds), of mean 1;
    share: probability of each kind before anything is answered, shape (kinds), summing to 1;
    unchecked_rate: share of second answers that are given without looking again; outlier_rate:
    share of evidence in which a fault that no entry describes shows anything at all.
    """

    relative_rate: Array
    share: Array
    unchecked_rate: float
    outlier_rate: float

    @classmethod
    def of(cls, figures: Figures) -> ResponseErrors:
        """As knowledge/figures/reasoning.yaml has it: table slips, figures unlooked, surprise."""
        table = figures.table("slips")
        share, times = np.array(table.column("share")), np.array(table.column("times"))
        share = share / share.sum()
        return cls(times / (times @ share), share, figures.get("unlooked"), figures.get("surprise"))

    def error_rate(self, stated: float, sure: bool = False) -> Array:
        """Probability of a mistaken answer with each kind of person, shape (kinds).

        stated: how often people on average are mistaken at this test; sure: given twice alike, of
        which a share says nothing new.

        >>> hasty = ResponseErrors(np.array([0.5, 3.0]), np.array([0.8, 0.2]), 0.2, 0.1)
        >>> print(hasty.error_rate(0.1), hasty.error_rate(0.1, sure=True))
        [0.05 0.3 ] [0.01 0.06]
        """
        chance = np.minimum(stated * self.relative_rate, LARGEST_ERROR_RATE)
        return np.asarray(chance * self.unchecked_rate if sure else chance)


@dataclass(frozen=True)
class LikelihoodTerms:
    """The parts of which the likelihood of one piece of evidence is made.

    With e the error rate of a kind of person and h a hypothesis

        p(evidence | h, kind) = (1 - e) correct[h] + e mistaken[h]

    correct: probability, or density on the reading's scale, when it is no mistake, shape
    (hypotheses); mistaken: when it is one, shape (hypotheses); uninformed: where nothing at all is
    known of the fault; error_rate: e of each kind, shape (kinds); weight: prior of each hypothesis,
    shape (hypotheses), summing to 1; outlier_rate: as of ResponseErrors.
    """

    correct: Array
    mistaken: Array
    uninformed: float
    error_rate: Array
    weight: Array
    outlier_rate: float

    def likelihood(self) -> Array:
        """p(evidence | h, kind) for all named hypotheses, shape (kinds, hypotheses)."""
        wrong = self.error_rate[:, None]
        return np.asarray((1 - wrong) * self.correct + wrong * self.mistaken)

    @cached_property
    def log_likelihood(self) -> Array:
        """Logarithms of the same, OTHER last, shape (kinds, hypotheses + 1).

        OTHER is like the average of all named hypotheses, and in a share of evidence, the outlier
        rate o, anything at all: the unknown fault leaves most of the rig as it is, and surprises
        somewhere.

            p(evidence | OTHER) = (1 - o) sum_h weight[h] p(evidence | h) + o uninformed
        """
        named = self.likelihood()
        average, outlier = named @ self.weight, self.outlier_rate
        other = (1 - outlier) * average + outlier * self.uninformed
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(np.column_stack([named, other])))

    def correct_probability(self, person: Array) -> Array:
        """Probability, under each hypothesis, that it is no mistake (Bayes' rule), shape
        (hypotheses). person: probability of each kind of person, shape (kinds)."""
        wrong = float(person @ self.error_rate)
        right = (1 - wrong) * self.correct
        return np.asarray(right / (right + wrong * self.mistaken))
