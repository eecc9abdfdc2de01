"""Which test tells two failure modes apart, and how it would turn out under each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.audit.separation import HELPS, Sheet
from diagnose.bench import Bench
from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.predictions import scaled, unscaled
from diagnose.reasoning.words import per_cent, rough

SHOWN = 3
"""Tests named for one pair."""

SHOWS, SPEAKS = 0.25, 1.5
"""An answer counts as what a failure mode shows from this chance up, and from so many times the
chance that it has on any rig."""

MOST = 8
"""Signs that are shown."""


@dataclass(frozen=True)
class Parting:
    """One test and two failure modes; bits: what it is expected to teach of an even choice between
    them; here, there: how it turns out under the one and under the other."""

    test: Test
    bits: float
    here: str
    there: str


@dataclass(frozen=True)
class Sign:
    """What a failure mode shows: an answer to an observation, and its chance."""

    entry: Observation
    option: str
    share: float


@dataclass
class Apart:
    """The failure modes of one rig, two by two."""

    bench: Bench

    @cached_property
    def _sheet(self) -> Sheet:
        return Sheet.of(self.bench)

    @property
    def _modes(self) -> tuple[str, ...]:
        return self.bench.hypotheses.modes

    def _of(self, mode: str) -> tuple[NDArray[np.intp], Array]:
        """Which hypotheses are of a mode, and their weights, summing to one."""
        h = self.bench.hypotheses
        here = np.flatnonzero(h.mode == self._modes.index(mode))
        return here, h.weight[here] / h.weight[here].sum()

    def by(self, here: str, there: str) -> tuple[Parting, ...]:
        """The tests that tell one failure mode from another best for their time."""
        tests = self.bench.chooser.outcomes.tests
        bits = self._sheet.apart(*(self._modes.index(mode) for mode in (here, there)))
        best = sorted(range(len(tests)), key=lambda i: (-bits[i] / (tests[i].minutes + 1), i))
        return tuple(
            Parting(tests[i], float(bits[i]), *self._said(tests[i], here, there))
            for i in best[:SHOWN]
            if bits[i] >= HELPS
        )

    def _said(self, test: Test, here: str, there: str) -> tuple[str, str]:
        """How a test turns out under either: the answers in which they differ most."""
        if isinstance(test.entry, ReadingEntry):
            reading = test.entry.reading
            return self.band(here, reading), self.band(there, reading)
        one, other = self.shares(here, test.entry), self.shares(there, test.entry)
        options = tuple(test.entry.options)
        first, second = int(np.argmax(one - other)), int(np.argmax(other - one))
        return (
            f"{options[first]} ({per_cent(float(one[first]))})",
            f"{options[second]} ({per_cent(float(other[second]))})",
        )

    def shares(self, mode: str, entry: Observation) -> Array:
        """Chance of each answer under a failure mode."""
        here, weight = self._of(mode)
        return np.asarray(self.bench.predictions.plain(entry.id)[:, here] @ weight)

    def _at(self, mode: str, reading: Reading, shares: tuple[float, ...]) -> list[float]:
        """Values below which a reading stays in these shares of a failure mode's cases."""
        here, weight = self._of(mode)
        means = self.bench.predictions.band(reading).mean[here]
        order = np.argsort(means)
        found = np.interp(shares, np.cumsum(weight[order]), means[order])
        return [unscaled(reading, float(value)) for value in found]

    def band(self, mode: str, reading: Reading) -> str:
        """What a reading mostly is under a failure mode: the middle half of its cases."""
        low, high = (rough(value, reading) for value in self._at(mode, reading, (0.25, 0.75)))
        return low if low == high else f"{low} to {high}"

    def away(self, mode: str, reading: Reading) -> float:
        """How far a reading's median is from its sound value, in half widths of the sound band;
        ohms by decades."""
        sound = self.bench.healthy.expected(reading)
        middle, value, high, low = (
            float(scaled(reading, one))
            for one in (*self._at(mode, reading, (0.5,)), sound.value, sound.high, sound.low)
        )
        return abs(middle - value) / max((high - low) / 2, 1e-9)

    def shows(self, mode: str) -> tuple[Sign, ...]:
        """What a failure mode shows to eye, ear and hand on this rig more than others do, what
        speaks most for it first."""
        found: list[tuple[float, Sign]] = []
        for test in self.bench.tests.values():
            if isinstance(test.entry, Observation):
                found += self._signs(mode, test.entry)
        return tuple(sign for _, sign in sorted(found, key=lambda one: -one[0])[:MOST])

    def _signs(self, mode: str, entry: Observation) -> Iterator[tuple[float, Sign]]:
        """Answers that are likely here, with how many times likelier than on any rig."""
        for option, share in zip(entry.options, self.shares(mode, entry), strict=True):
            times = float(share) / max(entry.otherwise.get(option, 0.0), 0.01)
            if share >= SHOWS and times >= SPEAKS:
                yield times, Sign(entry, option, float(share))
