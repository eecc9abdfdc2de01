"""Which test teaches most per minute, among those that may be asked now."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.records import Catalogue, Observation, ReadingEntry, holds
from diagnose.circuit.parameters import Array
from diagnose.circuit.reading_words import fits
from diagnose.circuit.rig import Rig
from diagnose.figures import Figures
from diagnose.reasoning.available_tests import EVERYTHING, Means
from diagnose.reasoning.hypotheses import Hypotheses
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Predictions, bin_chances, bin_edges

BINS = 7
"""Bins into which a reading is cut to judge its worth beforehand."""

STATES_TO_SET_UP = ("rest", "satisfied", "unplugged", "isolated")


@dataclass(frozen=True)
class Test:
    """Something that can be asked: an observation or a reading."""

    __test__ = False
    id: str
    entry: Observation | ReadingEntry

    @property
    def minutes(self) -> float:
        return self.entry.minutes

    @property
    def state(self) -> str:
        return self.entry.state

    @property
    def ruled_as(self) -> str:
        """How rules name the test: "observation flow", or a reading by its own words."""
        return f"observation {self.id}" if isinstance(self.entry, Observation) else self.id


def tests_for(catalogue: Catalogue, rig: Rig, facts: Mapping[str, str]) -> tuple[Test, ...]:
    """Everything that can be asked on this rig, in the order of the knowledge."""
    observed = [
        Test(entry.id, entry)
        for entry in catalogue.observations.values()
        if holds(entry.applies, facts)
    ]
    read = [
        Test(entry.id, entry)
        for entry in catalogue.readings.values()
        if holds(entry.applies, facts) and fits(entry.reading, rig)
    ]
    return (*observed, *read)


def _terms(probability: Array) -> Array:
    """p log2 p, and 0 where p is 0."""
    logs = np.log2(probability, out=np.zeros_like(probability), where=probability > 0)
    return np.asarray(probability * logs)


def entropy(probability: Array, axis: int = -1) -> Array:
    """Shannon entropy [bit] along an axis."""
    return np.asarray(-_terms(np.asarray(probability)).sum(axis=axis))


def gains(table: Array, first: NDArray[np.intp]) -> Array:
    """Information [bit] that the outcome of each test gives about a cause.

    table: chances of outcome (row) and cause (column) together, the tests' rows one below another,
    each test's from `first` on; only their proportions within a test count.
    """
    sizes = np.diff(first, append=len(table))
    whole = np.maximum(np.add.reduceat(table.sum(axis=1), first), 1e-300)
    joint = table / np.repeat(whole, sizes)[:, None]
    outcome = np.add.reduceat(_terms(joint.sum(axis=1)), first)
    cause = _terms(np.add.reduceat(joint, first)).sum(axis=1)
    both = np.add.reduceat(_terms(joint).sum(axis=1), first)
    return np.asarray(both - outcome - cause)


def gain(joint: Array) -> float:
    """Information [bit] that an outcome (row) gives about a cause (column), from their joint."""
    return float(gains(np.asarray(joint), np.zeros(1, dtype=np.intp))[0])


@dataclass
class Chances:
    """Chance of every outcome of every test under every hypothesis: one row a hypothesis, the
    outcomes of each test side by side from its `start` on."""

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
        if isinstance(test.entry, Observation):
            return self.predictions.chances(test.id)
        band = self.predictions.band(test.entry.reading)
        hypotheses = self.predictions.hypotheses
        edges = bin_edges(band, hypotheses.weight, BINS)
        return bin_chances(band, edges, hypotheses.model.figures.get("misread"))

    def _stated(self, test: Test) -> float:
        if isinstance(test.entry, Observation):
            return test.entry.wrong
        return self.predictions.hypotheses.model.figures.get("misread")

    @cached_property
    def _mistakes(self) -> tuple[Array, Array]:
        """Share of mistakes at each test, as `columns` has them and with each kind of person."""
        stated = [self._stated(test) for test in self.tests]
        kinds = np.stack([self.predictions.slips.wrong(share) for share in stated])
        return np.array(stated), kinds

    def answered_by(self, person: Array) -> tuple[Array, Array]:
        """What turns the chances of `columns` into those with this person, chance of each kind:
        a factor and an amount to add, one an outcome.

        With a share e of mistakes an outcome's chance is a p + b, p without any: a mistaken answer
        is any of the others, a misplaced probe falls in any bin.
        """
        stated, kinds = self._mistakes
        (a, b), (known, added) = self._scale(kinds @ person), self._scale(stated)
        sizes = np.diff(self.start)
        ratio = a / known
        return np.repeat(ratio, sizes), np.repeat(b - ratio * added, sizes)

    def _scale(self, wrong: Array) -> tuple[Array, Array]:
        sizes = np.diff(self.start)
        seen = np.array([isinstance(test.entry, Observation) for test in self.tests])
        level = wrong / np.where(seen, np.maximum(sizes - 1, 1), sizes)
        return 1 - wrong - np.where(seen, level, 0.0), level


@dataclass(frozen=True)
class Worth:
    """What a test is expected to teach [bit] and cost [min]; rate is bits a minute."""

    test: Test
    bits: float
    minutes: float

    @property
    def rate(self) -> float:
        return self.bits / self.minutes


NEGLIGIBLE = 1e-9
"""Probability below which a hypothesis has no say in what is asked next."""


def joints(chances: Chances, belief: Posterior, group: NDArray[np.intp]) -> Array:
    """Joint chance of outcome (row) and repair (column, OTHER last) for all tests at once."""
    kept = np.flatnonzero(belief.column > NEGLIGIBLE)
    column, repair = belief.column[kept], group[belief.hypotheses.mode[kept]]
    table = np.zeros((int(group.max()) + 2, chances.columns.shape[1]))
    first = np.flatnonzero(np.diff(repair, prepend=-1))
    for start, end in zip(first, [*first[1:], len(kept)], strict=True):
        table[repair[start]] += column[start:end] @ chances.columns[_rows(kept[start:end])]
    mass = np.bincount(repair, column, len(table))
    times, more = chances.answered_by(belief.person)
    table = table * times + mass[:, None] * more
    table[-1] = belief.other * _unknown(chances, table)
    return table.T


def _rows(kept: NDArray[np.intp]) -> NDArray[np.intp] | slice:
    """The same rows as a slice where they lie together, so that they need not be copied."""
    together = kept[-1] - kept[0] + 1 == len(kept)
    return slice(kept[0], kept[-1] + 1) if together else kept


def _unknown(chances: Chances, table: Array) -> Array:
    """Chance of each outcome under OTHER: like the book's average, and at times even."""
    sizes, surprise = np.diff(chances.start), chances.predictions.slips.surprise
    even = np.repeat(1.0 / sizes, sizes)
    average = table.sum(axis=0)
    total = np.add.reduceat(average, chances.start[:-1])
    usual = average / np.repeat(np.maximum(total, 1e-12), sizes)
    return np.asarray((1 - surprise) * usual + surprise * even)


