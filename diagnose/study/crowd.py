"""Many faulty rigs at once, drawn as the study draws its cases: all that may lie behind one.

`truth` and `telling` make one rig and one person's answers; here the same laws give the chance of
every answer on thousands of rigs, so that one who knows them can weigh what was answered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.bench import Bench
from diagnose.catalogue.records import Catalogue, Observation, holds
from diagnose.circuit.aftermath import found, main_history
from diagnose.circuit.meter import Circuits
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.trial_signs import SIGNS
from diagnose.reasoning.hypotheses import Variant, variants_of
from diagnose.simulate.answers import CAUSED, LOOKS, shares
from diagnose.simulate.truth import BEYOND, OwnScene, changed, sound_rigs

Ints = NDArray[np.intp]
Seen = Mapping[str, str]

SOUND = 4000
"""Perturbed rigs of which the sound ones are those that fail."""


@dataclass
class Crowd:
    """Faulty rigs of one rig file, one a column.

    variants: every way to fail; variant, mode: of each column, by number; share: of each column
    within its way to fail; scene: the rigs as they are found; sound: the rigs before they failed,
    and origin: which of them each column was.
    """

    bench: Bench
    random: np.random.Generator
    variants: tuple[Variant, ...]
    variant: Ints
    share: Array
    scene: OwnScene
    sound: OwnScene
    origin: Ints
    _chances: dict[str, tuple[Array, Array]] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.variant)

    @property
    def book(self) -> Catalogue:
        return self.bench.shop.catalogue

    @cached_property
    def mode(self) -> Ints:
        """Number of each column's failure mode, as the bench counts them."""
        places = {mode: i for i, mode in enumerate(self.bench.hypotheses.modes)}
        return np.array([places[v.mode] for v in self.variants], dtype=np.intp)[self.variant]

    def chances(self, name: str) -> tuple[Array, Array]:
        """Chance of each answer to an observation, mistakes apart, now and before the fault."""
        if name not in self._chances:
            before = self._before(self.book.observations[name])
            self._chances[name] = (self._now(self.book.observations[name], before), before)
        return self._chances[name]

    def _before(self, entry: Observation) -> Array:
        if entry.predicted and entry.id in SIGNS:
            return SIGNS[entry.id](self.sound)[:, self.origin]
        return self._strayed(entry, {}, len(self))

    def _now(self, entry: Observation, before: Array) -> Array:
        predicted = entry.predicted and entry.id in SIGNS
        rows = SIGNS[entry.id](self.scene).copy() if predicted else before.copy()
        for number, variant in enumerate(self.variants):
            words = variant.shows.get(entry.id)
            if words:
                here = np.flatnonzero(self.variant == number)
                rows[:, here] = self._strayed(entry, words, len(here))
        return np.asarray(rows)

    def _strayed(self, entry: Observation, words: Mapping[str, str], count: int) -> Array:
        """The book's shares as that many shops have them."""
        usual = shares(words, entry, self.book)[:, None]
        stray = usual * np.exp(self.random.normal(0, LOOKS, (len(usual), count)))
        return np.asarray(stray / stray.sum(axis=0))

    @cached_property
    def complaints(self) -> tuple[Seen, ...]:
        """All that a customer may come with on this rig."""
        facts, known = self.bench.hypotheses.facts, self.book.observations
        return tuple(
            one.seen
            for one in self.book.complaints.values()
            if all(holds(known[name].applies, facts) for name in one.seen)
        )

    @cached_property
    def complained(self) -> Array:
        """Chance of each complaint (row) where no mistake is made; 0 where nobody would notice."""
        change = np.stack([self._change(seen) for seen in self.complaints])
        told = np.where(change >= CAUSED, change, 0.0)
        return np.asarray(told / np.maximum(told.sum(axis=0), 1e-12))

    def _change(self, seen: Seen) -> Array:
        now, before = np.ones(len(self)), np.ones(len(self))
        for name, option in seen.items():
            place = tuple(self.book.observations[name].options).index(option)
            here, sound = self.chances(name)
            now, before = now * here[place], before * sound[place]
        return now - before

    @cached_property
    def weight(self) -> Array:
        """Prior of each column: failure modes as often as the book says, noticed rigs alone."""
        h = self.bench.hypotheses
        noticed = self.share * self.complained.any(axis=0)
        of_mode = np.bincount(self.mode, noticed, len(h.modes))
        prior = np.bincount(h.mode, h.weight, len(h.modes))
        with np.errstate(divide="ignore", invalid="ignore"):
            scale = np.where(of_mode > 0, prior / of_mode, 0.0)
        return np.asarray(noticed * scale[self.mode])


def crowd(bench: Bench, each: int, random: np.random.Generator, mismatch: float = 1.0) -> Crowd:
    """About `each` rigs of every failure mode that this rig can have."""
    model, book = bench.model, bench.shop.catalogue
    sound = sound_rigs(model, random, mismatch, SOUND)
    modes = [book.failure_modes[name] for name in bench.hypotheses.modes]
    variants = [variant for mode in modes for variant in variants_of(mode, model.rig)]
    origin, parts, number = [], [], []
    for i, variant in enumerate(variants):
        pick = random.integers(0, len(sound), max(4, round(each * variant.share)))
        origin.append(pick)
        parts.append(_failed(sound.take(pick), variant, random, mismatch))
        number.append(np.full(len(pick), i))
    met = found(model, Batch.joined(parts))
    of, which = np.concatenate(origin)[met.origin], np.concatenate(number)[met.origin]
    scene = OwnScene(Circuits(model, met.batch), met.main, met.control, sound.take(of))
    before = OwnScene(Circuits(model, sound), *_whole(bench, sound), sound)
    return Crowd(bench, random, tuple(variants), which, met.share, scene, before, of)


def _failed(sound: Batch, variant: Variant, random: np.random.Generator, mismatch: float) -> Batch:
    """These rigs with one way to fail in them, each at a severity of its own."""
    reach = BEYOND * mismatch
    severity = random.uniform(-reach, 1 + reach, len(sound))
    batch = sound
    for change in (change for effect in variant.effects for change in effect.changes):
        batch = changed(batch, change, severity)
    return batch


def _whole(bench: Bench, sound: Batch) -> tuple[Array, Array]:
    """What the fuses of sound rigs have been through: little, and nothing."""
    calling = Circuits(bench.model, sound).operation("calling")
    control = np.array([1.0, 0.0, 0.0])[:, None] * np.ones(len(sound))
    return main_history(bench.model, sound, calling), control
