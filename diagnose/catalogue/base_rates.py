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

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from diagnose.documents import Section
from diagnose.errors import UnknownName, nearest


@dataclass(frozen=True)
class Count:
    """One failure mode. found, expected: cases."""

    found: float
    expected: float


@dataclass(frozen=True)
class BaseRates:
    """Counts by failure mode. worth: as how many cases an estimate counts; cases: all of them;
    untold: failure modes that people put right and do not tell of, whose counts say nothing."""

    worth: float
    cases: int
    counts: Mapping[str, Count]
    untold: Collection[str] = ()

    def ratio(self, mode: str) -> float:
        """What multiplies the estimated prior of a failure mode; 1 where nothing was counted."""
        none = Count(0.0, 0.0)
        one = none if mode in self.untold else self.counts.get(mode, none)
        return (self.worth + one.found) / (self.worth + one.expected)


def base_rates(document: Section, modes: Collection[str], sources: Collection[str]) -> BaseRates:
    """The counts in a file. What names no failure mode or source is a problem of the document."""
    part = document.section("counts")
    counted = [(name, part.place_of(name)) for name in part]
    untold = document.placed("untold")
    of_modes = [("failure mode", *one, modes) for one in (*counted, *untold)]
    of_sources = [("source", *one, sources) for one in document.placed("sources")]
    for kind, name, place, known in (*of_modes, *of_sources):
        if name not in known:
            document.problem(UnknownName(kind, name, place, nearest(name, known)))
    document.text("why")
    return BaseRates(
        worth=document.number("worth", minimum=0.1),
        cases=int(document.number("cases", minimum=1)),
        counts={name: _count(part.section(name)) for name in part},
        untold=frozenset(name for name, _ in untold),
    )


def _count(section: Section) -> Count:
    return Count(
        found=section.number("found", minimum=0.0),
        expected=section.number("expected", minimum=0.0),
    )
