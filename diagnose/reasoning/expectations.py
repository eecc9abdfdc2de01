"""What sound rigs read, what a reading says beside it, and what one fault would change.

A band is that of many sound rigs that differ as sound rigs do: about their middle value two
standard deviations of rigs and meter together,

    value +- 2 sqrt(meter^2 + rigs^2)
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from diagnose.catalogue.records import Catalogue, FailureMode
from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.rig import Rig
from diagnose.design.facts import rig_facts
from diagnose.errors import UnknownName, nearest
from diagnose.reasoning.available_tests import tests_for
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.evidence import Measured, NotOnThisRig
from diagnose.reasoning.hypotheses import Variant, applicable, normal_draws, variants_of, varied
from diagnose.reasoning.severity import apply_effect, physical_ends

RIGS, OWN_RIGS = 32, 128
"""Sound rigs behind a band: of any rig, and of one that has readings of its own."""

SEVERITIES = {"mild": 0.0, "middling": 0.5, "severe": 1.0, "total": 2.0}
"""How far a fault has gone, from the mildest to the severest of the book; see severity.py."""

ORDER = ("rest", "calling", "satisfied", "unplugged", "isolated")
"""States in the order in which they are shown."""


@dataclass(frozen=True)
class Expected:
    """The sound value of a reading and the band in which sound rigs read, in the reading's unit.

    book: the same of any rig of this description, where the band is that of this very rig.
    """

    value: float
    low: float
    high: float
    book: Expected | None = None


@dataclass
class Healthy:
    """Readings of one rig without a fault, from sound rigs that differ as sound rigs do.

    own: this very rig, where it has readings of its own; its sound rigs are then those like it.
    """

    catalogue: Catalogue
    model: Model
    own: CalibratedRig | None = None
    _circuits: Circuits | None = None
    _known: dict[Reading, Expected] = field(default_factory=dict)

    @property
    def circuits(self) -> Circuits:
        """The rig exactly as described, or in the middle of those like it, then RIGS around it."""
        if self._circuits is None:
            self._circuits = Circuits(self.model, varied(self.model, self._draws()))
        return self._circuits

    def _draws(self) -> Array:
        """Draws of the spreads, shape (spreads, rigs)."""
        if self.own is not None:
            return np.concatenate([self.own.middle, self.own.draws(OWN_RIGS)], axis=1)
        rows = len(self.model.figures.table("spreads").rows)
        return np.concatenate([np.zeros((rows, 1)), normal_draws(RIGS, rows)], axis=1)

    @cached_property
    def by_the_book(self) -> Healthy:
        """The same of any rig of this description."""
        return Healthy(self.catalogue, self.model) if self.own is not None else self

    def has_drifted(self, item: Measured) -> bool:
        """Whether a reading is in the book's band and yet off this very rig's own."""
        if self.own is None or self.verdict(item) == "within":
            return False
        return self.by_the_book.verdict(item) == "within"

    def expected(self, reading: Reading) -> Expected:
        """Sound value and band of a reading, worked out once."""
        if reading not in self._known:
            values, _ = self.circuits.predict(reading)
            band = self._band(reading, values)
            book = self.by_the_book.expected(reading) if self.own is not None else None
            self._known[reading] = replace(band, book=book)
        return self._known[reading]

    def is_far_off(self, item: Measured) -> bool:
        """Whether hardly any sound rig reads so: beyond twice the band."""
        expected = self.expected(item.reading)
        half = (expected.high - expected.low) / 2
        least, most = item.ends
        return least > expected.high + half or most < expected.low - half

    def _band(self, reading: Reading, values: Array) -> Expected:
        """values: of the rig as described, then of the others, shape (1 + rigs)."""
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
        """One of rule_records.VERDICTS: how the reading stands to the sound band. What may lie
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


@dataclass(frozen=True)
class PredictedReading:
    """One reading: what sound rigs read, and what the faulty one would.

    Values in the reading's unit; faulty: None without a fault; verdict: as of Healthy.verdict, ""
    without a fault.
    """

    reading: Reading
    sound: Expected
    faulty: float | None = None
    verdict: str = ""

    @property
    def differs(self) -> bool:
        """Whether the fault shows in this reading."""
        return self.verdict not in ("", "within")


@dataclass(frozen=True)
class Fault:
    """One failure mode at one severity in one rig, as it is most often met.

    severity: one of SEVERITIES; variant: the effect that is shown; circuits: the one circuit with
    it; blown: which of the fuses it has blown, by their parameters.
    """

    mode: FailureMode
    severity: str
    variant: Variant
    circuits: Circuits
    blown: tuple[str, ...]


def fault_in(
    book: Catalogue, model: Model, name: str, severity: str, sound: Batch | None = None
) -> Fault:
    """A failure mode in a rig.

    name: its id; severity: one of SEVERITIES; sound: the rig before it had the fault, where it is
    known better than by its description. Raises UnknownName or NotOnThisRig.
    """
    if severity not in SEVERITIES:
        near = nearest(severity, SEVERITIES)
        raise UnknownName("severity", severity, None, near, SEVERITIES)
    if name not in book.failure_modes:
        raise UnknownName("failure mode", name, None, nearest(name, book.failure_modes))
    mode = book.failure_modes[name]
    if mode not in applicable(book, rig_facts(model), model.rig):
        raise NotOnThisRig(f"{name}: {mode.title} cannot happen on this rig.")
    variant = max(variants_of(mode, model.rig), key=lambda v: v.share)
    return _met(mode, severity, variant, model, sound or model.sound_batch(1))


def _met(mode: FailureMode, severity: str, variant: Variant, model: Model, batch: Batch) -> Fault:
    """The fault with its fuses as they most often are when somebody looks."""
    for effect in variant.effects:
        at = np.array([SEVERITIES[severity]])
        batch = apply_effect(batch, effect, dict.fromkeys("abc", at), physical_ends(model.figures))
    states = found(model, batch)
    likeliest = np.array([int(np.argmax(states.share))])
    met = states.batch.take(likeliest)
    blown = tuple(
        name for name in ("main_fuse", "control_fuse") if met[name][0] > 1e6 > batch[name][0]
    )
    return Fault(mode, severity, variant, Circuits(model, met), blown)


def predicted_readings(
    rig: Rig, model: Model, healthy: Healthy, fault: Fault | None
) -> tuple[PredictedReading, ...]:
    """Every reading of the book that fits the rig, by state."""
    tests = tests_for(healthy.catalogue, rig, rig_facts(model))
    readings = [test.entry.reading for test in tests if hasattr(test.entry, "reading")]
    ordered = sorted(readings, key=lambda reading: ORDER.index(reading.condition))
    return tuple(_predicted_reading(reading, healthy, fault) for reading in ordered)


def volts_along_the_circuit(
    rig: Rig, healthy: Healthy, fault: Fault | None
) -> tuple[PredictedReading, ...]:
    """Volts of every test point against battery- while the pump is asked to run, from the battery's
    plus round the circuit."""
    points = (point for point in points_on(rig) if point != "battery-")
    readings = (Reading("voltage", (point, "battery-"), "calling") for point in points)
    return tuple(_predicted_reading(reading, healthy, fault) for reading in readings)


def _predicted_reading(reading: Reading, healthy: Healthy, fault: Fault | None) -> PredictedReading:
    sound = healthy.expected(reading)
    if fault is None:
        return PredictedReading(reading, sound)
    value = float(fault.circuits.predict(reading)[0][0])
    return PredictedReading(reading, sound, value, healthy.verdict(Measured(reading, value)))
