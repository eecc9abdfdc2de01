"""Every fault the book knows, as circuits: failure mode, variant, severity, rigs around it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.entry_parts import Effect
from diagnose.catalogue.records import Catalogue, FailureMode, holds
from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.network import touches
from diagnose.circuit.parameters import NAMES, Array, Batch, family, unit_of
from diagnose.circuit.rig import Rig
from diagnose.circuit.scene import Scene
from diagnose.design.facts import rig_facts
from diagnose.reasoning import OTHER as OTHER
from diagnose.reasoning.severity import (
    Ends,
    apply_effect,
    coarse,
    levels,
    parts,
    physical_ends,
)

Shows = Mapping[str, Mapping[str, str]]
Draws = Callable[[int], Array]
"""So many sound rigs, as draws of the spreads: shape (spreads, rigs)."""

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
    mode, variant: index of each column into modes and variants; place: number of its level of
    severity on the first and on the second axis, shape (2, columns);
    weight: prior of each column, summing to 1 - other; scene: the circuits as they are found; own:
    the sound rigs behind them, where this very rig is known better than by its description.
    """

    model: Model
    facts: Mapping[str, str]
    modes: tuple[str, ...]
    prior: Mapping[str, float]
    variants: tuple[Variant, ...]
    mode: NDArray[np.intp]
    variant: NDArray[np.intp]
    place: NDArray[np.intp]
    weight: Array
    other: float
    scene: Scene
    own: Draws | None = None

    def __len__(self) -> int:
        return len(self.weight)


def applicable(catalogue: Catalogue, facts: Mapping[str, str], rig: Rig) -> tuple[FailureMode, ...]:
    """The failure modes that this rig can have: they apply, and it has what they change."""
    return tuple(
        mode
        for mode in catalogue.failure_modes.values()
        if mode.status != "retired"
        and holds(mode.applies, facts)
        and any(_possible(effect, rig) for effect in mode.effects)
    )


def prior_weights(modes: Sequence[FailureMode], facts: Mapping[str, str]) -> dict[str, float]:
    """Prior probability of each failure mode on this rig, summing to one."""
    weights = {}
    for mode in modes:
        factor = np.prod([f.times for f in mode.prior_factors if holds(f.when, facts)])
        weights[mode.id] = mode.prior.weight * mode.prior.counted * float(factor)
    total = sum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


def prior_of(model: Model, modes: Sequence[FailureMode]) -> dict[str, float]:
    """Prior probability of each failure mode on a rig; where nobody has said what the rig is for,
    that of each use which such rigs mostly have, by how many have it (table usual-use)."""
    facts = rig_facts(model)
    if facts["use"] != "unknown":
        return prior_weights(modes, facts)
    row = model.figures.table("usual-use").row(f"{model.rig.topology} {model.rig.control}")
    found = dict.fromkeys((mode.id for mode in modes), 0.0)
    for use, share in row.items():
        for name, weight in prior_weights(modes, {**facts, "use": use}).items():
            found[name] += share * weight
    return found


def _possible(effect: Effect, rig: Rig) -> bool:
    """Whether the rig has anything that the effect changes."""
    return touches(rig, [change.parameter for change in effect.changes])


def variants_of(mode: FailureMode, rig: Rig) -> tuple[Variant, ...]:
    """The ways in which one failure mode changes this rig's circuit; shares sum to one."""
    effects = [e for e in mode.effects if _possible(e, rig)]
    total = sum(effect.share for effect in effects)
    return tuple(
        Variant(mode.id, effect.share / total, (effect,), {**mode.shows, **effect.shows})
        for effect in effects
    )


def normal_draws(count: int, dimensions: int, seed: int = 20) -> Array:
    """Latin-hypercube draws of a standard normal; shape (dimensions, count), always the same."""
    quantiles = [NormalDist().inv_cdf((i + 0.5) / count) for i in range(count)]
    random = np.random.default_rng(seed)
    return np.stack([random.permutation(quantiles) for _ in range(dimensions)])


def any_rig(model: Model) -> Draws:
    """Draws of any sound rig of this description."""
    rows = len(model.figures.table("spreads").rows)
    return lambda count: normal_draws(count, rows)


def _in_family(names: str, batch: Batch) -> Iterator[str]:
    """These parameters, and those of listed parts and further wires that are like one of them."""
    known = names.split()
    yield from known
    more = batch.names[len(NAMES) :]
    yield from (name for name in more if family(name) in (*known, *(LIKE.get(n) for n in known)))


LIKE = {"fuse_holder": "part"}
"""A contact of a listed part differs from rig to rig as that of a fuse holder does."""


def varied(model: Model, draws: Array) -> Batch:
    """Sound rigs that differ as sound rigs do; draws of shape (spreads, circuits)."""
    batch = model.sound_batch(draws.shape[1])
    for (_, operation, spread, names), z in zip(
        model.figures.table("spreads").rows, draws, strict=True
    ):
        volts = operation == "add" and unit_of(str(names).split()[0]) == "V"
        amount = float(str(spread)) * z * (model.rig.times_12 if volts else 1.0)
        for name in _in_family(str(names), batch):
            now = batch[name]
            value = now + amount if operation == "add" else now * np.exp(amount)
            batch = batch.with_values({name: value})
    return batch


