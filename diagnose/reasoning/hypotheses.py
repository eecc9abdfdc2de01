"""Every fault the book knows, as circuits: failure mode, variant, severity, rigs around it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.records import Catalogue, Change, Effect, FailureMode, holds
from diagnose.circuit.aftermath import found
from diagnose.circuit.design import rig_facts
from diagnose.circuit.meter import Circuits
from diagnose.circuit.network import bears_on
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.rig import Rig
from diagnose.circuit.scene import Scene
from diagnose.reasoning import OTHER as OTHER

Shows = Mapping[str, Mapping[str, str]]
Learn = Callable[[Mapping[str, float]], Mapping[str, float]]
"""From the prior probabilities of a rig's failure modes to those that take its owner's cases in."""


@dataclass(frozen=True)
class Variant:
    """One effect of one failure mode (or of two at once), with what it shows to the eye."""

    mode: str
    share: float
    effects: tuple[Effect, ...]
    shows: Shows


@dataclass(frozen=True)
class Hypotheses:
    """The circuits, one column a hypothesis.

    modes: applicable failure modes; prior: probability of each, by name, without OTHER;
    mode, variant, cell: index of each column into modes, variants and (variant, severity) cells;
    weight: prior of each column, summing to 1 - other; scene: the circuits as they are found.
    """

    model: Model
    facts: Mapping[str, str]
    modes: tuple[str, ...]
    prior: Mapping[str, float]
    variants: tuple[Variant, ...]
    mode: NDArray[np.intp]
    variant: NDArray[np.intp]
    cell: NDArray[np.intp]
    weight: Array
    other: float
    scene: Scene

    def __len__(self) -> int:
        return len(self.weight)


def applicable(catalogue: Catalogue, facts: Mapping[str, str]) -> tuple[FailureMode, ...]:
    """The failure modes that this rig can have."""
    return tuple(
        mode
        for mode in catalogue.failure_modes.values()
        if mode.status != "retired" and holds(mode.applies, facts)
    )


def prior_weights(modes: Sequence[FailureMode], facts: Mapping[str, str]) -> dict[str, float]:
    """Prior probability of each failure mode on this rig, summing to one."""
    weights = {}
    for mode in modes:
        factor = np.prod([f.times for f in mode.prior_factors if holds(f.when, facts)])
        weights[mode.id] = mode.prior.weight * float(factor)
    total = sum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


def _possible(effect: Effect, rig: Rig) -> bool:
    """Whether the rig has anything that the effect changes."""
    return not effect.changes or any(bears_on(rig, c.parameter) for c in effect.changes)


def variants_of(mode: FailureMode, rig: Rig) -> tuple[Variant, ...]:
    """The ways in which one failure mode changes this rig's circuit; shares sum to one."""
    effects = [e for e in mode.effects if _possible(e, rig)] or list(mode.effects)
    total = sum(effect.share for effect in effects)
    return tuple(
        Variant(mode.id, effect.share / total, (effect,), {**mode.shows, **effect.shows})
        for effect in effects
    )


def at_severity(change: Change, severity: Array) -> Array:
    """The value of a change between mild (0) and severe (1): geometric where both are positive."""
    mild, severe = change.mild, change.severe
    if mild > 0 and severe > 0:
        return np.asarray(mild * (severe / mild) ** severity)
    return np.asarray(mild + (severe - mild) * severity)


def apply_effect(batch: Batch, effect: Effect, severity: Array) -> Batch:
    """The circuits with an effect in them; severity from 0 to 1, one a circuit."""
    changed: dict[str, Array] = {}
    for change in effect.changes:
        value, now = at_severity(change, severity), batch[change.parameter]
        changed[change.parameter] = {
            "add": now + value,
            "times": now * value,
            "set": value,
        }[change.operation]
    return batch.with_values(changed)


def normal_draws(count: int, dimensions: int, seed: int = 20) -> Array:
    """Latin-hypercube draws of a standard normal; shape (dimensions, count), always the same."""
    quantiles = [NormalDist().inv_cdf((i + 0.5) / count) for i in range(count)]
    random = np.random.default_rng(seed)
    return np.stack([random.permutation(quantiles) for _ in range(dimensions)])


