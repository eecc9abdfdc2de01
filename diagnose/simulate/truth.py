"""One faulty rig, and what a person beside it says: complaint, answers and readings, mistakes
included.

Each answer is drawn from the case's own seed and the test's name, so that the same person gives
the same answer whatever was asked before: policies are compared on equal terms, and a person who
errs more often errs in the same places and in more.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod
from zlib import crc32

import numpy as np

from diagnose.catalogue.records import Catalogue, Observation, ReadingEntry, holds
from diagnose.circuit.aftermath import main_history
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.motor import Running
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.rig import Rig
from diagnose.circuit.scene import Scene
from diagnose.circuit.trial_signs import SIGNS
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.hypotheses import Variant

LOOKS = 0.4
"""How far looks and habits of one shop stray from the book's "usually": spread of the logarithm of
each answer's share; estimate."""

CAUSED = 0.2
"""A complaint that a fault does not make likelier by this much is not what it brings about;
estimate."""

STAYS = 0.4
"""Chance that a person asked again says the same without having looked anew; estimate."""

GAIN = 0.7
"""Share of a meter's relative error that is the same in all readings of one case; estimate."""

LEADS = 0.3
"""Most that leads and probes add to an ohms reading [ohm]; common practice."""

OHMS = 0.05
"""Spread of the logarithm of an ohms reading; estimate."""

TOUCHES = 0.02
"""How far from 0 V a probe reads that touches nothing [V]; estimate."""

TOUCHES_NOTHING = 0.3
"""Share of misplaced voltage probes that touch nothing; estimate."""

TOUCHES_BATTERY = 0.4
"""Share of misplaced voltage probes that show the battery's own volts; estimate."""

BATTERY = 0.3
"""Spread of those volts [V]; estimate."""

LOWEST_VOLTS = -1.0
"""Least that a misplaced voltage probe shows [V]; estimate."""

DECADES = (-1.0, 6.0)
"""Powers of ten between which ohms are misread; estimate."""

REACH = {"voltage": 15.0, "temperature": 120.0, "pressure": 100.0, "flow-rate": 8.0}
"""Largest value that a misreading takes, in the reading's unit; currents go by the pump."""


@dataclass
class OwnScene(Scene):
    """A scene whose owner knows how this very rig sounds and sprays when it is well."""

    sound: Batch

    @cached_property
    def when_sound(self) -> Running:
        return Circuits(self.model, self.sound).operation("calling").running


@dataclass(frozen=True)
class Person:
    """Who answers. wrong: share of answers that are plainly wrong; unsure: share of "not known"."""

    wrong: float = 0.05
    unsure: float = 0.0


