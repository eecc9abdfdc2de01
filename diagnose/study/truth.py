"""Faulty rigs as they really are: off the book's grid, off the described values, told with errors.

The truth is computed by the same circuit laws, but with every parameter perturbed away from what
the rig file says, severities drawn from a wider range than the book assumes, and answers that are
sometimes plainly wrong. What the laws themselves leave out, no such study can show.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from diagnose.catalogue.records import FailureMode, ReadingEntry, holds
from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import LARGEST_OHMS, Bench, Reading
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.scene import Scene
from diagnose.circuit.trial_signs import SIGNS
from diagnose.reasoning.hypotheses import Hypotheses, Variant, apply_effect, variants_of
from diagnose.reasoning.next_test import Test
from diagnose.reasoning.predictions import LEAD_OHMS, NO_CONTACT, Predictions, shown, width

WIRE, COIL, MOTOR, BATTERY = 0.15, 0.20, 0.20, 0.35
"""Perturbations, one standard deviation of the logarithm: wire length misjudged by 15 %, coil and
motor constants by 20 %, battery resistance by 35 %."""

BEYOND = 0.15
"""How far severities reach beyond the book's range on either side, as a share of that range."""

PERTURBED = {
    "wire": (WIRE, ("battery_lead", "feed_1", "feed_2", "feed_3", "return_1", "return_2")),
    "coil": (COIL / 2, ("coil",)),
    "pull-in": (COIL / 2, ("coil.pull_in",)),
    "drop-out": (COIL, ("coil.drop_out",)),
    "winding": (MOTOR, ("motor.resistance",)),
    "constant": (MOTOR / 3, ("motor.back_emf",)),
    "load": (MOTOR / 1.5, ("motor.friction", "motor.pressure_torque")),
    "battery": (BATTERY, ("battery.resistance",)),
    "nozzle": (0.12, ("outlet.opening",)),
    "cooling": (0.3, ("thermal",)),
}
CONTACTS = ("fuse_holder", "master_switch", "relay_contact", "pressure_switch", "float_switch")


@dataclass(frozen=True)
class Truth:
    """One faulty rig. scene: its circuit (one column); variant: what is wrong with it."""

    mode: str
    variant: Variant
    scene: Scene
    random: np.random.Generator
    wrong: float


def perturbed(model: Model, random: np.random.Generator) -> Batch:
    """One sound rig that differs from its rig file."""
    batch = model.sound_batch(1)
    for spread, names in PERTURBED.values():
        factor = float(np.exp(random.normal(0, spread)))
        batch = batch.with_values({name: batch[name] * factor for name in names})
    each = {name: batch[name] * np.exp(random.normal(0, 0.4)) for name in CONTACTS}
    volts = batch["battery.voltage"] + random.normal(0, 0.15)
    return batch.with_values({**each, "battery.voltage": volts})


def _pick(random: np.random.Generator, weights: Array) -> int:
    return int(random.choice(len(weights), p=weights / weights.sum()))


def faulty(
    hypotheses: Hypotheses, mode: FailureMode, random: np.random.Generator, wrong: float
) -> Truth:
    """A rig with one failure mode in it, at a severity of its own, as it is found."""
    model = hypotheses.model
    variants = variants_of(mode, model.rig)
    variant = variants[_pick(random, np.array([v.share for v in variants]))]
    severity = np.array([random.uniform(-BEYOND, 1 + BEYOND)])
    batch = perturbed(model, random)
    for effect in variant.effects:
        batch = apply_effect(batch, effect, severity)
    met = found(model, batch)
    here = np.array([_pick(random, met.share)])
    scene = Scene(Bench(model, met.batch.take(here)), met.main[:, here], met.control[:, here])
    return Truth(mode.id, variant, scene, random, wrong)


def answer(truth: Truth, test: Test, predictions: Predictions) -> str:
    """What a person at this rig would answer: an option, or a value in the reading's unit."""
    entry = test.entry
    if isinstance(entry, ReadingEntry):
        return _measure(truth, entry.reading, predictions)
    return _told(truth, entry.id, predictions)


def _chances(truth: Truth, name: str, predictions: Predictions) -> Array:
    """Chance of each answer to an observation at this rig, mistakes apart."""
    entry = predictions.catalogue.observations[name]
    words = truth.variant.shows.get(name)
    if words:
        return shown(entry, words, predictions.catalogue.words)
    if name in SIGNS and entry.predicted:
        return np.asarray(SIGNS[name](truth.scene)[:, 0])
    return np.array([entry.otherwise.get(option, 0.0) for option in entry.options])


def _told(truth: Truth, name: str, predictions: Predictions) -> str:
    options = tuple(predictions.catalogue.observations[name].options)
    picked = _pick(truth.random, _chances(truth, name, predictions))
    if truth.random.random() < truth.wrong:
        picked = int(truth.random.choice([i for i in range(len(options)) if i != picked]))
    return options[picked]


CAUSED = 0.2
"""A complaint less likely than this at the rig is not what its fault brings about."""


def complaint(truth: Truth, predictions: Predictions) -> dict[str, str]:
    """What the customer says first, as observations; nothing when nobody would notice.

    A complaint of the book that this rig really shows; with the truth's rate of mistakes another.
    """
    book, facts = predictions.catalogue, predictions.hypotheses.facts
    known = [
        c.seen
        for c in book.complaints.values()
        if all(holds(book.observations[name].applies, facts) for name in c.seen)
    ]
    chances = np.array([_chance_of(truth, seen, predictions) for seen in known])
    if not np.any(chances >= CAUSED):
        return {}
    if truth.random.random() < truth.wrong:
        return dict(known[_pick(truth.random, np.ones(len(known)))])
    return dict(known[_pick(truth.random, np.where(chances >= CAUSED, chances, 0.0))])


def _chance_of(truth: Truth, seen: Mapping[str, str], predictions: Predictions) -> float:
    chance = 1.0
    for name, option in seen.items():
        options = tuple(predictions.catalogue.observations[name].options)
        chance *= float(_chances(truth, name, predictions)[options.index(option)])
    return chance


def _measure(truth: Truth, reading: Reading, predictions: Predictions) -> str:
    random = truth.random
    quantity = predictions.catalogue.quantities[reading.quantity]
    mean, spread = (float(x[0]) for x in truth.scene.bench.predict(reading))
    if random.random() < truth.wrong:
        return _misread(reading, random, width(predictions, reading))
    if reading.quantity == "resistance":
        ohms = (mean + LEAD_OHMS * random.uniform(0, 1)) * float(np.exp(random.normal(0, 0.05)))
        return "OL" if ohms >= LARGEST_OHMS / 2 else f"{ohms:.4g} ohm"
    noise = float(np.hypot(quantity.absolute, quantity.relative * mean))
    value = mean + random.normal(0, noise) + random.normal(0, spread)
    if reading.quantity != "voltage":
        value = max(value, 0.0)
    return f"{value:.4g} {reading.unit}"


def _misread(reading: Reading, random: np.random.Generator, whole: float) -> str:
    """A reading of another point, another state or another range."""
    if reading.quantity == "voltage" and random.random() < NO_CONTACT:
        return f"{random.normal(0, 0.02):.3f} V"
    if reading.quantity == "resistance":
        return f"{10 ** random.uniform(-1, 6):.4g} ohm"
    low = -1.0 if reading.quantity == "voltage" else 0.0
    return f"{low + random.uniform(0, whole):.4g} {reading.unit}"


def with_wrong(truth: Truth, wrong: float) -> Truth:
    """The same rig, told by a person with another rate of mistakes."""
    return replace(truth, wrong=wrong)
