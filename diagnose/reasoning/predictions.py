"""What every hypothesis predicts for every test: chances of answers, and bands of readings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.records import Catalogue, Observation, holds
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array, Flags
from diagnose.circuit.trial_signs import SIGNS
from diagnose.figures import Figures
from diagnose.reasoning.error_models import STUDENT, Law, LikelihoodTerms, ResponseErrors
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.hypotheses import Hypotheses

LEAD_OHMS = 0.2
"""Ohms are compared on a logarithmic scale from here up [ohm]: what leads and probes add."""

OHMS_SPREAD = 0.12
"""Spread of an ohms reading of a joint on that scale (decades); estimate."""


SWITCHED = ("voltage", "current")
"""Quantities of which the circuit tells both states of a joint that makes and breaks."""


@dataclass(frozen=True)
class Ends:
    """What is read while a joint makes and while it is apart; loose: which hypotheses have one."""

    made: Array
    apart: Array
    loose: Flags


def _none_loose() -> Ends | None:
    return None


@dataclass(frozen=True)
class Band:
    """What each hypothesis expects of a reading: mean and spread on the reading's scale; ends:
    gives, worked out when first asked for, what is read where joints make and break."""

    mean: Array
    spread: Array
    ends: Callable[[], Ends | None] = _none_loose


def scaled(reading: Reading, value: Array | float) -> Array:
    """A value on the scale on which readings are compared: ohms by decades, the rest as it is."""
    value = np.asarray(value, dtype=np.float64)
    if reading.quantity != "resistance":
        return value
    return np.log10(np.clip(value, 0.0, LARGEST_OHMS) + LEAD_OHMS)


def unscaled(reading: Reading, value: float) -> float:
    """Back from the scale of comparison to the reading's unit."""
    return value if reading.quantity != "resistance" else max(10.0**value - LEAD_OHMS, 0.0)


def scatter(catalogue: Catalogue, figures: Figures, reading: Reading, shown: Array) -> Array:
    """Meter error and what the model leaves out, on the reading's scale; shown: in its unit."""
    if reading.quantity == "resistance":
        return np.full_like(shown, OHMS_SPREAD)
    quantity = catalogue.quantities[reading.quantity]
    meter = np.hypot(quantity.absolute, quantity.relative * np.abs(shown))
    if reading.quantity == "voltage":
        return np.hypot(meter, figures.get("model-error-voltage", "V"))
    return np.hypot(meter, figures.get("model-error-share") * np.abs(shown))


