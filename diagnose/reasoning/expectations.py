"""What a sound rig would read, and what a reading says beside it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.hypotheses import normal_draws, varied


@dataclass(frozen=True)
class Expected:
    """The healthy value of a reading and the band in which sound rigs read [reading's unit]."""

    value: float
    low: float
    high: float


@dataclass
class Healthy:
    """Healthy readings of one rig, from sound rigs that differ as sound rigs do."""

    catalogue: Catalogue
    model: Model
    _circuits: Circuits | None = None
    _known: dict[Reading, Expected] = field(default_factory=dict)

    @property
    def circuits(self) -> Circuits:
        """The rig exactly as described, then 32 rigs around it."""
        if self._circuits is None:
            rows = len(self.model.figures.table("spreads").rows)
            draws = np.concatenate([np.zeros((rows, 1)), normal_draws(32, rows)], axis=1)
            self._circuits = Circuits(self.model, varied(self.model, draws))
        return self._circuits

    def expected(self, reading: Reading) -> Expected:
        """Healthy value and band: two standard deviations of rigs and meter together."""
        if reading not in self._known:
            values, _ = self.circuits.predict(reading)
            self._known[reading] = self._band(reading, values)
        return self._known[reading]

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
