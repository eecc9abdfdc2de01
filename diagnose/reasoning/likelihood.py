"""How well each hypothesis explains one finding, mistakes of the person allowed for."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.predictions import Band, Predictions, scaled
from diagnose.reasoning.slips import Explained, Slips

KEPT = 64
"""Findings whose likelihoods are kept: more than one walk has."""


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


def reported(predictions: Predictions, item: Seen) -> Explained:
    """What somebody tells unasked as the matter: the chance that this sign, of all that there is to
    tell under a hypothesis, is the one told; a mistaken report is any of the book's complaints."""
    found = explained(predictions, item)
    assert predictions.heard is not None
    any_other = 1 / len(predictions.catalogue.complaints)
    astray = np.full_like(found.plain, any_other)
    told = predictions.brought_about(item.observation, item.option) / predictions.heard
    return replace(found, plain=told, astray=astray, flat=any_other)


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
    plain = density(predictions.band(item.reading), value, rounding(item))
    flat = _astray(predictions, item.reading, value)
    misread = predictions.hypotheses.model.figures.get("misread")
    wrong = slips.wrong(misread, item.sure)
    astray, weight = np.full_like(plain, flat), _weight(predictions)
    return Explained(plain, astray, flat, wrong, weight, slips.surprise)


def _weight(predictions: Predictions) -> Array:
    weight = predictions.hypotheses.weight
    return np.asarray(weight / weight.sum())


def density(band: Band, value: float, rounded: float = 0.0) -> Array:
    """Normal density of a value under each hypothesis, on the reading's scale. rounded: standard
    deviation of what was left off the value."""
    spread = np.hypot(band.spread, rounded)
    z = (value - band.mean) / spread
    with np.errstate(under="ignore"):
        return np.asarray(np.exp(-0.5 * z * z) / (spread * np.sqrt(2 * np.pi)))


def rounding(item: Measured) -> float:
    """Standard deviation of rounding to the last digit given, on the reading's scale: that of
    anything within the step. Source: JCGM 100:2008 (GUM), F.2.2.1, step / sqrt(12), from memory."""
    low, high = (float(scaled(item.reading, end)) for end in item.ends)
    return (high - low) / math.sqrt(12)


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


def _astray(predictions: Predictions, reading: Reading, value: float) -> float:
    """Density of a misreading: anything, and for volts mostly nothing at all, or the battery's own
    (table misplaced-probe)."""
    anything = 1.0 / width(predictions, reading)
    if reading.quantity != "voltage":
        return anything
    model = predictions.hypotheses.model
    table = model.figures.table("misplaced-probe")
    at = {"nothing": 0.0, "battery": float(model.sound_batch(1)["battery.voltage"][0])}
    total = table.row("anything")["share"] * anything
    for name, volts in at.items():
        row = table.row(name)
        total += row["share"] * _normal((value - volts) / row["spread"]) / row["spread"]
    return total


def _normal(z: float) -> float:
    return math.exp(-0.5 * z * z) / math.sqrt(2 * math.pi)
