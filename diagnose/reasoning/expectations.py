"""What a sound rig would read, and what a reading says beside it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Array
from diagnose.reasoning.calibration import OwnRig
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.hypotheses import normal_draws, varied

RIGS, OWN_RIGS = 32, 128
"""Sound rigs behind a band: of any rig, and of one that has readings of its own."""


@dataclass(frozen=True)
class Expected:
    """The healthy value of a reading and the band in which sound rigs read [reading's unit]; book:
    the same of any rig of this description, where the band is that of this very rig."""

    value: float
    low: float
    high: float
    book: Expected | None = None


@dataclass
class Healthy:
    """Healthy readings of one rig, from sound rigs that differ as sound rigs do. own: this very
    rig, where it has readings of its own; its sound rigs are then those like it."""

    catalogue: Catalogue
    model: Model
    own: OwnRig | None = None
    _circuits: Circuits | None = None
    _known: dict[Reading, Expected] = field(default_factory=dict)

    @property
    def circuits(self) -> Circuits:
        """The rig exactly as described, or in the middle of those like it, then RIGS around it."""
        if self._circuits is None:
            self._circuits = Circuits(self.model, varied(self.model, self._draws()))
        return self._circuits

    def _draws(self) -> Array:
        if self.own is not None:
            return np.concatenate([self.own.middle, self.own.draws(OWN_RIGS)], axis=1)
        rows = len(self.model.figures.table("spreads").rows)
        return np.concatenate([np.zeros((rows, 1)), normal_draws(RIGS, rows)], axis=1)

    @cached_property
    def by_the_book(self) -> Healthy:
        """The same of any rig of this description."""
        return Healthy(self.catalogue, self.model) if self.own is not None else self

    def drifted(self, item: Measured) -> bool:
        """Whether a reading is in the book's band and yet off this very rig's own."""
        if self.own is None or self.verdict(item) == "within":
            return False
        return self.by_the_book.verdict(item) == "within"

    def expected(self, reading: Reading) -> Expected:
        """Healthy value and band: two standard deviations of rigs and meter together."""
        if reading not in self._known:
            values, _ = self.circuits.predict(reading)
            found = self._band(reading, values)
            book = self.by_the_book.expected(reading) if self.own is not None else None
            self._known[reading] = replace(found, book=book)
        return self._known[reading]

    def far_off(self, item: Measured) -> bool:
        """Whether hardly any sound rig reads so: beyond twice the band."""
        expected = self.expected(item.reading)
        half = (expected.high - expected.low) / 2
        least, most = item.ends
        return least > expected.high + half or most < expected.low - half

    def _band(self, reading: Reading, values: Array) -> Expected:
        quantity = self.catalogue.quantities[reading.quantity]
        centre = float(values[0])
        if reading.quantity == "resistance" and centre >= LARGEST_OHMS / 2:
            return Expected(centre, LARGEST_OHMS / 40, LARGEST_OHMS)
        meter = np.hypot(quantity.absolute, quantity.relative * abs(centre))
        half = 2 * float(np.hypot(meter, np.std(values[1:])))
        low = centre - half
        if reading.quantity != "voltage":
            low = max(low, 0.0)
        return Expected(centre, low, min(centre + half, LARGEST_OHMS))

    def verdict(self, item: Measured) -> str:
        """One of rule_records.VERDICTS: how the reading stands to the healthy band. What may lie
        within it by the digits that were given is not held against the rig."""
        expected, value = self.expected(item.reading), item.value
        if item.reading.quantity == "resistance" and value >= LARGEST_OHMS / 40:
            return "within" if expected.value >= LARGEST_OHMS / 40 else "open"
        if item.reading.quantity == "voltage" and value < min(-0.5, expected.low):
            return "reversed"
        least, most = item.ends
        if least > expected.high:
            return "hot" if self._too_hot(item) else "high"
        if most >= expected.low:
            return "within"
        if item.reading.quantity == "resistance" and expected.value >= LARGEST_OHMS / 40:
            return "nothing" if value <= self.model.figures.get("joined", "ohm") else "low"
        return "nothing" if abs(value) < 0.05 * abs(expected.value) else "low"

    def _too_hot(self, item: Measured) -> bool:
        limit = self.model.figures.get("too-hot-to-hold", "degC")
        return item.reading.quantity == "temperature" and item.value >= limit
