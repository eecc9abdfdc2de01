"""Whether the evidence agrees: with the book, apart from the ranking, and with itself.

Each piece of evidence is held against what the causes of the book, as all evidence together leaves
them, would have shown there: what is left odd then is what the best of them can only call a
mistake. How odd all of them are together says whether something may be going on that no entry
describes.

Readings of one rig cannot be together either where one is above the battery's own posts, since the
battery alone feeds it: in whatever state the rig is, every other part takes volts away (Kirchhoff's
voltage law).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.catalogue.records import Catalogue, Quantity
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.charging import was_on_charge
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Predictions, scaled

POSTS = ("battery+", "battery-")

SURE = 3.0
"""Standard deviations of both meters together that leave no doubt."""

_UNCHARGED = {"charging-source-effect": "not-tried", "posts-while-charging": "no-source"}
"""What is asked about a charger, and the answer by which there is none."""


@dataclass(frozen=True)
class Fit:
    """odd: the evidence that the book hardly expected, oddest first; chance: of evidence together
    at least as odd, were the cause in the book; fits: whether that is usual."""

    odd: tuple[Evidence, ...]
    chance: float
    fits: bool


FITS = Fit((), 1.0, True)
"""When nothing was found that could be odd."""


def goodness_of_fit(predictions: Predictions, belief: Posterior) -> Fit:
    """How well the book fits all evidence so far, what was told unasked apart.

    The thresholds are the figures odd-below (of one piece) and misfit-below (of all together).
    """
    figures = predictions.hypotheses.model.figures
    items = [item for item in belief.evidence if not (isinstance(item, Seen) and item.reported)]
    weight = belief.column / belief.column.sum()
    tails = {item: _tail(predictions, item, weight) for item in items}
    odd = [item for item in items if tails[item] < figures.get("odd-below")]
    chance = combined_tail(list(tails.values()))
    order = tuple(sorted(odd, key=lambda item: (tails[item], item.id)))
    return Fit(order, chance, chance >= figures.get("misfit-below"))


def _tail(predictions: Predictions, item: Evidence, weight: Array) -> float:
    """Probability of evidence no likelier than this, under hypotheses of these weights, shape
    (hypotheses)."""
    if isinstance(item, Measured):
        return _beyond(predictions, item, weight)
    options = tuple(predictions.catalogue.observations[item.observation].options)
    chances = predictions.chances(item.observation) @ weight
    here = chances[options.index(item.option)]
    return float(min(chances[chances <= here * (1 + 1e-9)].sum(), 1.0))


def _beyond(predictions: Predictions, item: Measured, weight: Array) -> float:
    """Probability of a reading at least as far from what each hypothesis expects, or of a misread
    one:  m + (1 - m) sum_h weight[h] 2 F(-|z_h|), F the normal distribution."""
    if was_on_charge(predictions.hypotheses.model, item.reading, item.value):
        return 1.0
    band = predictions.band(item.reading)
    z = np.abs(float(scaled(item.reading, item.value)) - band.mean) / band.spread
    misread = predictions.hypotheses.model.figures.get("misread")
    return float(misread + (1 - misread) * (weight @ (2 * normal_cdf(-z))))


def combined_tail(tails: Sequence[float]) -> float:
    """Probability that so many tail probabilities p are together as small as these.

    Fisher's method: x = -2 sum ln p is chi-square with 2n degrees of freedom, whose upper tail for
    even degrees is a finite sum:

        exp(-x/2) sum_{k=0}^{n-1} (x/2)^k / k!

    Source: R. A. Fisher, Statistical Methods for Research Workers, 21.1 (from memory). It is
    conservative here, since answers come in steps.

    >>> combined_tail([0.5])
    0.5
    >>> round(combined_tail([0.05, 0.05]), 4)
    0.0175
    """
    half = -sum(math.log(max(tail, 1e-12)) for tail in tails)
    term, total = 1.0, 1.0
    for k in range(1, len(tails)):
        term *= half / k
        total += term
    return math.exp(-half) * total if tails else 1.0


def voltages_above_battery(
    evidence: Iterable[Evidence], catalogue: Catalogue
) -> Iterator[tuple[Measured, Measured, str]]:
    """Every voltage above that of the battery's posts in the same state: it, that one, and what is
    to be said. None where somebody has a charger or an engine there, which may have fed the rig."""
    items, volts = tuple(evidence), catalogue.quantities["voltage"]
    if any(_on_charge(item) for item in items):
        return
    read = [one for one in items if isinstance(one, Measured) and one.reading.quantity == "voltage"]
    posts = {one.reading.condition: one for one in read if _at_the_posts(one.reading)}
    for one in read:
        battery = posts.get(one.reading.condition)
        if battery and battery is not one and _is_above(one, battery, volts):
            yield one, battery, _sentence(one, battery)


def _on_charge(item: Evidence) -> bool:
    """Whether somebody has another source there, which may have fed the rig meanwhile."""
    return isinstance(item, Seen) and item.option != _UNCHARGED.get(item.observation, item.option)


def _at_the_posts(reading: Reading) -> bool:
    return set(reading.points) == set(POSTS)


def _is_above(one: Measured, battery: Measured, volts: Quantity) -> bool:
    """Whether a voltage is higher, also after rounding and by more than two meters can err."""
    a, b = abs(one.value), abs(battery.value)
    error = math.hypot(
        math.hypot(volts.absolute, volts.relative * a),
        math.hypot(volts.absolute, volts.relative * b),
    )
    return a - b - (one.resolution + battery.resolution) / 2 > SURE * error


def _sentence(one: Measured, battery: Measured) -> str:
    high, low = (item.typed or f"{item.value:g} V" for item in (one, battery))
    return (
        f"{in_words(one.reading)} = {high} is more than the battery's own posts show in the same "
        f"state ({low}), and nothing else feeds the rig: read both again."
    )
