"""What a test is expected to settle, and what each of its outcomes would point to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.catalogue.records import Observation
from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.information import entropy, information_gain
from diagnose.reasoning.next_test import TestChooser
from diagnose.reasoning.outcome_table import BINS, bin_edges
from diagnose.reasoning.posterior import Posterior, by_repair
from diagnose.reasoning.predictions import unscaled

CLEAR = 0.5
"""Probability from which an outcome points to one repair, whatever it was before."""

Span = tuple[float | None, float | None]
"""Values of a reading from one to another [the reading's unit]; None where there is no end."""


@dataclass(frozen=True)
class Pointer:
    """What some outcomes of a test would point to: answers of an observation, or spans of a
    reading; mode: the likeliest failure mode of the repair, "" where they leave it open."""

    mode: str
    answers: tuple[str, ...] = ()
    spans: tuple[Span, ...] = ()


@dataclass(frozen=True)
class Outlook:
    """What a test is expected to do. share: part of what is still open that it settles on
    average, 0 to 1; pointers: every outcome once, those that point to nothing last."""

    share: float
    pointers: tuple[Pointer, ...]


def outlook(chooser: TestChooser, belief: Posterior, test: Test) -> Outlook:
    """The expected worth of one test now, and what its outcomes would mean."""
    table = chooser.joint(belief, test)
    share = settled_share(information_gain(table), belief, chooser.repair)
    return Outlook(share, tuple(_pointers(chooser, belief, test, table)))


def settled_share(bits: float, belief: Posterior, repair: Mapping[str, str]) -> float:
    """The part of what is still open of the repair that so much information settles, 0 to 1."""
    shares = [*by_repair(belief.ranking, repair).values()]
    still_open = float(entropy(np.array(shares)))
    return min(max(bits / still_open, 0.0), 1.0) if still_open > 1e-6 else 0.0


def points_to(joint: Array) -> dict[int, int]:
    """The repair (column) to which each outcome (row) points clearly; others are left out."""
    found = {}
    share = joint.sum(axis=0) / max(float(joint.sum()), 1e-300)
    for number, row in enumerate(joint):
        given = row / max(float(row.sum()), 1e-300)
        clear = given.max() >= CLEAR
        best = int(np.argmax(given if clear else given - share))
        if clear or (given[best] > share[best] * 1.2 and given[best] > 0.05):
            found[number] = best
    return found


def _pointers(
    chooser: TestChooser, belief: Posterior, test: Test, table: Array
) -> Iterator[Pointer]:
    """Outcomes by what they point to: every outcome once, and every failure mode once."""
    entry, points = test.entry, points_to(table)
    modes = _likeliest(chooser, belief)
    found: dict[str, list[int]] = {}
    for row in range(len(table)):
        found.setdefault(modes[points[row]] if row in points else "", []).append(row)
    for mode in sorted(found, key=lambda one: one == ""):
        if isinstance(entry, Observation):
            options = tuple(entry.options)
            yield Pointer(mode, answers=tuple(options[row] for row in found[mode]))
        else:
            band = chooser.outcomes.predictions.band(entry.reading)
            edges = bin_edges(band, chooser.outcomes.predictions.hypotheses.weight, BINS)
            ends = [None, *(unscaled(entry.reading, float(edge)) for edge in edges), None]
            yield Pointer(mode, spans=tuple((ends[a], ends[b + 1]) for a, b in _runs(found[mode])))


def _likeliest(chooser: TestChooser, belief: Posterior) -> list[str]:
    """What each repair most likely mends, by the columns of a joint; OTHER last."""
    mended: dict[str, str] = {}
    for name, _ in belief.ranking:
        mended.setdefault(chooser.repair.get(name, name), name)
    return [mended[repair] for repair in (*chooser.repairs(belief.hypotheses), OTHER)]


def _runs(rows: Sequence[int]) -> Iterator[tuple[int, int]]:
    """First and last of the rows that follow each other."""
    first = rows[0]
    for row, after in zip(rows, [*rows[1:], -1], strict=True):
        if after != row + 1:
            yield first, row
            first = after