@dataclass(frozen=True)
class _Grid:
    """Severities and sound rig of every column of one variant.

    severities: by axis; place: number of the level on the first and on the second axis; share: of
    the variant's cases that each column stands for; rigs: a sound rig each.
    """

    severities: Mapping[str, Array]
    place: NDArray[np.intp]
    share: Array
    rigs: Batch


@dataclass(frozen=True)
class _Grids:
    """The grids of variants without a range, with one axis, and with two or more; of the last two
    another where a contact parts, which goes on to the end more often."""

    none: _Grid
    one: Mapping[bool, _Grid]
    two: Mapping[bool, _Grid]
    ends: Ends

    def of(self, variant: Variant) -> _Grid:
        changes = [one for effect in variant.effects for one in effect.changes if one.has_range]
        if not changes:
            return self.none
        parting = any(parts(effect, self.ends) for effect in variant.effects)
        if len(variant.effects) > 1 or len({change.axis for change in changes}) > 1:
            return self.two[parting]
        return self.one[parting]


Level = tuple[Array, Array]
"""The severities of one axis, with their shares."""

SECOND, RIGS_OF_TWO = 5, 3
"""Levels of a second axis, and sound rigs behind each pair of levels; a choice of speed."""


def _grids(model: Model, own: Draws | None) -> _Grids:
    """The grids of one rig."""
    figures, alone = model.figures, (np.zeros(1), np.ones(1))
    draws = int(figures.get("draws"))
    first = {False: levels(figures), True: levels(figures, "beyond-contact")}

    def grid(at: Level, second: Level, rigs: int) -> _Grid:
        return _grid(model, at, second, rigs, own or any_rig(model))

    return _Grids(
        none=grid(alone, alone, 2 * draws),
        one={part: grid(at, alone, draws) for part, at in first.items()},
        two={part: grid(at, coarse(at, SECOND), RIGS_OF_TWO) for part, at in first.items()},
        ends=physical_ends(figures),
    )


def _grid(model: Model, first: Level, second: Level, draws: int, sound: Draws) -> _Grid:
    """Each level of the first axis with each of the second, on so many sound rigs."""
    a, b = np.meshgrid(np.arange(len(first[0])), np.arange(len(second[0])), indexing="ij")
    place = np.tile(np.stack([a.ravel(), b.ravel()]), draws)
    severities = {"a": first[0][place[0]], "b": second[0][place[1]]}
    share = first[1][place[0]] * second[1][place[1]]
    rigs = varied(model, sound(place.shape[1]))
    return _Grid(severities, place, share / share.sum(), rigs)


def _columns(variants: Sequence[Variant], grids: _Grids) -> Iterator[tuple[_Grid, Batch]]:
    ends = grids.ends
    for variant in variants:
        grid = grids.of(variant)
        batch = apply_effect(grid.rigs, variant.effects[0], grid.severities, ends)
        for effect in variant.effects[1:]:  # a second fault is on the second axis
            swapped = {**grid.severities, "a": grid.severities["b"]}
            batch = apply_effect(batch, effect, swapped, ends)
        yield grid, batch


def assemble(
    model: Model,
    facts: Mapping[str, str],
    modes: Sequence[str],
    prior: Mapping[str, float],
    variants: Sequence[Variant],
    other: float,
    own: Draws | None = None,
) -> Hypotheses:
    """Lay out the columns of all variants, each fuse blown or whole as its column's circuit
    leaves it."""
    variant, place, weight, parts = [], [], [], []
    for index, (grid, batch) in enumerate(_columns(variants, _grids(model, own))):
        here = variants[index]
        variant.append(np.full(len(batch), index))
        place.append(grid.place)
        weight.append(prior[here.mode] * here.share * (1 - other) * grid.share)
        parts.append(batch)
    met = found(model, Batch.joined(parts))
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
        place=np.concatenate(place, axis=1)[:, origin],
        weight=weights * (1 - other) / weights.sum(),
        other=other,
        scene=scene,
        own=own,
    )


def build(
    catalogue: Catalogue, model: Model, learn: Learn | None = None, own: Draws | None = None
) -> Hypotheses:
    """All single faults of the book that this rig can have; `learn` changes the book's priors, own
    the sound rigs behind the columns."""
    facts = rig_facts(model)
    modes = applicable(catalogue, facts, model.rig)
    variants = [variant for mode in modes for variant in variants_of(mode, model.rig)]
    other = model.figures.get("not-in-the-book")
    names = [mode.id for mode in modes]
    prior: Mapping[str, float] = prior_of(model, modes)
    return assemble(model, facts, names, learn(prior) if learn else prior, variants, other, own)
