"""Which test teaches most per minute, among those that may be asked now, and when to stop.

Tests are chosen one at a time by expected information per minute, as if each were the last.
Source: for the approach, D. Heckerman, J. S. Breese and K. Rommelse, Decision-Theoretic
Troubleshooting, Communications of the ACM, 1995, which weighs the cost of observations and repairs
likewise (from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.parameters import Array
from diagnose.figures import Figures
from diagnose.reasoning import OTHER
from diagnose.reasoning.available_tests import EVERYTHING, Means, Test, cost
from diagnose.reasoning.hypotheses import Hypotheses
from diagnose.reasoning.information import information_gains
from diagnose.reasoning.outcome_table import OutcomeTable, joint_probabilities
from diagnose.reasoning.posterior import Posterior


@dataclass(frozen=True)
class ExpectedGain:
    """What a test is expected to teach about the repair, bits [bit], and to cost, minutes [min]."""

    test: Test
    bits: float
    minutes: float

    @property
    def rate(self) -> float:
        """Expected information per minute [bit/min]."""
        return self.bits / self.minutes


@dataclass
class TestChooser:
    """Chooses tests on one rig.

    outcomes: of all its tests; repair: failure mode to the repair that mends it.
    """

    __test__ = False
    outcomes: OutcomeTable
    repair: Mapping[str, str]
    figures: Figures

    def repairs(self, hypotheses: Hypotheses) -> list[str]:
        """The repairs of all failure modes, each at its number."""
        return sorted({self.repair[mode] for mode in hypotheses.modes})

    def repair_numbers(self, hypotheses: Hypotheses) -> NDArray[np.intp]:
        """Number of the repair of each failure mode, by name, shape (failure modes)."""
        names = self.repairs(hypotheses)
        places = [names.index(self.repair[mode]) for mode in hypotheses.modes]
        return np.array(places, dtype=np.intp)

    def joint(self, belief: Posterior, test: Test) -> Array:
        """Joint probabilities of outcome and repair for one test, shape (outcomes, repairs), OTHER
        last."""
        number = [one.id for one in self.outcomes.tests].index(test.id)
        first, last = self.outcomes.start[number : number + 2]
        group = self.repair_numbers(belief.hypotheses)
        return joint_probabilities(self.outcomes, belief, group)[first:last]

    def gains(
        self,
        belief: Posterior,
        allowed: Collection[str],
        state: str,
        to_fetch: Collection[str] = (),
        means: Means = EVERYTHING,
    ) -> tuple[ExpectedGain, ...]:
        """Allowed tests, the most bits a minute first, ties by id.

        allowed: ids of tests; state: in which the rig is now; to_fetch: ids of readings whose
        instrument is not at hand; means: of whoever does them.
        """
        group = self.repair_numbers(belief.hypotheses)
        table = joint_probabilities(self.outcomes, belief, group)
        bits = information_gains(table, self.outcomes.start[:-1])
        found = [
            ExpectedGain(test, float(gained), self._cost(test, state, to_fetch, means))
            for test, gained in zip(self.outcomes.tests, bits, strict=True)
            if test.id in allowed
        ]
        return tuple(sorted(found, key=lambda gain: (-gain.rate, gain.test.id)))

    def _cost(self, test: Test, state: str, to_fetch: Collection[str], means: Means) -> float:
        return cost(test, state, self.figures, test.id in to_fetch, means)


def least_rate(figures: Figures) -> float:
    """Information per minute [bit/min] below which no further question is worth its time.

    One bit settles an even choice of two repairs, and so spares half a wrong repair, which takes
    the time t of figure repair-in-vain: a bit may cost t / 2, and the least rate is 2 / t.
    """
    return 2 / figures.get("repair-in-vain", "min")


def _is_worth_asking(gains: Sequence[ExpectedGain], figures: Figures, waiting: bool) -> bool:
    """Whether any test teaches enough: for its time, or, while waiting, at all."""
    if waiting:
        return max(gain.bits for gain in gains) >= figures.get("least-while-waiting")
    return gains[0].rate >= least_rate(figures)


def reason_to_stop(
    belief: Posterior,
    repairs: Mapping[str, float],
    gains: Sequence[ExpectedGain],
    figures: Figures,
    asked: int,
    waiting: bool = False,
) -> str:
    """Why to ask no more, in a few words, or "" to go on.

    repairs: probability by repair, OTHER among them; gains: of the tests that are left, the best
    first; asked: questions put so far, whatever came of them; waiting: a stop stands, and until it
    is made safe time costs nothing.
    """
    best = max((p for name, p in repairs.items() if name != OTHER), default=0.0)
    if best >= figures.get("stop-at") and belief.other < figures.get("stop-other"):
        return "one repair is likely enough"
    if not gains:
        return "nothing more can be asked safely"
    if not _is_worth_asking(gains, figures, waiting):
        return "no test that is left would teach enough for its time"
    if asked >= figures.get("most-questions"):
        return "enough has been asked"
    return ""
