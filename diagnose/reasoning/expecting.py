"""What a sound rig reads everywhere, and what a rig with one fault would read instead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnose.catalogue.records import Catalogue, FailureMode
from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Batch
from diagnose.circuit.rig import Rig
from diagnose.design.facts import rig_facts
from diagnose.errors import UnknownName, nearest
from diagnose.reasoning.evidence import Measured, NotOnThisRig
from diagnose.reasoning.expectations import Expected, Healthy
from diagnose.reasoning.hypotheses import Variant, applicable, variants_of
from diagnose.reasoning.next_test import tests_for
from diagnose.reasoning.severity import apply_effect, physical_ends

SEVERITIES = {"mild": 0.0, "middling": 0.5, "severe": 1.0, "total": 2.0}
"""How far a fault has gone, from the mildest to the severest of the book."""

ORDER = ("rest", "calling", "satisfied", "unplugged", "isolated")
"""States in the order in which they are shown."""


@dataclass(frozen=True)
class Line:
    """One reading: what sound rigs read, and what the faulty one would; verdict as in
    reasoning.expectations. Values in the reading's unit; faulty is None without a fault."""

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

    variant: the effect that is shown; blown: which of the fuses it has blown
    """

    mode: FailureMode
    severity: str
    variant: Variant
    circuits: Circuits
    blown: tuple[str, ...]


def fault_in(
    book: Catalogue, model: Model, name: str, severity: str, sound: Batch | None = None
) -> Fault:
    """sound: the rig before it had the fault, where it is known better than by its description.
    Raises UnknownName or NotOnThisRig."""
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


def lines_for(rig: Rig, model: Model, healthy: Healthy, fault: Fault | None) -> tuple[Line, ...]:
    """Every reading of the book that fits the rig, by state."""
    tests = tests_for(healthy.catalogue, rig, rig_facts(model))
    readings = [test.entry.reading for test in tests if hasattr(test.entry, "reading")]
    ordered = sorted(readings, key=lambda reading: ORDER.index(reading.condition))
    return tuple(_line(reading, healthy, fault) for reading in ordered)


def along(rig: Rig, healthy: Healthy, fault: Fault | None) -> tuple[Line, ...]:
    """Volts of every test point against battery- while the pump is called, round the circuit."""
    return tuple(
        _line(Reading("voltage", (point, "battery-"), "calling"), healthy, fault)
        for point in _points(rig)
    )


def _points(rig: Rig) -> Iterator[str]:
    return (point for point in points_on(rig) if point != "battery-")


def _line(reading: Reading, healthy: Healthy, fault: Fault | None) -> Line:
    sound = healthy.expected(reading)
    if fault is None:
        return Line(reading, sound)
    value = float(fault.circuits.predict(reading)[0][0])
    return Line(reading, sound, value, healthy.verdict(Measured(reading, value)))
