"""A reading cut into a few bins where it parts the repairs, a value standing for each of them.

The bins are worked out for one place of the walk: fine ones first, by what the hypotheses expect
and by what the reading's verdict would be; then neighbours become one, those first that lose least
information about the repair, never two of which the rules let different things be done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Evidence, check_reading
from diagnose.reasoning.information import information_gain
from diagnose.reasoning.outcome_table import bin_chances, bin_edges
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Band, scaled, unscaled
from diagnose.units import show_quantity
from diagnose.walkthrough import Question, Walk

FINE = 24
"""Bins before neighbours become one."""

HALVINGS = 40
"""Halvings by which the value is found at which a verdict changes."""

DIGITS = 6
"""Most digits that a value needs to lie within its bin."""


@dataclass(frozen=True)
class Bin:
    """Values of a reading from `low` to `high` [its unit]; None where there is no end. stands_for:
    the value of the tree, as a person would type it; share: probability of the bin, 0 to 1."""

    low: float | None
    high: float | None
    stands_for: str
    share: float


@dataclass(frozen=True)
class _Fine:
    """Fine bins on the reading's scale: edges, joint probabilities with the repairs, and for each
    what the rules allow when it is read."""

    edges: list[float]
    joint: Array
    allowed: list[object]


def bins_of(walk: Walk, question: Question) -> tuple[Bin, ...]:
    """The bins of a reading that is asked for now, lowest first."""
    assert question.reading is not None
    reading, belief = question.reading, walk.belief()
    band = walk.bench.predictions.band(reading)
    figures = walk.bench.model.figures
    fine = _fine(walk, question, band, belief)
    merged = _merged(fine, int(figures.get("page-bins")), figures.get("page-bin-loss"))
    total = max(float(merged.joint.sum()), 1e-300)
    ends = [None, *(unscaled(reading, edge) for edge in merged.edges), None]
    found = []
    for number, (low, high) in enumerate(pairwise(ends)):
        inside = _middle(band, belief.column, reading, low, high)
        share = float(merged.joint[number].sum()) / total
        found.append(Bin(low, high, _typed(walk, reading, inside, low, high), share))
    return tuple(found)


# -- fine bins -----------------------------------------------------------------------------------


def _fine(walk: Walk, question: Question, band: Band, belief: Posterior) -> _Fine:
    assert question.reading is not None
    reading = question.reading
    expected = map(float, bin_edges(band, belief.column, FINE))
    edges = sorted({*expected, *_verdict_edges(walk, reading)})
    chances = bin_chances(band, np.array(edges))
    group = walk.bench.chooser.repair_numbers(belief.hypotheses)[belief.hypotheses.mode]
    rows = [np.bincount(group, row * belief.column) for row in chances]
    joint = np.stack(rows).astype(np.float64)
    known: dict[str, object] = {}
    allowed = []
    for value in _inner(reading, edges, walk):
        item = check_reading(walk.bench.shop.catalogue, walk.bench.rig, reading, value)
        verdict = walk.bench.healthy.verdict(item)
        if verdict not in known:
            known[verdict] = _allowed(walk, item)
        allowed.append(known[verdict])
    return _Fine(edges, joint, allowed)


def _allowed(walk: Walk, item: Evidence) -> object:
    """What the rules let be done once this is read: the stops, and what may not be asked."""
    trial = walk.forked()
    trial.told = (*trial.told, item)
    found = trial.conclusions()
    stops = frozenset(one.then.stop for one in found.stops)
    return stops, frozenset(test for one in found.blocks for test in one.then.tests)


def _inner(reading: Reading, edges: Sequence[float], walk: Walk) -> Iterator[float]:
    """A value within each fine bin, in the reading's unit."""
    least, most = _ends(walk, reading)
    for low, high in pairwise([least, *edges, most]):
        yield unscaled(reading, (low + high) / 2)