def cost(
    test: Test, state: str, figures: Figures, fetch: bool = False, means: Means = EVERYTHING
) -> float:
    """Minutes of a test where somebody is, with those to bring the rig into its state when it is in
    another, and to fetch its instrument."""
    moved = test.state != state and test.state in STATES_TO_SET_UP
    more = figures.get("asking-time", "min") * means.asking(figures)
    more += figures.get("state-change-time", "min") if moved else 0.0
    more += figures.get("fetch-time", "min") if fetch else 0.0
    return test.minutes * means.times(test.entry, figures) + more


@dataclass
class Chooser:
    """Chooses tests on one rig."""

    chances: Chances
    repair: Mapping[str, str]
    figures: Figures

    def groups(self, hypotheses: Hypotheses) -> NDArray[np.intp]:
        """Number of the repair of each failure mode."""
        names = sorted({self.repair[mode] for mode in hypotheses.modes})
        places = [names.index(self.repair[mode]) for mode in hypotheses.modes]
        return np.array(places, dtype=np.intp)

    def worths(
        self,
        belief: Posterior,
        allowed: Collection[str],
        state: str,
        to_fetch: Collection[str] = (),
        means: Means = EVERYTHING,
    ) -> tuple[Worth, ...]:
        """Allowed tests, the best bits a minute first. to_fetch: those whose instrument is not at
        hand; means: of whoever does them."""
        group = self.groups(belief.hypotheses)
        bits = gains(joints(self.chances, belief, group), self.chances.start[:-1])
        found = [
            Worth(test, float(gained), cost(test, state, self.figures, test.id in to_fetch, means))
            for test, gained in zip(self.chances.tests, bits, strict=True)
            if test.id in allowed
        ]
        return tuple(sorted(found, key=lambda worth: (-worth.rate, worth.test.id)))


def least_rate(figures: Figures) -> float:
    """Bits a minute below which no further question is worth its time.

    A bit settles an even choice of two repairs, and spares half a repair in vain.
    """
    return 2 / figures.get("repair-in-vain", "min")


def _is_worth_asking(worths: Sequence[Worth], figures: Figures, waiting: bool) -> bool:
    """Whether any test teaches enough: for its time, or, while waiting, at all."""
    if waiting:
        return max(worth.bits for worth in worths) >= figures.get("least-while-waiting")
    return worths[0].rate >= least_rate(figures)


def enough(
    belief: Posterior,
    repairs: Mapping[str, float],
    worths: Sequence[Worth],
    figures: Figures,
    asked: int,
    waiting: bool = False,
) -> str:
    """Why to stop now, or "" to go on. repairs: probability by repair, OTHER among them; asked:
    questions put so far, whatever came of them; waiting: a stop stands, and until it is made safe
    time costs nothing."""
    best = max((p for name, p in repairs.items() if name != "not-in-the-book"), default=0.0)
    if best >= figures.get("stop-at") and belief.other < figures.get("stop-other"):
        return "one repair is likely enough"
    if not worths:
        return "nothing more can be asked safely"
    if not _is_worth_asking(worths, figures, waiting):
        return "no test that is left would teach enough for its time"
    if asked >= figures.get("most-questions"):
        return "enough has been asked"
    return ""
