"""Which readings of a new rig say most about it, in the order in which they are best taken.

Readings are chosen one after the other, each time the one that tells most about what lasts of the
rig beside those before. With S the covariance of the spreads before and S' after a reading it is

    1/2 log2 (det S / det S')  [bit]

the loss of entropy of a normal distribution. Source: for the entropy of normal distributions C. E.
Shannon, A Mathematical Theory of Communication, 1948, section 20 (from memory); that readings are
chosen one by one is common practice.
"""

from __future__ import annotations

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import Reading
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import Array
from diagnose.design.facts import rig_facts
from diagnose.reasoning.available_tests import Test, tests_for
from diagnose.reasoning.calibration import CalibratedRig, Lines, fit_lines
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.hypotheses import normal_draws

MOST, LEAST, DRAWS = 12, 0.03, 400
"""Readings asked for at most; bits below which one more is not worth its while; rigs that are
solved to see which are."""

THE_SAME = 0.98
"""How nearly two readings go together to say the same again (correlation)."""

FIRST = ("voltage battery+ battery- rest", "voltage battery+ battery- calling")
"""The battery before all: what else is read depends on it."""

STATES = ("rest", "satisfied", "calling")
"""States of a rig that works as it should, in the order in which readings are taken in them."""


def select_readings(catalogue: Catalogue, model: Model) -> tuple[Test, ...]:
    """The battery, and the readings that tell most, by state and then in the order of the book."""
    tests = _readings(catalogue, model)
    chosen = _chosen(_over_the_spreads(catalogue, model, [_of(test) for test in tests]))
    kept = [test for n, test in enumerate(tests) if n in chosen or test.id in FIRST]
    return tuple(sorted(kept, key=lambda test: STATES.index(test.state)))


def _readings(catalogue: Catalogue, model: Model) -> list[Test]:
    found = tests_for(catalogue, model.rig, rig_facts(model))
    return [test for test in found if hasattr(test.entry, "reading") and test.state in STATES]


def _of(test: Test) -> Reading:
    reading: Reading = test.entry.reading  # type: ignore[union-attr]
    return reading


def _over_the_spreads(catalogue: Catalogue, model: Model, readings: list[Reading]) -> Lines:
    """Each reading as a line over what lasts of a rig and what is of the day."""
    any_rig = CalibratedRig(catalogue, model, CommissioningRecord())
    size = len(any_rig.middle)
    draws = normal_draws(DRAWS, 2 * size)
    return fit_lines(draws, *any_rig.read(readings, draws[:size], draws[size:]))


def _chosen(lines: Lines) -> list[int]:
    """Numbers of the readings chosen, one after the other."""
    spread, chosen = np.eye(lines.slope.shape[1]), list[int]()
    left = [*range(len(lines.noise))]
    while left and len(chosen) < MOST:
        after = {number: _after(spread, lines, number) for number in left}
        bits = {number: _bits(spread, one) for number, one in after.items()}
        best = max(left, key=lambda number: bits[number])
        if bits[best] < LEAST:
            break
        chosen.append(best)
        spread = after[best]
        left = [number for number in left if not _same(lines, number, best)]
    return chosen


def _same(lines: Lines, one: int, other: int) -> bool:
    """Whether two readings say the same; one itself does."""
    a, b = lines.slope[one], lines.slope[other]
    return bool(abs(a @ b) >= THE_SAME * np.sqrt((a @ a) * (b @ b)))


def _after(spread: Array, lines: Lines, number: int) -> Array:
    """Covariance once a reading of slope b and noise r is known: S - S b b^T S / (b^T S b + r)."""
    slope = lines.slope[number]
    along = spread @ slope
    return np.asarray(spread - np.outer(along, along) / (slope @ along + lines.noise[number]))


def _bits(before: Array, after: Array) -> float:
    """What has been learned of the first half, which lasts [bit]."""
    half = len(before) // 2
    parts = (np.linalg.slogdet(one[:half, :half])[1] for one in (before, after))
    first, last = parts
    return float(first - last) / (2 * float(np.log(2)))
