"""What recorded repairs turned out to be: a correction of the estimated priors by counts.

Each prior in a failure mode's file is somebody's estimate. knowledge/base_rates.yaml holds, for
each failure mode, in how many recorded cases it was the cause, and how many the estimates would
have expected on the rigs of those cases. The prior is multiplied by

    (worth + found) / (worth + expected)

which is the mean of a Gamma distribution for the true ratio, with mean 1 and shape `worth` before
the counts, after Poisson counts (the gamma-Poisson shrinker: DuMouchel, The American Statistician
53 (1999) 177). A mode that was seldom expected and never found keeps its estimate.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from diagnose.annotations import Limits, Of, Unsaid
from diagnose.catalogue.entry_parts import Amount, Modes, Sources
from diagnose.documents import REQUIRED


@dataclass(frozen=True)
class Count:
    """One failure mode. found, expected: cases."""

    found: Amount
    expected: Amount


@dataclass(frozen=True)
class BaseRates:
    """Counts by failure mode. worth: as how many cases an estimate counts; cases: all of them;
    untold: failure modes that people put right and do not tell of, whose counts say nothing."""

    worth: Annotated[float, Limits(0.1)]
    cases: Annotated[int, Limits(1)]
    counts: Mapping[Annotated[str, Of("failure mode")], Count]
    untold: Modes = ()
    sources: Sources = ()
    why: Annotated[str, Unsaid(REQUIRED)] = ""

    def ratio(self, mode: str) -> float:
        """What multiplies the estimated prior of a failure mode; 1 where nothing was counted."""
        none = Count(0.0, 0.0)
        one = none if mode in self.untold else self.counts.get(mode, none)
        return (self.worth + one.found) / (self.worth + one.expected)