@dataclass
class Predictions:
    """Predictions of one set of hypotheses, each computed when first asked for. in_full: whether a
    misplaced probe is looked for among all readings, which takes as long as predicting them."""

    catalogue: Catalogue
    hypotheses: Hypotheses
    _plain: dict[str, Array] = field(default_factory=dict)
    _bands: dict[Reading, Band] = field(default_factory=dict)
    kept: dict[Evidence, LikelihoodTerms] = field(default_factory=dict, init=False)
    heard: Array | None = None
    law: Law = STUDENT
    in_full: bool = True

    def chances(self, name: str) -> Array:
        """Chance of each answer to an observation, mistakes included; (options, hypotheses)."""
        return mistaken(self.plain(name), self.catalogue.observations[name].wrong)

    def plain(self, name: str) -> Array:
        """Chance of each answer to an observation made without mistakes; (options, hypotheses)."""
        if name not in self._plain:
            observation = self.catalogue.observations[name]
            self._plain[name] = self._shown(observation, self._base(observation))
        return self._plain[name]

    def brought_about(self, name: str, option: str) -> Array:
        """Chance that an answer is there and is the fault's doing, so that somebody tells it as the
        matter: what was so before (`otherwise`) is told only now and then."""
        observation = self.catalogue.observations[name]
        chance: Array = self.plain(name)[tuple(observation.options).index(option)]
        if observation.predicted:
            return chance
        before = observation.otherwise[option]
        usual = self._figures.get("told-as-the-matter") * before
        return np.asarray(np.maximum(chance - before, 0.0) + np.minimum(usual, chance))

    def _base(self, observation: Observation) -> Array:
        sign = SIGNS.get(template_of(observation.id))
        if sign is not None and observation.predicted:
            return sign(self.hypotheses.scene)
        column = _otherwise(observation)
        return np.repeat(column[:, None], len(self.hypotheses), axis=1)

    def _shown(self, observation: Observation, rows: Array) -> Array:
        """Variants that say themselves what is seen override the circuit."""
        for index, variant in enumerate(self.hypotheses.variants):
            if words := variant.shows.get(observation.id):
                column = shown(observation, words, self.catalogue.words)
                rows[:, self._columns_of[index]] = column[:, None]
        return rows

    @cached_property
    def _columns_of(self) -> list[NDArray[np.intp]]:
        """The hypotheses of each variant."""
        variant, count = self.hypotheses.variant, len(self.hypotheses.variants)
        order = np.argsort(variant, kind="stable")
        return np.split(order, np.searchsorted(variant[order], np.arange(1, count)))

    def band(self, reading: Reading) -> Band:
        """Mean and spread that every hypothesis expects of a reading, meter error included."""
        if reading not in self._bands:
            self._bands[reading] = self._expect(reading)
        return self._bands[reading]

    @cached_property
    def slips(self) -> ResponseErrors:
        """The kinds of persons who may be answering."""
        return ResponseErrors.of(self._figures)

    @cached_property
    def tellable(self) -> int:
        """How many complaints of the book can be told of this rig."""
        book, facts = self.catalogue, self.hypotheses.facts
        told = (one.seen for one in book.complaints.values())
        return sum(all(holds(book.observations[n].applies, facts) for n in seen) for seen in told)

    @property
    def average(self) -> Array:
        """Weights of the named hypotheses, summing to one."""
        weight = self.hypotheses.weight
        return np.asarray(weight / weight.sum())

    def _expect(self, reading: Reading) -> Band:
        shown, unsteady = self.hypotheses.scene.circuits.predict(reading)
        mean = scaled(reading, shown)
        spread = np.hypot(self.spread(reading, shown), unsteady)
        return Band(mean, spread, cache(lambda: self._ends(reading)))

    def _ends(self, reading: Reading) -> Ends | None:
        scene = self.hypotheses.scene
        if reading.quantity not in SWITCHED or not scene.loose.any():
            return None
        return Ends(*scene.circuits.made_and_apart(reading), scene.loose)

    def spread(self, reading: Reading, shown: Array) -> Array:
        """Spread of a reading that stands still, on its scale; shown: in its unit."""
        return np.hypot(self.meter(reading, shown), self._gaps(scaled(reading, shown)))

    def meter(self, reading: Reading, shown: Array) -> Array:
        """As the function `scatter`."""
        return scatter(self.catalogue, self._figures, reading, shown)

    @property
    def _figures(self) -> Figures:
        return self.hypotheses.model.figures

    def _gaps(self, mean: Array) -> Array:
        """Half-way from each hypothesis to its neighbours: other sound rigs, other severities."""
        group, apart = self._states
        count = np.bincount(group)
        average = np.bincount(group, mean) / count
        square = np.bincount(group, (mean - average[group]) ** 2) / np.maximum(count - 1, 1)
        bandwidth = self._figures.get("bandwidth")
        among_rigs = bandwidth * np.sqrt(square)
        steps = [_steps(average, row) / 2 for row in apart]
        return np.hypot(among_rigs, np.hypot(*steps))[group]

    @cached_property
    def _states(self) -> tuple[NDArray[np.intp], tuple[Row, Row]]:
        """Group of each hypothesis (same variant, state and severities); and for each axis the
        groups in an order in which neighbours differ in that severity alone, with their rows."""
        h = self.hypotheses
        calling = h.scene.operation("calling")
        blown = (h.scene.batch["main_fuse"] > 1e6) | (h.scene.batch["control_fuse"] > 1e6)
        state = calling.chatter * 4 + calling.turning * 2 + blown
        row = h.variant * 8 + state
        at = (row, *h.place)
        sizes = tuple(int(one.max()) + 1 for one in at)
        numbers, group = np.unique(np.ravel_multi_index(at, sizes), return_inverse=True)
        keys = np.stack(np.unravel_index(numbers, sizes))
        return group, (_row(keys, 1), _row(keys, 2))


