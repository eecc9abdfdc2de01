"""What the first reading with a borrowed instrument would decide."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from diagnose.catalogue.records import ReadingEntry
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.next_test import least_rate
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import unscaled
from diagnose.walkthrough import Walk

CANDIDATES = 4
"""Repairs, the likeliest first, of which a reading may part two."""

APART = 0.5
"""Least share of outcomes by which two repairs must differ in a reading that is said to part them;
a choice."""


TOLD_APART = 5.0
"""Times what a meter may be off, by which the two figures that are told must differ; a choice. Two
causes can part in what they may read and yet have the same middle."""


@dataclass(frozen=True)
class Borrow:
    """A reading that cannot be taken with what is there, and the two failure modes that it parts,
    each with what would be read [the reading's unit]; needs: things of the kit."""

    reading: Reading
    needs: tuple[str, ...]
    either: tuple[str, float]
    other: tuple[str, float]


def borrow(walk: Walk, belief: Posterior) -> Borrow | None:
    """The reading out of reach that teaches most for its time, where it is worth that."""
    figures = walk.bench.model.figures
    missing = walk.means.lacks
    for worth in walk.worths(belief, out_of_reach=True):
        entry = worth.test.entry
        if worth.rate < least_rate(figures):
            return None
        if isinstance(entry, ReadingEntry) and missing.intersection(entry.needs):
            found = _parted(walk, belief, worth.test, entry)
            if found:
                return found
    return None


def _parted(walk: Walk, belief: Posterior, test: Test, entry: ReadingEntry) -> Borrow | None:
    """The two likely repairs that the reading parts best, by how likely both are; None where it
    parts none."""
    chooser = walk.bench.chooser
    group = chooser.repair_numbers(belief.hypotheses)
    table = chooser.joint(belief, test)[:, :-1]
    share = table.sum(axis=0)
    likely = np.argsort(-share)[:CANDIDATES]
    given = table / np.maximum(share, 1e-300)
    apart = {
        (int(a), int(b)): float(np.abs(given[:, a] - given[:, b]).sum()) / 2
        for a, b in combinations(likely, 2)
    }
    clear = [pair for pair, differs in apart.items() if differs >= APART]
    clear.sort(key=lambda pair: -min(share[pair[0]], share[pair[1]]) * apart[pair])
    told = walk.bench.shop.catalogue.quantities[entry.reading.quantity].absolute * TOLD_APART
    for a, b in clear:
        either = _expected(walk, belief, group == a, entry.reading)
        other = _expected(walk, belief, group == b, entry.reading)
        if abs(either[1] - other[1]) > told:
            return Borrow(entry.reading, entry.needs, either, other)
    return None


def _expected(walk: Walk, belief: Posterior, modes: Array, reading: Reading) -> tuple[str, float]:
    """The likeliest of some failure modes, and the middle of what it would read."""
    h, band = belief.hypotheses, walk.bench.predictions.band(reading)
    best = int(np.argmax(np.where(modes, belief.mode, -1.0)))
    here = np.flatnonzero(h.mode == best)
    order = here[np.argsort(band.mean[here])]
    whole = np.cumsum(belief.column[order])
    middle = order[int(np.searchsorted(whole, whole[-1] / 2))]
    return h.modes[best], unscaled(reading, float(band.mean[middle]))
