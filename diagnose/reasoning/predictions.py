"""What every hypothesis predicts for every test: chances of answers, and bands of readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property, partial

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.records import Catalogue, Observation, holds
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array, Flags
from diagnose.circuit.signs import Sign
from diagnose.circuit.trial_signs import SIGNS
from diagnose.figures import Figures
from diagnose.reasoning.error_models import STUDENT, Law, LikelihoodTerms, ResponseErrors
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.hypotheses import Hypotheses
from diagnose.reasoning.neighbours import Neighbours, joined
from diagnose.reasoning.showing import Called, LooseJoints, showing

LEAD_OHMS = 0.2
"""Ohms are compared on a logarithmic scale from here up [ohm]: what leads and probes add."""

OHMS_SPREAD = 0.12
"""Spread of an ohms reading of a joint on that scale (decades); estimate."""


SWITCHED = ("voltage", "current")
"""Quantities of which the circuit tells both states of a joint that makes and breaks."""


@dataclass(frozen=True)
class Ends:
    """What is read while a joint makes and while it is apart, in the reading's unit; loose: which
    hypotheses have one. One value a hypothesis."""

    made: Array
    apart: Array
    loose: Flags


def _none_loose() -> Ends | None:
    return None


@dataclass(frozen=True)
class Band:
    """What each hypothesis expects of a reading: mean and spread on the reading's scale, one value
    a hypothesis; ends: gives, worked out when first asked for, what is read where joints make and
    break."""

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
    share, absolute = quantity.relative * shown, np.asarray(quantity.absolute)
    if reading.quantity == "voltage":
        return joined(absolute, share, np.asarray(figures.get("model-error-voltage", "V")))
    return joined(absolute, share, figures.get("model-error-share") * shown)


@dataclass
class Predictions:
    """Predictions of one set of hypotheses, each computed when first asked for; many are quicker
    prepared together. in_full: whether a misplaced probe is looked for among all readings, which
    takes as long as predicting them; heard: how much there is to tell under each hypothesis
    (complaint.report_weight)."""

    catalogue: Catalogue
    hypotheses: Hypotheses
    _plain: dict[str, Array] = field(default_factory=dict)
    _bands: dict[Reading, Band] = field(default_factory=dict)
    kept: dict[Evidence, LikelihoodTerms] = field(default_factory=dict, init=False)
    heard: Array | None = None
    law: Law = STUDENT
    in_full: bool = True
    _called: Called | None = None

    def prepare(self, observations: Iterable[str], readings: Iterable[Reading]) -> None:
        """Work out all of these at once, each state of each circuit being solved once for all."""
        unknown = [name for name in observations if name not in self._plain]
        signs = {name: sign for name in unknown if (sign := self._sign(name))}
        unread = [one for one in readings if one not in self._bands]
        if not signs and not unread:
            return
        found = showing(self.hypotheses.scene, signs, unread)
        self._called = found.called
        for name, rows in found.signs.items():
            self._plain[name] = self._shown(self.catalogue.observations[name], rows)
        for reading, (shown, unsteady) in found.readings.items():
            self._bands[reading] = self._expected(reading, shown, unsteady)

    def chances(self, name: str) -> Array:
        """Chance of each answer to an observation, mistakes included; (options, hypotheses)."""
        return mistaken(self.plain(name), self.catalogue.observations[name].wrong)

    def plain(self, name: str) -> Array:
        """Chance of each answer to an observation made without mistakes; (options, hypotheses)."""
        said = self.said(name)
        if said is not None:
            return said[:, self.hypotheses.variant]
        if name not in self._plain:
            self.prepare([name], [])
        return self._plain[name]

    def keep(self, name: str, rows: Array) -> None:
        """Keep what is known of an observation in this place, where another keeps it too."""
        if name in self._plain:
            self._plain[name] = rows

    def said(self, name: str) -> Array | None:
        """The same, (options, variants), of what the circuit has no part in: there all hypotheses
        of a variant are alike. None where it has."""
        if name in self._plain or self._sign(name):
            return None
        observation = self.catalogue.observations[name]
        rows = np.repeat(_otherwise(observation)[:, None], len(self.hypotheses.variants), axis=1)
        for index, column in self._words(observation):
            rows[:, index] = column
        return rows

    def brought_about(self, name: str, option: str) -> Array:
        """Chance that an answer is there and is the fault's doing, so that somebody tells it as the
        matter: what was so before (`otherwise`) is told only now and then. One a hypothesis."""
        observation = self.catalogue.observations[name]
        chance: Array = self.plain(name)[tuple(observation.options).index(option)]
        if observation.predicted:
            return chance
        before = observation.otherwise[option]
        usual = self._figures.get("told-as-the-matter") * before
        return np.asarray(np.maximum(chance - before, 0.0) + np.minimum(usual, chance))

    def _sign(self, name: str) -> Sign | None:
        """How the circuit says what is seen; None where it has no part in it."""
        predicted = self.catalogue.observations[name].predicted
        return SIGNS.get(template_of(name)) if predicted else None

    def _words(self, observation: Observation) -> Iterable[tuple[int, Array]]:
        """The variants whose entry says itself what is seen, with the chance of each answer."""
        scale = self.catalogue.words
        for index, variant in enumerate(self.hypotheses.variants):
            if words := variant.shows.get(observation.id):
                yield index, shown(observation, words, scale)

    def _shown(self, observation: Observation, rows: Array) -> Array:
        """Variants that say themselves what is seen override the circuit."""
        for index, column in self._words(observation):
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
            self.prepare([], [reading])
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

    def _expected(self, reading: Reading, shown: Array, unsteady: Array) -> Band:
        """shown, unsteady: mean and spread of what the meter shows [the reading's unit]."""
        spread = joined(self.spread(reading, shown), unsteady)
        ends = cache(partial(_ends, self._loose, reading))
        return Band(scaled(reading, shown), spread, ends)

    @cached_property
    def _loose(self) -> LooseJoints | None:
        h = self.hypotheses
        return LooseJoints.of(h.scene, h.variant, self.called.loose)

    @property
    def called(self) -> Called:
        """How the circuits answer the call."""
        if self._called is None:
            self._called = showing(self.hypotheses.scene, {}, []).called
        return self._called

    def spread(self, reading: Reading, shown: Array) -> Array:
        """Spread of a reading that stands still, on its scale; shown: in its unit. One value a
        hypothesis."""
        gaps = self._neighbours.gaps(scaled(reading, shown), self._figures.get("bandwidth"))
        return joined(self.meter(reading, shown), gaps)

    def meter(self, reading: Reading, shown: Array) -> Array:
        """As the function `scatter`."""
        return scatter(self.catalogue, self._figures, reading, shown)

    @property
    def _figures(self) -> Figures:
        return self.hypotheses.model.figures

    @cached_property
    def _neighbours(self) -> Neighbours:
        h = self.hypotheses
        return Neighbours.of(h.variant, h.place, self.called.state)


def _ends(joints: LooseJoints | None, reading: Reading) -> Ends | None:
    if joints is None or reading.quantity not in SWITCHED:
        return None
    return Ends(*joints.ends(reading), joints.loose)


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
