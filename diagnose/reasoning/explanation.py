"""The reasons behind a ranking, in words and in order of weight, from what was already computed."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.expectations import Expected, Healthy
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.words import band as words_band
from diagnose.reasoning.words import spaced
from diagnose.units import show_quantity

STRENGTHS = ((30.0, "decisively"), (10.0, "strongly"), (3.0, "moderately"), (1.5, "weakly"))
"""Likelihood ratios and the words for them: decisive 30, strong 10, moderate 3, weak 1.5."""


@dataclass(frozen=True)
class Reason:
    """One finding and how it moved one failure mode: ratio of odds with it and without it."""

    item: Evidence
    ratio: float

    @property
    def strength(self) -> str:
        """decisively, strongly, moderately, weakly or hardly."""
        size = max(self.ratio, 1 / self.ratio)
        return next((word for least, word in STRENGTHS if size >= least), "hardly")


def _odds(probability: float) -> float:
    inside = min(max(probability, 1e-12), 1 - 1e-12)
    return inside / (1 - inside)


def _of(belief: Posterior, modes: Collection[str]) -> float:
    places = [i for i, name in enumerate(belief.hypotheses.modes) if name in modes]
    return float(belief.mode[places].sum())


def reasons(belief: Posterior, modes: Collection[str]) -> tuple[Reason, ...]:
    """What speaks for and against any of some failure modes, the heaviest first."""
    now = _odds(_of(belief, modes))
    found = [
        Reason(item, now / _odds(_of(belief.without(i), modes)))
        for i, item in enumerate(belief.evidence)
    ]
    return tuple(sorted(found, key=lambda r: (-abs(np.log(r.ratio)), r.item.id)))


def value_words(item: Measured) -> str:
    """A reading's value as it was typed, or as a person writes it."""
    if item.typed:
        return item.typed
    if item.reading.quantity == "resistance" and item.value >= LARGEST_OHMS:
        return "OL"
    return show_quantity(item.value, item.reading.unit)


def named(item: Evidence) -> str:
    """What was looked at or read, as it is called on the screen."""
    return spaced(item.observation) if isinstance(item, Seen) else in_words(item.reading)


def said(item: Evidence, healthy: Healthy) -> str:
    """A finding in words, a reading with the band that a sound rig would show, and before it that
    of this very rig where it is known."""
    if isinstance(item, Seen):
        return f"{named(item)}: {spaced(item.option)}"
    band = healthy.expected(item.reading)
    if band.book is None:
        return f"{named(item)} = {value_words(item)} (sound {_within(item, band)})"
    own = f"this rig {_within(item, band)}, sound ones {_within(item, band.book)}"
    return f"{named(item)} = {value_words(item)} ({own})"


def _within(item: Measured, band: Expected) -> str:
    return "OL" if band.high >= LARGEST_OHMS else words_band(band.low, band.high, item.reading)


def because(belief: Posterior, modes: Collection[str], healthy: Healthy) -> tuple[str, ...]:
    """One line a finding that moved these failure modes at all, the heaviest first."""
    return tuple(
        f"{said(reason.item, healthy)} speaks {reason.strength} "
        f"{'for' if reason.ratio >= 1 else 'against'} it"
        for reason in reasons(belief, modes)
        if reason.strength != "hardly"
    )


CLEAR = 0.5
"""Probability from which an outcome points to one repair, whatever it was before."""


def parting(joint: np.ndarray, options: tuple[str, ...], names: tuple[str, ...]) -> str:
    """What each outcome of a test would point to. joint: outcomes by repairs, OTHER last."""
    words = []
    share = joint.sum(axis=0) / max(float(joint.sum()), 1e-300)
    for row, option in zip(joint, options, strict=True):
        given = row / max(float(row.sum()), 1e-300)
        clear = given.max() >= CLEAR
        best = int(np.argmax(given if clear else given - share))
        if clear or (given[best] > share[best] * 1.2 and given[best] > 0.05):
            words.append(f"{option} points to {names[best]}")
    return "; ".join(words)


def title(catalogue: Catalogue, mode: str) -> str:
    """A failure mode's title, or words for the unknown."""
    known = catalogue.failure_modes.get(mode)
    return known.title if known else "Something that is not in the book"
