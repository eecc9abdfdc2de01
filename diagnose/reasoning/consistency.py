"""How well the book fits what was found: a check of prediction against finding, apart from the
ranking.

Each finding is held against what the causes of the book, as all findings together leave them,
would have shown there: what is left odd then is what the best of them can only call a mistake. How
odd all of them are together says whether something may be going on that no entry describes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Predictions, scaled


@dataclass(frozen=True)
class Fit:
    """odd: the findings that the book hardly expected, oddest first; chance: of findings together
    at least as odd, were the cause in the book; fits: whether that is usual."""

    odd: tuple[Evidence, ...]
    chance: float
    fits: bool


FITS = Fit((), 1.0, True)
"""When nothing was found that could be odd."""


def fit(predictions: Predictions, belief: Posterior) -> Fit:
    """Of everything found so far, what was told unasked apart."""
    figures = predictions.hypotheses.model.figures
    items = [item for item in belief.evidence if not (isinstance(item, Seen) and item.reported)]
    weight = belief.column / belief.column.sum()
    tails = {item: _tail(predictions, item, weight) for item in items}
    odd = [item for item in items if tails[item] < figures.get("odd-below")]
    chance = together(list(tails.values()))
    order = tuple(sorted(odd, key=lambda item: (tails[item], item.id)))
    return Fit(order, chance, chance >= figures.get("misfit-below"))


def _tail(predictions: Predictions, item: Evidence, weight: Array) -> float:
    """Chance of a finding no likelier than this one, under hypotheses of these weights."""
    if isinstance(item, Measured):
        return _beyond(predictions, item, weight)
    options = tuple(predictions.catalogue.observations[item.observation].options)
    chances = predictions.chances(item.observation) @ weight
    here = chances[options.index(item.option)]
    return float(min(chances[chances <= here * (1 + 1e-9)].sum(), 1.0))


def _beyond(predictions: Predictions, item: Measured, weight: Array) -> float:
    """Chance of a reading at least as far from what each hypothesis expects."""
    band = predictions.band(item.reading)
    z = np.abs(float(scaled(item.reading, item.value)) - band.mean) / band.spread
    misread = predictions.hypotheses.model.figures.get("misread")
    return float(misread + (1 - misread) * (weight @ (2 * normal_cdf(-z))))


def together(tails: Sequence[float]) -> float:
    """Chance that so many tail probabilities are together as small as these.

    Fisher's method: -2 sum ln p is chi-square with 2n degrees of freedom, whose upper tail for even
    degrees is a finite sum. Source: R. A. Fisher, Statistical Methods for Research Workers, 21.1
    (from memory); a conservative one, since answers come in steps.
    """
    half = -sum(math.log(max(tail, 1e-12)) for tail in tails)
    term, total = 1.0, 1.0
    for k in range(1, len(tails)):
        term *= half / k
        total += term
    return math.exp(-half) * total if tails else 1.0