@dataclass(frozen=True)
class Truth:
    """One faulty rig. modes: what is wrong with it, and in `variant` how; scene: its circuit (one
    column) as it is found; seed: all that is said about it follows from this."""

    modes: tuple[str, ...]
    variant: Variant
    scene: OwnScene
    seed: tuple[int, ...]

    @property
    def how(self) -> str:
        return self.variant.effects[0].name

    @cached_property
    def sound_scene(self) -> OwnScene:
        """The same rig before it failed, its fuses whole."""
        model, sound = self.scene.model, self.scene.sound
        bench = Circuits(model, sound)
        main = main_history(model, sound, bench.operation("calling"))
        return OwnScene(bench, main, np.array([[1.0], [0.0], [0.0]]), sound)

    def _random(self, about: str, attempt: int = 0) -> np.random.Generator:
        return np.random.default_rng([*self.seed, crc32(about.encode()), attempt])

    def complaint(
        self, person: Person, book: Catalogue, facts: Mapping[str, str]
    ) -> dict[str, str]:
        """What the customer says first, as observations; nothing when nobody would notice.

        A complaint of the book that the fault brings about: likelier by CAUSED than on this very
        rig when it was sound. With the person's rate of mistakes it is any other.
        """
        known = complaints(book, facts)
        change = self.changes(known, book)
        if not (change >= CAUSED).any():
            return {}
        random = self._random("complaint")
        mistaken = random.random() < person.wrong
        weights = np.ones(len(known)) if mistaken else np.where(change >= CAUSED, change, 0.0)
        return dict(known[pick(random, weights)])

    def changes(self, known: Sequence[Mapping[str, str]], book: Catalogue) -> Array:
        """How much likelier the fault has made each complaint."""
        entries = [book.observations[name] for name in {name for seen in known for name in seen}]
        now = {e.id: dict(zip(e.options, self.chances(e, book), strict=True)) for e in entries}
        before = ((e, self._by_itself(self.sound_scene, e, book)) for e in entries)
        well = {e.id: dict(zip(e.options, found, strict=True)) for e, found in before}
        return np.array([_together(now, seen) - _together(well, seen) for seen in known])

    def answer(self, person: Person, test: Test, book: Catalogue, attempt: int = 0) -> str | None:
        """What is said to one question: an option, a value with its unit, or None for "not known".

        attempt: how often the same has been asked before. What is there to be seen stays the same;
        a mistake is made once more with chance STAYS, and a reading is taken anew.
        """
        if attempt and self._random(f"{test.id} again", attempt).random() < STAYS:
            return self.answer(person, test, book, attempt - 1)
        random = self._random(test.id, attempt)
        mistaken, unsure = random.random(2) < (person.wrong, person.unsure)
        if unsure:
            return None
        if isinstance(test.entry, ReadingEntry):
            reading = test.entry.reading
            if mistaken:
                return self._misread(reading, random)
            return self.shown(reading, book, random)
        options = tuple(test.entry.options)
        sight = self._random(f"sight of {test.id}")
        here = pick(sight, self.chances(test.entry, book))
        if mistaken:
            here = int(random.choice([i for i in range(len(options)) if i != here]))
        return options[here]

    def chances(self, entry: Observation, book: Catalogue) -> Array:
        """Chance of each answer to an observation at this rig, mistakes apart."""
        words = self.variant.shows.get(entry.id, {})
        if not words:
            return self._by_itself(self.scene, entry, book)
        return self._strayed(entry, shares(words, entry, book))

    def _by_itself(self, scene: Scene, entry: Observation, book: Catalogue) -> Array:
        """Chance of each answer by the circuit, or as it is on any rig; no failure mode's words."""
        if entry.predicted and entry.id in SIGNS:
            return np.asarray(SIGNS[entry.id](scene)[:, 0])
        return self._strayed(entry, shares({}, entry, book))

    def _strayed(self, entry: Observation, usual: Array) -> Array:
        """The same shares as this shop has them."""
        random = self._random(f"looks of {entry.id}")
        stray = usual * np.exp(random.normal(0, LOOKS, len(usual)))
        return np.asarray(stray / stray.sum())

    def shown(
        self, reading: Reading, book: Catalogue, random: np.random.Generator, wander: float = 1
    ) -> str:
        """What the meter shows, with its unit, or "OL".

        wander: how far it wanders where a contact makes and breaks, over the spread of its values
        """
        mean, spread = (float(x[0]) for x in self.scene.circuits.predict(reading))
        if reading.quantity == "resistance":
            ohms = (mean + random.uniform(0, LEADS)) * float(np.exp(random.normal(0, OHMS)))
            return "OL" if ohms >= LARGEST_OHMS / 2 else f"{ohms:.4g} ohm"
        meter = book.quantities[reading.quantity]
        gain = self._random(f"meter for {reading.quantity}").normal(0, meter.relative * GAIN)
        noise = np.hypot(meter.absolute, meter.relative * np.sqrt(1 - GAIN**2) * mean)
        value = mean * (1 + gain) + random.normal(0, np.hypot(noise, wander * spread))
        return _written(reading, value)

    def _misread(self, reading: Reading, random: np.random.Generator) -> str:
        """A reading of another point, another state or another range."""
        model = self.scene.model
        if reading.quantity == "voltage":
            where, volts = random.random(), float(model.sound_batch(1)["battery.voltage"][0])
            if where < TOUCHES_NOTHING:
                return f"{random.normal(0, TOUCHES):.3f} V"
            if where < TOUCHES_NOTHING + TOUCHES_BATTERY:
                return f"{random.normal(volts, BATTERY):.2f} V"
        if reading.quantity == "resistance":
            return f"{10 ** random.uniform(*DECADES):.4g} ohm"
        return _written(reading, random.uniform(*misread_range(reading, model.rig)))


def pick(random: np.random.Generator, weights: Array) -> int:
    """An index, drawn with chances in proportion to the weights."""
    return int(random.choice(len(weights), p=weights / weights.sum()))


def complaints(book: Catalogue, facts: Mapping[str, str]) -> list[Mapping[str, str]]:
    """All that a customer may come with on a rig, as observations."""
    return [
        one.seen
        for one in book.complaints.values()
        if all(holds(book.observations[name].applies, facts) for name in one.seen)
    ]


def shares(words: Mapping[str, str], entry: Observation, book: Catalogue) -> Array:
    """Chance of each answer: words of the failure mode; the rest as it is on any rig."""
    otherwise = np.array([entry.otherwise.get(option, 0.0) for option in entry.options])
    named = np.array([book.words[words[o]] if o in words else 0.0 for o in entry.options])
    rest = np.where(named > 0, 0.0, otherwise)
    left = max(1.0 - named.sum(), 0.0)
    return np.asarray(named + (left * rest / rest.sum() if rest.sum() > 0 else 0.0))


def misread_range(reading: Reading, rig: Rig) -> tuple[float, float]:
    """Least and most that a misreading shows, in the reading's unit; ohms go by DECADES."""
    low = LOWEST_VOLTS if reading.quantity == "voltage" else 0.0
    return low, REACH.get(reading.quantity, 6 * rig.pump_current)


def _together(shown: Mapping[str, Mapping[str, float]], seen: Mapping[str, str]) -> float:
    """Chance that all of a complaint is there to be seen."""
    return prod(float(shown[name][option]) for name, option in seen.items())


def _written(reading: Reading, value: float) -> str:
    """A value as a person writes it down; only volts and degrees go below zero."""
    if reading.quantity not in ("voltage", "temperature"):
        value = max(value, 0.0)
    return f"{value:.4g} {reading.unit}"
