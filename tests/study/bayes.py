"""The best that anybody could conclude from a case's answers: by one who knows the study's laws.

Whoever knows how rigs were drawn, how their owners talk, and how often they slip, can weigh every
answer exactly, by drawing the same once more, thousands of times. Where that verdict is wrong as
well, the answers did not hold what it takes: an information limit (the Bayes error for these
questions), up to the number of rigs drawn. Refused answers are left out.

The simulator makes one rig and one person's answers; here the same laws give the chance of every
answer on many rigs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.bench import Bench
from diagnose.catalogue.records import Catalogue, Observation, ReadingEntry
from diagnose.circuit.aftermath import found, main_history
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.trial_signs import SIGNS
from diagnose.reasoning.evidence import value_of
from diagnose.reasoning.hypotheses import Variant, variants_of
from diagnose.simulate import truth as law
from diagnose.simulate.draw import BEYOND, sound_rigs, with_fault
from diagnose.simulate.truth import OwnScene
from diagnose.study.play import Episode, Turn

Ints = NDArray[np.intp]

SOUND = 4000
"""Perturbed rigs of which the sound ones are those that fail."""


@dataclass
class Sample:
    """Faulty rigs of one rig file, one a column, drawn as the study draws its cases.

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
            entry = self.book.observations[name]
            if entry.predicted and entry.id in SIGNS:
                before = SIGNS[entry.id](self.sound)[:, self.origin]
                now = SIGNS[entry.id](self.scene).copy()
            else:
                before = self._strayed(entry, {}, len(self))
                now = before.copy()
            for number, variant in enumerate(self.variants):
                if words := variant.shows.get(entry.id):
                    here = np.flatnonzero(self.variant == number)
                    now[:, here] = self._strayed(entry, words, len(here))
            self._chances[name] = np.asarray(now), before
        return self._chances[name]

    def _strayed(self, entry: Observation, words: Mapping[str, str], count: int) -> Array:
        """The book's shares as that many shops have them."""
        usual = law.shares(words, entry, self.book)[:, None]
        stray = usual * np.exp(self.random.normal(0, law.LOOKS, (len(usual), count)))
        return np.asarray(stray / stray.sum(axis=0))

    @cached_property
    def complaints(self) -> list[Mapping[str, str]]:
        """All that a customer may come with on this rig."""
        return law.complaints(self.book, self.bench.hypotheses.facts)

    @cached_property
    def complained(self) -> Array:
        """Chance of each complaint (row) where no mistake is made; 0 where nobody would notice."""
        change = np.stack([self.change(seen) for seen in self.complaints])
        told = np.where(change >= law.CAUSED, change, 0.0)
        return np.asarray(told / np.maximum(told.sum(axis=0), 1e-12))

    def change(self, seen: Mapping[str, str]) -> Array:
        """How much likelier the fault makes a complaint."""
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


def sample(bench: Bench, each: int, random: np.random.Generator) -> Sample:
    """About `each` rigs of every failure mode that this rig can have, each at a severity of its
    own."""
    model, book = bench.model, bench.shop.catalogue
    sound = sound_rigs(model, random, 1.0, SOUND)
    modes = [book.failure_modes[name] for name in bench.hypotheses.modes]
    variants = [variant for mode in modes for variant in variants_of(mode, model.rig)]
    origin, parts, number = [], [], []
    for i, variant in enumerate(variants):
        pick = random.integers(0, len(sound), max(4, round(each * variant.share)))
        origin.append(pick)
        severity = random.uniform(-BEYOND, 1 + BEYOND, len(pick))
        parts.append(with_fault(sound.take(pick), variant, severity))
        number.append(np.full(len(pick), i))
    met = found(model, Batch.joined(parts))
    of, which = np.concatenate(origin)[met.origin], np.concatenate(number)[met.origin]
    scene = OwnScene(Circuits(model, met.batch), met.main, met.control, sound.take(of))
    main = main_history(model, sound, Circuits(model, sound).operation("calling"))
    control = np.array([1.0, 0.0, 0.0])[:, None] * np.ones(len(sound))
    before = OwnScene(Circuits(model, sound), main, control, sound)
    return Sample(bench, random, tuple(variants), which, met.share, scene, before, of)


@dataclass(frozen=True)
class IdealVerdict:
    """The verdict of one who knows. place: of the true repair, from 1; stated: probability of the
    one named first; tool: whether the tool named the right one; rigs: how many of those drawn the
    verdict rests on, in effect."""

    place: int
    stated: float
    tool: bool
    rigs: float

    @property
    def right(self) -> bool:
        return self.place == 1


