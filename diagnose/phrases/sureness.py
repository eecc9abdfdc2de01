"""How sure it is that a text means an answer, by its words and by what it resembles.

Logistic regression (Cox, J. R. Stat. Soc. B 20 (1958) 215) on some things that are known of the
answer; its weights are learnt from sentences of people whose sentences likeness had not been learnt
from, so that what comes out is a probability for people who have not been heard before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

PENALTY = 1.0
"""Weight of the squared weights: one case more or less changes little."""

MOST_STEPS = 30
LOWEST, HIGHEST = -0.1, 1.1
"""Scores beyond these say no more."""


@dataclass(frozen=True)
class Case:
    """What is known of an answer that a text may mean.

    score: its likeness; rival: the highest likeness of an answer that does not go with it; share:
    its part of the likeness of all answers to its question; told: in so many words; perhaps: in
    words that may mean something else; against: words name another answer to its question; clash:
    words tell another thing that does not go with it; asked: it was asked for; elsewhere: words
    only name it behind another question; learnt: sentences that mean it, the fewer of which there
    are the lower it scores; whole: words tell it, and something was made of all words.
    """

    score: float
    rival: float
    share: float
    told: bool
    perhaps: bool
    against: bool
    clash: bool
    asked: bool
    elsewhere: bool
    learnt: int = 0
    whole: bool = False

    def terms(self) -> list[float]:
        """The regressors, the constant first."""
        score = min(HIGHEST, max(LOWEST, self.score))
        known = log(1 + self.learnt)
        return [
            1.0,
            score,
            max(0.0, self.rival),
            float(self.told),
            float(self.perhaps),
            self.told * score,
            float(self.against),
            float(self.clash),
            float(self.elsewhere),
            float(self.asked),
            self.asked * self.share,
            float(self.asked and self.told),
            known,
            self.told * known,
            float(self.whole),
        ]


def sureness(case: Case, weights: NDArray[np.float64]) -> float:
    """The probability that the text means it."""
    return 1 / (1 + exp(-float(np.dot(case.terms(), weights))))


def fit(cases: Sequence[Case], right: Sequence[bool]) -> NDArray[np.float64]:
    """Weights by Newton's method on the penalised likelihood: each step is a weighted least
    squares."""
    x, y = np.array([one.terms() for one in cases]), np.array(right, dtype=float)
    weights = np.zeros(x.shape[1])
    penalty = PENALTY * np.eye(len(weights))
    for _ in range(MOST_STEPS):
        chance = 1 / (1 + np.exp(-x @ weights))
        slope = x.T @ (y - chance) - PENALTY * weights
        curve = (x * (chance * (1 - chance))[:, None]).T @ x + penalty
        step = np.linalg.solve(curve, slope)
        weights = weights + step
        if np.abs(step).max() < 1e-9:
            break
    return weights
