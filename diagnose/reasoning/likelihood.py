"""How well each hypothesis explains one finding, mistakes of the person allowed for."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.predictions import Band, Predictions, scaled
from diagnose.reasoning.slips import Explained, Slips

KEPT = 64
"""Findings whose likelihoods are kept: more than one walk has."""

NO_CONTACT, NEAR_NOTHING = 0.3, 0.1
"""Share of misreadings in which the probes touch nothing, and how near to 0 V they read [V]."""


def explained(predictions: Predictions, item: Evidence) -> Explained:
    """One finding under every hypothesis; the last KEPT asked for are kept.

    A reading is (1 - e) Normal + e Uniform, so that one misplaced probe cannot decide; a mistaken
    answer is any other one.
    """
    known = predictions.kept
    if item not in known:
        while len(known) >= KEPT:
            del known[next(iter(known))]
        known[item] = _explained(predictions, item)
    return known[item]


def _explained(predictions: Predictions, item: Evidence) -> Explained:
    if isinstance(item, Seen):
        return _answer(predictions, item, predictions.slips)
    return _reading(predictions, item, predictions.slips)


def _answer(predictions: Predictions, item: Seen, slips: Slips) -> Explained:
    observation = predictions.catalogue.observations[item.observation]
    options = tuple(observation.options)
    plain = predictions.plain(item.observation)[options.index(item.option)]
    astray = (1 - plain) / (len(options) - 1)
    wrong = slips.wrong(observation.wrong, item.sure)
    flat, weight = 1 / len(options), _weight(predictions)
    return Explained(plain, astray, flat, wrong, weight, slips.surprise)


def _reading(predictions: Predictions, item: Measured, slips: Slips) -> Explained:
    value = float(scaled(item.reading, item.value))
    plain = density(predictions.band(item.reading), value)
    flat = _astray(item.reading, value, 1.0 / width(predictions, item.reading))
    misread = predictions.hypotheses.model.figures.get("misread")
    wrong = slips.wrong(misread, item.sure)
    astray, weight = np.full_like(plain, flat), _weight(predictions)
    return Explained(plain, astray, flat, wrong, weight, slips.surprise)


def _weight(predictions: Predictions) -> Array:
    weight = predictions.hypotheses.weight
    return np.asarray(weight / weight.sum())


def density(band: Band, value: float) -> Array:
    """Normal density of a value under each hypothesis, on the reading's scale."""
    z = (value - band.mean) / band.spread
    with np.errstate(under="ignore"):
        return np.asarray(np.exp(-0.5 * z * z) / (band.spread * np.sqrt(2 * np.pi)))


def width(predictions: Predictions, reading: Reading) -> float:
    """Range over which a misplaced probe or an unknown fault may read anything [its scale]."""
    rig = predictions.hypotheses.model.rig
    return {
        "voltage": 16.0,
        "resistance": 8.0,
        "current": 6 * rig.pump_current,
        "peak-current": 8 * rig.pump_current,
        "temperature": 150.0,
        "pressure": 150.0,
        "flow-rate": 10.0,
    }[reading.quantity]


def _astray(reading: Reading, value: float, flat: float) -> float:
    """Density of a misreading: anything, and for volts often nothing at all."""
    if reading.quantity != "voltage":
        return flat
    nothing = np.exp(-0.5 * (value / NEAR_NOTHING) ** 2) / (NEAR_NOTHING * np.sqrt(2 * np.pi))
    return float((1 - NO_CONTACT) * flat + NO_CONTACT * nothing)
