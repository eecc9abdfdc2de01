"""How often a person's answers are plainly wrong: nobody knows beforehand, but it is the same
person all through a case.

So every finding is weighed under each kind of person, and the findings themselves tell which kind
it is: answers that fit no fault together speak for a hasty one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.circuit.parameters import Array
from diagnose.figures import Figures

MOST = 0.6
"""Most mistakes that anybody makes at any test: more would be knowledge of its own; estimate."""


@dataclass(frozen=True)
class Slips:
    """Kinds of persons. times: plainly wrong answers of one over those of people on average, which
    is 1 over all kinds; share: how many are of the kind; unlooked: share of second answers that are
    given without looking again; surprise: share of findings in which a fault that no entry
    describes shows anything at all."""

    times: Array
    share: Array
    unlooked: float
    surprise: float

    @classmethod
    def of(cls, figures: Figures) -> Slips:
        """As the figures of the reasoning say."""
        table = figures.table("slips")
        share, times = np.array(table.column("share")), np.array(table.column("times"))
        share = share / share.sum()
        return cls(times / (times @ share), share, figures.get("unlooked"), figures.get("surprise"))

    def wrong(self, stated: float, sure: bool = False) -> Array:
        """Chance of a mistake with each kind of person at a test where people are mistaken as
        often as stated.

        sure: given twice alike, of which a share says nothing new.
        """
        chance = np.minimum(stated * self.times, MOST)
        return np.asarray(chance * self.unlooked if sure else chance)


@dataclass(frozen=True)
class Explained:
    """One finding under every hypothesis.

    plain: chance, or density, of the finding when it is no mistake; astray: when it is one; flat:
    of a finding about which nothing at all is known; wrong: chance of a mistake, one a kind of
    person; weight: prior of each hypothesis, summing to one; surprise: as of Slips.
    """

    plain: Array
    astray: Array
    flat: float
    wrong: Array
    weight: Array
    surprise: float

    def named(self) -> Array:
        """Likelihood under every hypothesis with each kind of person; (kinds, hypotheses)."""
        wrong = self.wrong[:, None]
        return np.asarray((1 - wrong) * self.plain + wrong * self.astray)

    @cached_property
    def logs(self) -> Array:
        """Log likelihood with each kind of person, OTHER last; (kinds, hypotheses + 1).

        OTHER is like the average of all named hypotheses, and in a share of findings uniform: the
        unknown fault leaves most of the rig as it is, and surprises somewhere.
        """
        named = self.named()
        other = (1 - self.surprise) * (named @ self.weight) + self.surprise * self.flat
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(np.column_stack([named, other])))

    def sound(self, person: Array) -> Array:
        """Chance, under each hypothesis, that it is no mistake. person: chance of each kind."""
        wrong = float(person @ self.wrong)
        right = (1 - wrong) * self.plain
        return np.asarray(right / (right + wrong * self.astray))