def _ends(walk: Walk, reading: Reading) -> tuple[float, float]:
    """What a meter can show at most and least, on the reading's scale."""
    limits = walk.bench.shop.catalogue.quantities[reading.quantity]
    most = LARGEST_OHMS if reading.quantity == "resistance" else limits.impossible_above
    return float(scaled(reading, limits.impossible_below)), float(scaled(reading, most))


def _verdict_edges(walk: Walk, reading: Reading) -> Iterator[float]:
    """Where the verdict on a reading changes, on the reading's scale."""
    book, healthy = walk.bench.shop.catalogue, walk.bench.healthy

    def verdict(at: float) -> str:
        item = check_reading(book, walk.bench.rig, reading, unscaled(reading, at))
        return healthy.verdict(item)

    sound = healthy.expected(reading)
    known = [float(scaled(reading, value)) for value in (sound.low, sound.value, sound.high)]
    least, most = _ends(walk, reading)
    grid = sorted({*np.linspace(least, most, 4 * FINE).tolist(), *known})
    for low, high in pairwise([at for at in grid if least <= at <= most]):
        if verdict(low) != verdict(high):
            yield _change(verdict, low, high)


def _change(verdict: Callable[[float], str], low: float, high: float) -> float:
    """The place between two values at which the verdict changes."""
    first = verdict(low)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if verdict(middle) == first:
            low = middle
        else:
            high = middle
    return high


# -- fewer bins ----------------------------------------------------------------------------------


def _merged(fine: _Fine, most: int, loss: float) -> _Fine:
    """Neighbours made one, as long as there are too many or nothing much is lost."""
    edges, allowed = [*fine.edges], [*fine.allowed]
    rows = [*fine.joint]
    while len(rows) > 1:
        costs = [
            (_lost(rows[i], rows[i + 1]), i)
            for i in range(len(rows) - 1)
            if allowed[i] == allowed[i + 1]
        ]
        if not costs:
            break
        cost, at = min(costs)
        if len(rows) <= most and cost > loss:
            break
        rows[at] = rows[at] + rows.pop(at + 1)
        del edges[at], allowed[at + 1]
    return _Fine(edges, np.stack(rows), allowed)


def _lost(a: Array, b: Array) -> float:
    """Information about the repair [bit] that is lost when two bins become one: what telling them
    apart would give, times how often it is either."""
    both = np.stack([a, b])
    return float(both.sum()) * information_gain(both) if both.sum() > 0 else 0.0


# -- the value that stands for a bin -------------------------------------------------------------


def _middle(
    band: Band, column: Array, reading: Reading, low: float | None, high: float | None
) -> float:
    """The middle of what the likely hypotheses expect within a bin, in the reading's unit; the
    middle of the bin, or a value near its only end, where none of them expects anything there."""
    first = -np.inf if low is None else float(scaled(reading, low))
    last = np.inf if high is None else float(scaled(reading, high))
    here = np.flatnonzero((band.mean >= first) & (band.mean < last) & (column > 0))
    if len(here):
        order = here[np.argsort(band.mean[here])]
        whole = np.cumsum(column[order])
        return unscaled(reading, float(band.mean[order[np.searchsorted(whole, whole[-1] / 2)]]))
    step = float(np.median(band.spread))
    if np.isinf(first):
        return unscaled(reading, last - step)
    return unscaled(reading, first + step if np.isinf(last) else (first + last) / 2)


def _typed(
    walk: Walk, reading: Reading, value: float, low: float | None, high: float | None
) -> str:
    """A value as it would be typed, with as few digits as keep it within its bin."""
    limits = walk.bench.shop.catalogue.quantities[reading.quantity]
    if reading.quantity == "resistance" and value >= LARGEST_OHMS / 2:
        return "OL"
    value = min(max(value, limits.impossible_below), limits.impossible_above)
    shown = [show_quantity(value, reading.unit)]
    shown += [f"{value:.{digits}g} {reading.unit}" for digits in range(4, DIGITS + 12)]
    for text in shown:
        item = check_reading(walk.bench.shop.catalogue, walk.bench.rig, reading, text)
        if (low is None or item.value >= low) and (high is None or item.value < high):
            return text
    return shown[-1]
