"""What the book cannot do: failure modes that no test separates, and tests that never help.

All by the model's own predictions: what it cannot tell apart on paper, it cannot on the rig.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from diagnose.bench import Bench
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.information import entropy, information_gains

HELPS = 0.1
"""Bits of an even choice between two failure modes below which a test does not help there."""

SAMPLES = 48
"""Cases drawn of each failure mode; with those of both, the bits of a pair are good to 0.05."""

SEED = 8

Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Pair:
    """Two failure modes with different repairs, at even odds.

    bits: what all tests of the rig together are expected to teach about which of them it is;
    best: the single test that teaches most, and how much
    """

    modes: tuple[str, str]
    bits: float
    best: Test
    best_bits: float


@dataclass(frozen=True)
class Separation:
    """One rig. pairs: every two failure modes with different repairs; most: for every test the
    bits that it teaches about the pair for which it teaches most."""

    pairs: tuple[Pair, ...]
    most: tuple[tuple[Test, float], ...]


def bits_to_reach(probability: float) -> float:
    """What must be learnt of an even choice until one of the two has this probability. [bit]"""
    return 1.0 - float(entropy(np.array([probability, 1.0 - probability])))


def separation(bench: Bench) -> Separation:
    """What each test, and all of them together, teach about every two failure modes of a rig."""
    modes, repair = bench.hypotheses.modes, bench.shop.repair
    tests = bench.chooser.outcomes.tests
    sheet = Sheet.of(bench)
    together, most = sheet.together(), np.zeros(len(tests))
    pairs = []
    for i, j in combinations(range(len(modes)), 2):
        if repair[modes[i]] != repair[modes[j]]:
            bits = sheet.apart(i, j)
            most = np.maximum(most, bits)
            best = int(np.argmax(bits))
            told = float(max(together[i, j], bits[best]))
            pairs.append(Pair((modes[i], modes[j]), told, tests[best], float(bits[best])))
    return Separation(tuple(pairs), tuple(zip(tests, most.tolist(), strict=True)))


@dataclass(frozen=True)
class Sheet:
    """The failure modes of a rig, side by side.

    chances: of every outcome of every test (column) under every hypothesis (row), summing to 1 a
    test; start: first outcome of each test; first: first hypothesis of each failure mode; weight:
    of each hypothesis within its failure mode
    """

    chances: Array
    start: Ints
    first: Ints
    weight: Array

    @classmethod
    def of(cls, bench: Bench) -> Sheet:
        h, found = bench.hypotheses, bench.chooser.outcomes
        start, columns = found.start[:-1], found.columns
        whole = np.add.reduceat(columns, start, axis=1)
        chances = columns / np.repeat(whole, np.diff(found.start), axis=1)
        first = np.flatnonzero(np.diff(h.mode, prepend=-1))
        weight = h.weight / np.add.reduceat(h.weight, first)[h.mode]
        return cls(chances, start, first, weight)

    @cached_property
    def average(self) -> Array:
        """Chance of every outcome under each failure mode; (modes, outcomes)."""
        return np.asarray(np.add.reduceat(self.weight[:, None] * self.chances, self.first))

    def apart(self, i: int, j: int) -> Array:
        """What each test teaches of an even choice between two failure modes. [bit]"""
        return information_gains(self.average[[i, j]].T, self.start)

    def together(self) -> Array:
        """What all tests together teach of an even choice between any two; (modes, modes). [bit]

        From SAMPLES cases of each failure mode, every test answered in each by its chances. The
        answers of one case share its severity, so what only they say together is counted.
        """
        logs = self._log_likelihoods()
        own = np.diagonal(logs, axis1=0, axis2=1).T[None]
        with np.errstate(over="ignore"):
            left = entropy(_even_odds(own - logs), axis=-1).mean(axis=-1)
        return np.asarray(1.0 - (left + left.T) / 2)

    def _log_likelihoods(self) -> Array:
        """Of a failure mode (first index), given each case (third) of another (second)."""
        logs = np.log(np.maximum(self.chances, 1e-12)).astype(np.float32) @ self._answered()
        logs += np.log(np.maximum(self.weight, 1e-30)).astype(np.float32)[:, None]
        sizes = np.diff(self.first, append=len(logs))
        highest = np.maximum.reduceat(logs, self.first)
        logs -= np.repeat(highest, sizes, axis=0)
        found = np.log(np.add.reduceat(np.exp(logs, out=logs), self.first)) + highest
        return found.reshape(len(sizes), len(sizes), SAMPLES).astype(np.float64)

    def _answered(self) -> NDArray[np.float32]:
        """1 where a drawn case (column) has this outcome (row), else 0."""
        random = np.random.default_rng(SEED)
        rows = self._drawn(random)
        ends = np.append(self.start[1:], self.chances.shape[1])
        hot = np.zeros((self.chances.shape[1], len(rows)), dtype=np.float32)
        for start, end in zip(self.start, ends, strict=True):
            up_to = np.cumsum(self.chances[rows, start:end], axis=1)
            outcome = (up_to[:, :-1] < random.random((len(rows), 1))).sum(axis=1)
            hot[start + outcome, np.arange(len(rows))] = 1
        return hot

    def _drawn(self, random: np.random.Generator) -> Ints:
        """Hypotheses of SAMPLES cases of each failure mode in turn."""
        parts = np.split(self.weight, self.first[1:])
        return np.concatenate(
            [
                start + random.choice(len(p), size=SAMPLES, p=p)
                for start, p in zip(self.first, parts, strict=True)
            ]
        )


def _even_odds(log_ratio: Array) -> Array:
    """Probabilities of one and the other at even odds, from the log of their likelihood ratio."""
    one = 1.0 / (1.0 + np.exp(-log_ratio))
    return np.stack([one, 1.0 - one], axis=-1)
