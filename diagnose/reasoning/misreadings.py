"""What a meter shows whose probes are not where the reading wants them.

Mostly that is another reading of the same rig: another point, the same points in another state, or
red and black exchanged.
So a voltage that the rig has nowhere is hardly ever a mistake, and belief in the only fault that
can bring it about does not sink as the fault grows worse.
"""

from __future__ import annotations

import math

import numpy as np

from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.reading_words import fits
from diagnose.reasoning.predictions import Band, Predictions, density, scaled

ON_THE_METER = {"resistance": LARGEST_OHMS}
"""What a meter shows that touches nothing, in the reading's unit; 0 of all other quantities."""


EVEN = ("resistance", "temperature")
"""Quantities on whose scale a guess is as likely here as there."""

LEAST = 0.01
"""Where the decades of a guess end, as a share of the range; estimate."""

WANDERS = 0.1
"""Share of its range over which a reading wanders visibly; estimate."""


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


def misplaced(
    predictions: Predictions, reading: Reading, low: float, high: float
) -> tuple[Array, float]:
    """Density of what was stated, on the reading's scale, if it belongs to no such reading: under
    each hypothesis, and where nothing is known of the fault, which makes no value likelier than
    any other (table misplaced-probe)."""
    share = predictions.hypotheses.model.figures.table("misplaced-probe").row
    anywhere = 1 / width(predictions, reading)
    nothing = float(density(_untouched(predictions, reading), low, high, predictions.law)[0])
    around = _others(predictions, reading) if predictions.in_full else []
    others = [_steady(predictions, one, low, high) for one in around]
    elsewhere = (
        np.mean(others, axis=0) if others else np.full(len(predictions.hypotheses), anywhere)
    )
    named = share("another reading")["share"] * elsewhere
    named = named + share("leads exchanged")["share"] * _exchanged(predictions, reading, low, high)
    guess = guessed(reading, (low + high) / 2, width(predictions, reading))
    rest = share("nothing")["share"] * nothing + share("anything")["share"] * guess
    return named + rest, min(float(predictions.average @ named) + rest, anywhere)


def guessed(reading: Reading, value: float, most: float) -> float:
    """Density of a slipped decimal point, a wrong range or a guess: even by decades down to LEAST,
    where a scale has decades; ohms are compared by decades already. most: width of the scale."""
    if reading.quantity in EVEN:
        return 1 / most
    least = LEAST * most
    return 1 / max(abs(value), least) / (1 + math.log(most / least))


def _untouched(predictions: Predictions, reading: Reading) -> Band:
    """What the meter shows when its probes touch nothing."""
    shown = np.array([ON_THE_METER.get(reading.quantity, 0.0)])
    return Band(scaled(reading, shown), predictions.meter(reading, shown))


def _steady(predictions: Predictions, reading: Reading, low: float, high: float) -> Array:
    """Density of a value where the reading stands still; one that wanders is taken for no other."""
    band = predictions.band(reading)
    still = band.spread < WANDERS * width(predictions, reading)
    return np.where(still, density(band, low, high, predictions.law), 0.0)


def _exchanged(predictions: Predictions, reading: Reading, low: float, high: float) -> Array:
    """Density of a value if red and black are where the other should be: the same with the other
    sign; of a quantity that has none the leads do not matter."""
    if reading.quantity != "voltage":
        return _steady(predictions, reading, low, high)
    return _steady(predictions, reading, -high, -low)


def _others(predictions: Predictions, reading: Reading) -> list[Reading]:
    """What is read of the same quantity where one probe is on another point, or on the same points
    in another state; where there is only one point, anywhere."""
    rig = predictions.hypotheses.model.rig
    entries = predictions.catalogue.readings.values()
    known = [entry.reading for entry in entries if fits(entry.reading, rig)]
    alike = [one for one in known if one.quantity == reading.quantity and one != reading]
    return [one for one in alike if len(one.points) < 2 or set(one.points) & set(reading.points)]
