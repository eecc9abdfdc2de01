"""What a meter shows when its probes are misplaced, and where a joint makes and breaks.

A misplaced probe mostly shows another reading of the same rig: another point, the same points in
another state, or red and black exchanged. So a voltage that the rig has nowhere is hardly ever a
mistake, and belief in the only fault that can bring it about does not sink as the fault grows
worse.

A joint that makes and breaks may hold, or be parted, while somebody reads; else the reading wanders
between the two.

All densities are on the scale on which a reading is compared (predictions.scaled): decades of ohms,
all else in the reading's unit. `low` and `high` are the least and the most that was stated, on that
scale. Arrays have one number a hypothesis.
"""

from __future__ import annotations

import math

import numpy as np

from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.reading_words import fits
from diagnose.reasoning.error_models import NORMAL
from diagnose.reasoning.predictions import Band, Predictions, density, scaled

ON_THE_METER = {"resistance": LARGEST_OHMS}
"""What a meter shows that touches nothing, in the reading's unit; 0 of all other quantities."""

EVEN = ("resistance", "temperature")
"""Quantities on whose scale a guess is as likely here as there."""

LEAST = 0.01
"""Where the decades of a guess end, as a share of the range; estimate."""

WANDERS = 0.1
"""Share of its range over which a reading wanders visibly; estimate."""

HOLDS, PARTED = 0.35, 0.15
"""Shares of readings during which an intermittent joint holds, or is parted: the meter's leads and
a hand on the loom are enough to settle it, and nothing shakes a pump that stands; estimates."""

HANGS = 0.1
"""How far beyond either end a wandering figure may be caught, as a share of the way; estimate."""


def range_width(predictions: Predictions, reading: Reading) -> float:
    """Width of the range in which a misplaced probe or an unknown fault may read anything, on the
    reading's scale."""
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


def misplaced_density(
    predictions: Predictions, reading: Reading, low: float, high: float
) -> tuple[Array, float]:
    """Density of what was stated if the probes were not where the reading wants them.

    Gives it under each hypothesis, and where nothing is known of the fault, which makes no value
    likelier than any other. With the shares s of table misplaced-probe (estimates of how probes are
    misplaced) it is the mixture

        s[another reading] mean over readings + s[leads exchanged] exchanged
        + s[nothing] untouched + s[anything] guess
    """
    share = predictions.hypotheses.model.figures.table("misplaced-probe").row
    width = range_width(predictions, reading)
    anywhere = 1 / width
    nothing = float(density(_untouched(predictions, reading), low, high, predictions.law)[0])
    around = _others(predictions, reading) if predictions.in_full else []
    others = [_steady(predictions, one, low, high) for one in around]
    elsewhere = (
        np.mean(others, axis=0) if others else np.full(len(predictions.hypotheses), anywhere)
    )
    named = share("another reading")["share"] * elsewhere
    named = named + share("leads exchanged")["share"] * _exchanged(predictions, reading, low, high)
    guess = guess_density(reading, (low + high) / 2, width)
    rest = share("nothing")["share"] * nothing + share("anything")["share"] * guess
    return named + rest, min(float(predictions.average @ named) + rest, anywhere)


def guess_density(reading: Reading, value: float, width: float) -> float:
    """Density of a slipped decimal point, a wrong range or a guess, at a value on the scale.

    Even by decades down to a share LEAST of the range, where a scale has decades; ohms are compared
    by decades already, and temperatures have none. width: of the range.
    """
    if reading.quantity in EVEN:
        return 1 / width
    least = LEAST * width
    return 1 / max(abs(value), least) / (1 + math.log(width / least))


def _untouched(predictions: Predictions, reading: Reading) -> Band:
    """What the meter shows when its probes touch nothing; arrays of one number."""
    shown = np.array([ON_THE_METER.get(reading.quantity, 0.0)])
    return Band(scaled(reading, shown), predictions.meter(reading, shown))


def _steady(predictions: Predictions, reading: Reading, low: float, high: float) -> Array:
    """Density of a value where the reading stands still; one that wanders is taken for no other."""
    band = predictions.band(reading)
    still = band.spread < WANDERS * range_width(predictions, reading)
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


def intermittent_density(
    predictions: Predictions, reading: Reading, steady: Array, low: float, high: float
) -> Array:
    """Density of what was stated, where hypotheses have a joint that makes and breaks.

    steady: density under each hypothesis as of a reading that stands still or only wanders; kept
    under the hypotheses that have no such joint. Under the others, with shares h of HOLDS and p of
    PARTED, it is  h made + p apart + (1 - h - p) between,  `between` being even from one to the
    other.
    """
    found = predictions.band(reading).ends()
    if found is None:
        return steady
    law = predictions.law
    ends = [Band(mean, predictions.spread(reading, mean)) for mean in (found.made, found.apart)]
    holds, parted = (density(band, low, high, law) for band in ends)
    mixed = HOLDS * holds + PARTED * parted
    mixed = mixed + (1 - HOLDS - PARTED) * _between(predictions, reading, ends, (low + high) / 2)
    return np.where(found.loose, mixed, steady)


def _between(predictions: Predictions, reading: Reading, ends: list[Band], value: float) -> Array:
    """Density of a value where any between two ends is as likely as another, with meter error."""
    first = np.minimum(ends[0].mean, ends[1].mean)
    last = np.maximum(ends[0].mean, ends[1].mean)
    blur = predictions.meter(reading, first) + HANGS * (last - first)
    below = NORMAL.below
    way = np.maximum(last - first, blur)
    return np.asarray((below((value - first) / blur) - below((value - first - way) / blur)) / way)