@dataclass
class IdealObserver:
    """One who knows the laws, and that a share `wrong` of answers is plainly wrong."""

    sample: Sample
    wrong: float
    _gain: dict[str, Array] = field(default_factory=dict)
    _bands: dict[Reading, tuple[Array, Array]] = field(default_factory=dict)

    def weigh(self, played: Episode) -> IdealVerdict:
        """The verdict from what was told and answered in a case."""
        bench, repair = self.sample.bench, self.sample.bench.shop.repair
        chance = self.sample.weight * self._told(played.told)
        for test, answers in _by_test(played.asked).items():
            entry = bench.tests[test].entry
            if isinstance(entry, ReadingEntry):
                chance = chance * self._read(entry.reading, answers)
            else:
                chance = chance * self._seen(entry, answers)
        chance = chance / max(float(chance.sum()), 1e-300)
        modes = bench.hypotheses.modes
        total: dict[str, float] = {}
        for mode, p in zip(modes, np.bincount(self.sample.mode, chance, len(modes)), strict=True):
            total[repair[mode]] = total.get(repair[mode], 0.0) + float(p)
        order = sorted(total, key=lambda name: (-total[name], name))
        place = min(order.index(repair[mode]) for mode in played.modes) + 1
        effective = 1 / max(float((chance**2).sum()), 1e-300)
        return IdealVerdict(place, total[order[0]], played.right, effective)

    def _told(self, seen: Mapping[str, str]) -> Array:
        known = self.sample.complaints
        rows = [row for row, one in enumerate(known) if one == seen]
        meant = self.sample.complained[rows].sum(axis=0)
        return np.asarray((1 - self.wrong) * meant + self.wrong * len(rows) / len(known))

    def _seen(self, entry: Observation, answers: Sequence[str]) -> Array:
        """What is there to be seen stays; a mistake is made anew, or said once more."""
        options = tuple(entry.options)
        said = [options.index(answer) for answer in answers]
        slip = self.wrong / (len(options) - 1)
        chance = np.zeros(len(self.sample))
        for here, row in enumerate(self.sample.chances(entry.id)[0]):
            p = [1 - self.wrong if one == here else slip for one in said]
            again = [
                law.STAYS * (a == b) + (1 - law.STAYS) * q
                for a, b, q in zip(said, said[1:], p[1:], strict=False)
            ]
            chance += row * p[0] * float(np.prod(again))
        return chance

    def _read(self, reading: Reading, answers: Sequence[str]) -> Array:
        """Each new reading by itself; one that is just said again teaches nothing."""
        new = [a for a, before in zip(answers, ["", *answers], strict=False) if a != before]
        chance = np.ones(len(self.sample))
        for value in (value_of(answer, reading) for answer in new):
            right, astray = self.density(reading, value), self._astray(reading, value)
            chance = chance * ((1 - self.wrong) * right + self.wrong * astray)
        return chance

    def density(self, reading: Reading, value: float) -> Array:
        """Density, or chance at the ends of the scale, of a reading that is no mistake."""
        if reading not in self._bands:
            self._bands[reading] = self.sample.scene.circuits.predict(reading)
        mean, wander = self._bands[reading]
        if reading.quantity == "resistance":
            return self._ohms(mean, value)
        meter = self.sample.book.quantities[reading.quantity]
        own = meter.relative * np.sqrt(1 - law.GAIN**2) * mean
        spread = np.hypot(np.hypot(meter.absolute, own), wander)
        mean = mean * (1 + self._of_meter(reading.quantity))
        if value <= 0 and reading.quantity not in ("voltage", "temperature"):
            return np.asarray(normal_cdf(-mean / spread))
        return np.asarray(_normal((value - mean) / spread) / spread)

    def _ohms(self, mean: Array, value: float) -> Array:
        over = mean >= LARGEST_OHMS / 2
        if value >= LARGEST_OHMS / 2:
            return np.where(over, 1.0, 0.0)
        shown = mean + self.sample.random.uniform(0, law.LEADS, len(self.sample))
        off = np.log(max(value, 1e-4) / shown) / law.OHMS
        return np.where(over, 0.0, _normal(off) / (law.OHMS * max(value, 1e-4)))

    def _of_meter(self, quantity: str) -> Array:
        """How far each person's meter is off in all its readings, as a share."""
        if quantity not in self._gain:
            share = self.sample.book.quantities[quantity].relative * law.GAIN
            self._gain[quantity] = self.sample.random.normal(0, share, len(self.sample))
        return self._gain[quantity]

    def _astray(self, reading: Reading, value: float) -> float:
        """Density of a misreading."""
        if reading.quantity == "resistance":
            low, high = law.DECADES
            inside = 10**low <= value <= 10**high
            return 1 / (value * (high - low) * np.log(10)) if inside else 0.0
        low, high = law.misread_range(reading, self.sample.bench.rig)
        anything = 1 / (high - low) if low <= value <= high else 0.0
        if reading.quantity != "voltage":
            return anything
        volts = float(self.sample.bench.model.sound_batch(1)["battery.voltage"][0])
        nothing = float(_normal(np.array(value / law.TOUCHES))) / law.TOUCHES
        battery = float(_normal(np.array((value - volts) / law.BATTERY))) / law.BATTERY
        named = law.TOUCHES_NOTHING * nothing + law.TOUCHES_BATTERY * battery
        return named + (1 - law.TOUCHES_NOTHING - law.TOUCHES_BATTERY) * anything


def _by_test(asked: Sequence[Turn]) -> dict[str, list[str]]:
    """The answers to each test, in their order; what was not known is left out."""
    found: dict[str, list[str]] = {}
    for step in asked:
        if step.answer:
            found.setdefault(step.test, []).append(step.answer)
    return found


def _normal(z: Array) -> Array:
    with np.errstate(under="ignore"):
        return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))