def varied(model: Model, draws: Array) -> Batch:
    """Sound rigs that differ as sound rigs do; draws of shape (spreads, circuits)."""
    batch = model.sound_batch(draws.shape[1])
    for (_, operation, spread, names), z in zip(
        model.figures.table("spreads").rows, draws, strict=True
    ):
        amount = float(str(spread)) * z
        for name in str(names).split():
            now = batch[name]
            value = now + amount if operation == "add" else now * np.exp(amount)
            batch = batch.with_values({name: value})
    return batch


@dataclass(frozen=True)
class _Grid:
    """Severity and sound rig of every column of one variant.

    second: severity of a second fault beside the first: each step of the one meets each step of
    the other, since two faults do not grow together.
    """

    severity: Array
    second: Array
    cell: NDArray[np.intp]
    rigs: Batch


def _grids(model: Model) -> tuple[_Grid, _Grid]:
    """The grid of a variant that has a range, and of one that has none."""
    steps, count = int(model.figures.get("severities")), int(model.figures.get("draws"))
    rows = len(model.figures.table("spreads").rows)
    whole = varied(model, normal_draws(steps * count, rows))
    fixed = varied(model, normal_draws(2 * count, rows))
    cells = np.tile(np.arange(steps), count)
    margin = model.figures.get("severity-margin")
    severity = (cells + 0.5) / steps * (1 + 2 * margin) - margin
    rig = np.repeat(np.arange(count), steps)
    ranged = _Grid(severity, severity[(cells + rig) % steps], cells, whole)
    none = np.zeros(2 * count)
    return ranged, _Grid(none, none, np.zeros(2 * count, dtype=np.intp), fixed)


def _has_range(variant: Variant) -> bool:
    return any(c.mild != c.severe for effect in variant.effects for c in effect.changes)


def _columns(
    grids: tuple[_Grid, _Grid], variants: Sequence[Variant]
) -> Iterator[tuple[_Grid, Batch]]:
    for variant in variants:
        grid = grids[0] if _has_range(variant) else grids[1]
        batch = grid.rigs
        for effect, severity in zip(variant.effects, (grid.severity, grid.second), strict=False):
            batch = apply_effect(batch, effect, severity)
        yield grid, batch


def assemble(
    model: Model,
    facts: Mapping[str, str],
    modes: Sequence[str],
    prior: Mapping[str, float],
    variants: Sequence[Variant],
    other: float,
) -> Hypotheses:
    """Lay out the columns of all variants and let their fuses do what they will."""
    variant, cell, weight, parts = [], [], [], []
    offset = 0
    for index, (grid, batch) in enumerate(_columns(_grids(model), variants)):
        here = variants[index]
        size = len(batch)
        share = prior[here.mode] * here.share * (1 - other) / size
        variant.append(np.full(size, index))
        cell.append(grid.cell + offset)
        weight.append(np.full(size, share))
        parts.append(batch.values)
        offset += int(grid.cell.max()) + 1
    met = found(model, Batch(np.concatenate(parts, axis=1)))
    position = {name: i for i, name in enumerate(modes)}
    of_variant = np.array([position[v.mode] for v in variants])
    order = np.argsort(of_variant[np.concatenate(variant)[met.origin]], kind="stable")
    origin = met.origin[order]
    variant_of = np.concatenate(variant)[origin]
    scene = Scene(Circuits(model, met.batch.take(order)), met.main[:, order], met.control[:, order])
    weights = np.concatenate(weight)[origin] * met.share[order]
    return Hypotheses(
        model=model,
        facts=facts,
        modes=tuple(modes),
        prior=prior,
        variants=tuple(variants),
        mode=of_variant[variant_of],
        variant=variant_of,
        cell=np.concatenate(cell)[origin],
        weight=weights * (1 - other) / weights.sum(),
        other=other,
        scene=scene,
    )


def build(catalogue: Catalogue, model: Model, learn: Learn | None = None) -> Hypotheses:
    """All single faults of the book that this rig can have; `learn` changes the book's priors."""
    facts = rig_facts(model)
    modes = applicable(catalogue, facts)
    variants = [variant for mode in modes for variant in variants_of(mode, model.rig)]
    other = model.figures.get("not-in-the-book")
    names = [mode.id for mode in modes]
    prior: Mapping[str, float] = prior_weights(modes, facts)
    return assemble(model, facts, names, learn(prior) if learn else prior, variants, other)
