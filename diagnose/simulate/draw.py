"""Faulty rigs as they really are: off the book's grid, off the rig file, worse than described.

The circuit laws are the same ones that the reasoner predicts with; what those leave out, no such
study can show. Everything else is drawn apart from it: each sound rig differs from its rig file
(by more than the reasoner allows for), and severities reach beyond the book's range.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.catalogue.entry_parts import Change
from diagnose.catalogue.records import FailureMode
from diagnose.circuit.aftermath import found, main_history
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import Array, Batch, Flags
from diagnose.circuit.scene import Scene
from diagnose.reasoning.hypotheses import Variant, variants_of
from diagnose.reasoning.severity import at_severity
from diagnose.simulate.truth import OwnScene, Truth, pick

WIRE, CONSTANT = 0.15, 0.20
"""One standard deviation of the logarithm: wire length misjudged by 15 %, the constants of coil and
motor by 20 %."""

PERTURBED = (
    (WIRE, "battery_lead feed_1 feed_2 feed_3 return_1 return_2"),
    (0.30, "feed_1, feed_2, return_2"),
    (CONSTANT, "coil, coil.pull_in, coil.drop_out, motor.resistance, motor.back_emf"),
    (CONSTANT, "motor.friction motor.pressure_torque"),
    (0.40, "battery.resistance"),
    (0.12, "outlet.opening"),
    (0.05, "pressure_switch.cut_out"),
    (0.30, "thermal"),
    (0.15, "main_fuse, control_fuse"),
    (0.50, "terminal_positive, terminal_negative, fuse_holder, master_switch"),
    (0.50, "relay_socket, relay_contact, pressure_switch, float_switch"),
)
"""What differs from the rig file, by what factor: spread of the logarithm, and parameters; those
without a comma between them share one draw. The first and the CONSTANT rows are the study's terms;
the others are estimates."""

CHARGE, AIR = 0.15, 8.0
"""Spread of the battery's open-circuit voltage [V] and of the air temperature [K]; estimates."""

BEYOND = 0.15
"""How far severities reach beyond the book's range on either side, as a share of that range."""

CHARGES = (-0.4, 0.4)
"""Change of the battery's voltage [V] between which a rig worked all along; estimate."""

TRIES = 200
"""Perturbed rigs drawn until one works when sound."""


def perturb(model: Model, random: np.random.Generator, mismatch: float, count: int = 1) -> Batch:
    """Rigs that differ from their rig file; mismatch 0 is the rig file itself."""
    batch = model.sound_batch(count)
    for spread, names in ((spread, one) for spread, row in PERTURBED for one in row.split(", ")):
        factor = np.exp(random.normal(0, spread * mismatch, count))
        batch = batch.with_values({name: batch[name] * factor for name in names.split()})
    spread = CHARGE * model.rig.times_12 * mismatch
    charge, air = random.normal(0, [[spread], [AIR * mismatch]], (2, count))
    return batch.with_values(
        {"battery.voltage": batch["battery.voltage"] + charge, "ambient": batch["ambient"] + air}
    )


def works(model: Model, batch: Batch) -> Flags:
    """Whether each rig does what it was built for: runs when called, rests when satisfied."""
    count = len(batch)
    scene = Scene(Circuits(model, batch), np.zeros((4, count)), np.zeros((3, count)))
    calling, satisfied = scene.operation("calling"), scene.operation("satisfied")
    blows = 1 - main_history(model, batch, calling)[0]
    runs = calling.turning & ~calling.unsteady & ~scene.cycling & (blows < 0.05)
    return np.asarray(runs & ~satisfied.turning)


def works_at_any_charge(model: Model, batch: Batch) -> Flags:
    """Whether each works with the battery fuller and emptier, so that no trifle can upset it."""
    count, tried = len(batch), np.tile(np.arange(len(batch)), len(CHARGES))
    both = batch.take(tried)
    volts = both["battery.voltage"] + np.repeat(CHARGES, count)
    found = works(model, both.with_values({"battery.voltage": volts}))
    return np.asarray(found.reshape(len(CHARGES), count).all(axis=0))


def sound_rig(model: Model, random: np.random.Generator, mismatch: float) -> Batch:
    """A perturbed rig that worked before it failed; the rig file's own where none is found."""
    for _ in range(TRIES):
        batch = perturb(model, random, mismatch)
        if works_at_any_charge(model, batch)[0]:
            return batch
    return model.sound_batch(1)


def sound_rigs(model: Model, random: np.random.Generator, mismatch: float, drawn: int) -> Batch:
    """Those of so many perturbed rigs that worked; the rig file's own where none did."""
    batch = perturb(model, random, mismatch, drawn)
    kept = batch.take(np.flatnonzero(works_at_any_charge(model, batch)))
    return kept if len(kept) else model.sound_batch(1)


def _held(change: Change, value: Array, now: Array) -> Array:
    """An effect milder than nothing is nothing: the value stays on its side of the sound one."""
    least = {"add": np.zeros(1), "times": np.ones(1), "set": now}[change.operation]
    away = change.mild - least if change.operation == "set" else change.severe - change.mild
    return np.asarray(np.where(away >= 0, np.maximum(value, least), np.minimum(value, least)))


def change_by(batch: Batch, change: Change, severity: Array) -> Batch:
    now = batch[change.parameter]
    value = at_severity(change, severity)
    if change.mild != change.severe:
        value = _held(change, value, now)
    new = {"add": now + value, "times": now * value, "set": value}[change.operation]
    return batch.with_values({change.parameter: new})


def with_fault(batch: Batch, variant: Variant, severity: Array) -> Batch:
    """These rigs with one way to fail in them, each at its severity."""
    for change in (change for effect in variant.effects for change in effect.changes):
        batch = change_by(batch, change, severity)
    return batch


def _one_variant(model: Model, mode: FailureMode, random: np.random.Generator) -> Variant:
    variants = variants_of(mode, model.rig)
    return variants[pick(random, np.array([variant.share for variant in variants]))]


def faulty(
    model: Model, modes: Sequence[FailureMode], seed: tuple[int, ...], mismatch: float = 1.0
) -> Truth:
    """A rig with these failure modes in it, each at a severity of its own, as it is found."""
    random = np.random.default_rng(seed)
    sound = sound_rig(model, random, mismatch)
    variants = [_one_variant(model, mode, random) for mode in modes]
    reach = BEYOND * mismatch
    severities = [random.uniform(-reach, 1 + reach) for _ in variants]
    return as_found(sound, variants, severities, model, random, seed)


def as_found(
    sound: Batch,
    variants: Sequence[Variant],
    severities: Sequence[float],
    model: Model,
    random: np.random.Generator,
    seed: tuple[int, ...],
) -> Truth:
    """A sound rig with these variants in it, 0 mild to 1 severe, once its fuses have done what
    they will."""
    batch = sound
    for variant, severity in zip(variants, severities, strict=True):
        batch = with_fault(batch, variant, np.array([severity]))
    met = found(model, batch)
    here = np.array([pick(random, met.share)])
    bench = Circuits(model, met.batch.take(here))
    scene = OwnScene(bench, met.main[:, here], met.control[:, here], sound)
    modes = tuple(variant.mode for variant in variants)
    return Truth(modes, _together(variants), scene, seed)


def _together(variants: Sequence[Variant]) -> Variant:
    effects = tuple(effect for variant in variants for effect in variant.effects)
    shows = {name: words for variant in reversed(variants) for name, words in variant.shows.items()}
    return Variant(" and ".join(variant.mode for variant in variants), 1.0, effects, shows)
