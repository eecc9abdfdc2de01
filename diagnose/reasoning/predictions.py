"""What every hypothesis predicts for every test: chances of answers, and bands of readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from diagnose.catalogue.records import Catalogue, Observation
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.trial_signs import SIGNS
from diagnose.figures import Figures
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.hypotheses import Hypotheses

LEAD_OHMS = 0.2
"""Ohms are compared on a logarithmic scale from here up [ohm]: what leads and probes add."""

OHMS_SPREAD = 0.12
"""Spread of an ohms reading of a joint on that scale (decades); estimate."""


@dataclass(frozen=True)
class Band:
    """What each hypothesis expects of a reading: mean and spread on the reading's scale."""

    mean: Array
    spread: Array


def scaled(reading: Reading, value: Array | float) -> Array:
    """A value on the scale on which readings are compared: ohms by decades, the rest as it is."""
    value = np.asarray(value, dtype=np.float64)
    if reading.quantity != "resistance":
        return value
    return np.log10(np.clip(value, 0.0, LARGEST_OHMS) + LEAD_OHMS)


def unscaled(reading: Reading, value: float) -> float:
    """Back from the scale of comparison to the reading's unit."""
    return value if reading.quantity != "resistance" else max(10.0**value - LEAD_OHMS, 0.0)


@dataclass
class Predictions:
    """Predictions of one set of hypotheses, each computed when first asked for."""

    catalogue: Catalogue
    hypotheses: Hypotheses
    _chances: dict[str, Array] = field(default_factory=dict)
    _bands: dict[Reading, Band] = field(default_factory=dict)

    def chances(self, name: str) -> Array:
        """Chance of each answer to an observation, mistakes included; (options, hypotheses)."""
        if name not in self._chances:
            observation = self.catalogue.observations[name]
            rows = self._shown(observation, self._base(observation))
            wrong, count = observation.wrong, len(observation.options)
            self._chances[name] = (1 - wrong) * rows + wrong * (1 - rows) / (count - 1)
        return self._chances[name]

    def _base(self, observation: Observation) -> Array:
        if observation.id in SIGNS and observation.predicted:
            return SIGNS[observation.id](self.hypotheses.scene)
        column = _otherwise(observation)
        return np.repeat(column[:, None], len(self.hypotheses), axis=1)

    def _shown(self, observation: Observation, rows: Array) -> Array:
        """Variants that say themselves what is seen override the circuit."""
        for index, variant in enumerate(self.hypotheses.variants):
            words = variant.shows.get(observation.id)
            if words:
                column = shown(observation, words, self.catalogue.words)
                rows[:, self.hypotheses.variant == index] = column[:, None]
        return rows

    def band(self, reading: Reading) -> Band:
        """Mean and spread that every hypothesis expects of a reading, meter error included."""
        if reading not in self._bands:
            self._bands[reading] = self._expect(reading)
        return self._bands[reading]

    def _expect(self, reading: Reading) -> Band:
        mean, unsteady = self.hypotheses.scene.bench.predict(reading)
        spread = np.sqrt(self._meter(reading, mean) ** 2 + unsteady**2)
        mean = scaled(reading, mean)
        if reading.quantity == "resistance":
            spread = np.full_like(mean, OHMS_SPREAD)
        gaps = self._gaps(mean) * self.hypotheses.model.figures.get("bandwidth")
        return Band(mean, np.sqrt(spread**2 + gaps**2))

    def _meter(self, reading: Reading, mean: Array) -> Array:
        """Meter error and what the model leaves out [reading's unit]."""
        quantity, figures = self.catalogue.quantities[reading.quantity], self._figures
        meter = np.hypot(quantity.absolute, quantity.relative * np.abs(mean))
        if reading.quantity == "voltage":
            return np.hypot(meter, figures.get("model-error-voltage", "V"))
        return np.hypot(meter, figures.get("model-error-share") * np.abs(mean))

    @property
    def _figures(self) -> Figures:
        return self.hypotheses.model.figures

    def _gaps(self, mean: Array) -> Array:
        """Spread of a prediction among the sound rigs of one variant, severity and state."""
        h = self.hypotheses
        calling = h.scene.operation("calling")
        state = calling.chatter * 4 + calling.turning * 2 + (h.scene.batch["main_fuse"] > 1e6)
        cell = h.cell * 8 + state.astype(np.intp)
        _, group = np.unique(cell, return_inverse=True)
        count = np.bincount(group)
        average = np.bincount(group, mean) / count
        square = np.bincount(group, (mean - average[group]) ** 2) / np.maximum(count - 1, 1)
        return np.sqrt(square)[group]