@dataclass(frozen=True)
class Row:
    """Groups in an order in which neighbours differ in one severity. alike: a number that changes
    where another variant, state or other severity begins; in_any_state: the same whether the motor
    turns or not (but for a blown fuse, between which and a whole one there is nothing)."""

    order: NDArray[np.intp]
    alike: NDArray[np.intp]
    in_any_state: Row | None = None


def _row(keys: NDArray[np.intp], axis: int) -> Row:
    """keys: row, first and second severity of each group; axis: the severity that varies."""
    other = 3 - axis

    def by(first: NDArray[np.intp], any_state: Row | None = None) -> Row:
        order = np.lexsort((keys[axis], keys[other], first))
        alike = (first * (int(keys[other].max()) + 1) + keys[other])[order]
        return Row(order, alike, any_state)

    return by(keys[0], by(keys[0] // 8 * 2 + keys[0] % 2))


def _steps(average: Array, row: Row) -> Array:
    """Distance from each group to the nearer of its neighbours in severity; of one that is alone in
    its state, to the nearer in any state; 0 without any."""
    step = np.where(row.alike[1:] == row.alike[:-1], np.abs(np.diff(average[row.order])), np.inf)
    ends = np.array([np.inf])
    nearest = np.minimum(np.concatenate([ends, step]), np.concatenate([step, ends]))
    found = np.empty_like(average)
    alone = 0.0 if row.in_any_state is None else _steps(average, row.in_any_state)[row.order]
    found[row.order] = np.where(np.isfinite(nearest), nearest, alone)
    return found


def mistaken(rows: Array, wrong: float) -> Array:
    """Chances of answers of which a share is wrong, and then any other one; (options, n)."""
    return np.asarray((1 - wrong) * rows + wrong * (1 - rows) / (len(rows) - 1))


def _otherwise(observation: Observation) -> Array:
    shares = [observation.otherwise.get(option, 0.0) for option in observation.options]
    return np.asarray(shares) / sum(shares)


def shown(observation: Observation, words: Mapping[str, str], scale: Mapping[str, float]) -> Array:
    """Chance of each answer where a failure mode says how often it shows some of them.

    Answers that are not named share the rest in proportion to `otherwise`.
    """
    named = np.array([scale[words[o]] if o in words else 0.0 for o in observation.options])
    rest = np.where(named > 0, 0.0, _otherwise(observation))
    if named.sum() >= 1 or rest.sum() <= 0:
        return np.asarray(named / named.sum())
    return np.asarray(named + rest * (1 - named.sum()) / rest.sum())


EXACT = 1e-6
"""Width on its scale below which a reading counts as one value."""


def density(band: Band, low: float, high: float, law: Law = STUDENT) -> Array:
    """Density under each hypothesis of what was stated, anything between low and high on the
    reading's scale."""
    if high - low < EXACT:
        return law.density(((low + high) / 2 - band.mean) / band.spread) / band.spread
    first, last = ((end - band.mean) / band.spread for end in (low, high))
    return (law.below(last) - law.below(first)) / (high - low)


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
    middle = [(a + b) / 2 for a, b in pairwise(kept)]
    return np.asarray(middle or kept)


def bin_chances(band: Band, edges: Array, misread: float) -> Array:
    """Chance that a reading falls in each bin, misreadings included; (bins, hypotheses)."""
    below = normal_cdf((edges[:, None] - band.mean) / band.spread)
    ends = np.zeros((1, len(band.mean)))
    cumulative = np.concatenate([ends, below, ends + 1.0])
    chances = np.diff(cumulative, axis=0)
    return (1 - misread) * chances + misread / len(chances)