def _otherwise(observation: Observation) -> Array:
    shares = [observation.otherwise.get(option, 0.0) for option in observation.options]
    return np.asarray(shares) / sum(shares)


def shown(
    observation: Observation, words: Mapping[str, str], scale: Mapping[str, float]
) -> Array:
    """Chance of each answer where a failure mode says how often it shows some of them.

    Answers that are not named share the rest in proportion to `otherwise`.
    """
    named = np.array([scale[words[o]] if o in words else 0.0 for o in observation.options])
    rest = np.where(named > 0, 0.0, _otherwise(observation))
    if named.sum() >= 1 or rest.sum() <= 0:
        return np.asarray(named / named.sum())
    return np.asarray(named + rest * (1 - named.sum()) / rest.sum())


@dataclass(frozen=True)
class Likelihood:
    """How well each hypothesis explains one finding, and how well the unknown does."""

    named: Array
    other: float


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


def likelihood(predictions: Predictions, item: Evidence) -> Likelihood:
    """Likelihood of one finding under every hypothesis and under OTHER.

    A reading is (1 - e) Normal + e Uniform, so that one misplaced probe cannot decide. OTHER is
    half the average of all named hypotheses, half uniform: the unknown fault leaves most of the
    rig as it is, and surprises somewhere.
    """
    weight = predictions.hypotheses.weight / predictions.hypotheses.weight.sum()
    if isinstance(item, Seen):
        options = tuple(predictions.catalogue.observations[item.observation].options)
        named = predictions.chances(item.observation)[options.index(item.option)]
        return Likelihood(named, 0.5 * float(named @ weight) + 0.5 / len(options))
    return _reading_likelihood(predictions, item, weight)


def _reading_likelihood(predictions: Predictions, item: Measured, weight: Array) -> Likelihood:
    flat = 1.0 / width(predictions, item.reading)
    misread = predictions.hypotheses.model.figures.get("misread")
    band = predictions.band(item.reading)
    normal = density(band, float(scaled(item.reading, item.value)))
    named = (1 - misread) * normal + misread * flat
    return Likelihood(named, 0.5 * float(named @ weight) + 0.5 * flat)


def bin_edges(band: Band, weight: Array, bins: int) -> Array:
    """Edges that cut the expected values of a reading into bins of about equal chance."""
    order = np.argsort(band.mean)
    share = np.cumsum(weight[order]) / weight.sum()
    cuts = np.interp(np.arange(1, bins) / bins, share, band.mean[order])
    apart = float(np.median(band.spread))
    kept: list[float] = []
    for cut in cuts:
        if not kept or cut - kept[-1] > apart:
            kept.append(float(cut))
    middle = [(a + b) / 2 for a, b in zip(kept, kept[1:], strict=False)]
    return np.asarray(middle or kept)


def bin_chances(band: Band, edges: Array, misread: float) -> Array:
    """Chance that a reading falls in each bin, misreadings included; (bins, hypotheses)."""
    below = normal_cdf((edges[:, None] - band.mean) / band.spread)
    ends = np.zeros((1, len(band.mean)))
    cumulative = np.concatenate([ends, below, ends + 1.0])
    chances = np.diff(cumulative, axis=0)
    return (1 - misread) * chances + misread / len(chances)
