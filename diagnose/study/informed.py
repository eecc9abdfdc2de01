"""The best that anybody could conclude from a case's answers: by one who knows the study's laws.

Whoever knows how rigs were drawn, how their owners talk, and how often they slip, can weigh every
answer exactly, by drawing the same once more, thousands of times. Where that verdict is wrong as
well, the answers did not hold what it takes: an information limit (the Bayes error for these
questions), up to the number of rigs drawn. Refused answers are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import value_of
from diagnose.simulate.answers import (
    BATTERY,
    DECADES,
    GAIN,
    LEADS,
    LOWEST_VOLTS,
    OHMS,
    REACH,
    STAYS,
    TOUCHES,
    TOUCHES_BATTERY,
    TOUCHES_NOTHING,
)
from diagnose.study.crowd import Crowd, Seen
from diagnose.study.play import Asked, Played


@dataclass(frozen=True)
class Informed:
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
class Knowing:
    """One who knows the laws, and that a share `wrong` of answers is plainly wrong."""

    crowd: Crowd
    wrong: float
    _gain: dict[str, Array] = field(default_factory=dict)
    _bands: dict[Reading, tuple[Array, Array]] = field(default_factory=dict)

    def weigh(self, played: Played) -> Informed:
        """The verdict from what was told and answered in a case."""
        crowd, repair = self.crowd, self.crowd.bench.shop.repair
        chance = crowd.weight * self._told(played.told)
        for test, answers in _by_test(played.asked).items():
            chance = chance * self._answered(test, answers)
        chance = chance / max(float(chance.sum()), 1e-300)
        modes = crowd.bench.hypotheses.modes
        total: dict[str, float] = {}
        for mode, p in zip(modes, np.bincount(crowd.mode, chance, len(modes)), strict=True):
            total[repair[mode]] = total.get(repair[mode], 0.0) + float(p)
        order = sorted(total, key=lambda name: (-total[name], name))
        place = min(order.index(repair[mode]) for mode in played.modes) + 1
        effective = 1 / max(float((chance**2).sum()), 1e-300)
        return Informed(place, total[order[0]], played.right, effective)

    def _told(self, seen: Seen) -> Array:
        crowd = self.crowd
        rows = [row for row, one in enumerate(crowd.complaints) if one == seen]
        meant = crowd.complained[rows].sum(axis=0)
        return np.asarray((1 - self.wrong) * meant + self.wrong * len(rows) / len(crowd.complaints))

    def _answered(self, test: str, answers: Sequence[str]) -> Array:
        entry = self.crowd.bench.tests[test].entry
        if isinstance(entry, ReadingEntry):
            return self._read(entry.reading, answers)
        return self._seen(entry, answers)

    def _seen(self, entry: Observation, answers: Sequence[str]) -> Array:
        """What is there to be seen stays; a mistake is made anew, or said once more."""
        options = tuple(entry.options)
        said = [options.index(answer) for answer in answers]
        rows, _ = self.crowd.chances(entry.id)
        slip = self.wrong / (len(options) - 1)
        chance = np.zeros(len(self.crowd))
        for here, row in enumerate(rows):
            p = [1 - self.wrong if one == here else slip for one in said]
            again = [
                STAYS * (a == b) + (1 - STAYS) * q
                for a, b, q in zip(said, said[1:], p[1:], strict=False)
            ]
            chance += row * p[0] * float(np.prod(again))
        return chance

    def _read(self, reading: Reading, answers: Sequence[str]) -> Array:
        """Each new reading by itself; one that is just said again teaches nothing."""
        new = [a for a, before in zip(answers, ["", *answers], strict=False) if a != before]
        values = [value_of(answer, reading) for answer in new]
        chance = np.ones(len(self.crowd))
        for value in values:
            right, astray = self._density(reading, value), self._astray(reading, value)
            chance = chance * ((1 - self.wrong) * right + self.wrong * astray)
        return chance

    def _density(self, reading: Reading, value: float) -> Array:
        """Density, or chance at the ends of the scale, of a reading that is no mistake."""
        mean, wander = self._band(reading)
        if reading.quantity == "resistance":
            return self._ohms(mean, value)
        meter = self.crowd.book.quantities[reading.quantity]
        own = meter.relative * np.sqrt(1 - GAIN**2) * mean
        spread = np.hypot(np.hypot(meter.absolute, own), wander)
        mean = mean * (1 + self._of_meter(reading.quantity))
        if value <= 0 and reading.quantity not in ("voltage", "temperature"):
            return np.asarray(normal_cdf(-mean / spread))
        return np.asarray(_normal((value - mean) / spread) / spread)

    def _ohms(self, mean: Array, value: float) -> Array:
        over = mean >= LARGEST_OHMS / 2
        if value >= LARGEST_OHMS / 2:
            return np.where(over, 1.0, 0.0)
        shown = mean + self.crowd.random.uniform(0, LEADS, len(self.crowd))
        off = np.log(max(value, 1e-4) / shown) / OHMS
        return np.where(over, 0.0, _normal(off) / (OHMS * max(value, 1e-4)))

    def _band(self, reading: Reading) -> tuple[Array, Array]:
        if reading not in self._bands:
            self._bands[reading] = self.crowd.scene.circuits.predict(reading)
        return self._bands[reading]

    def _of_meter(self, quantity: str) -> Array:
        """How far each person's meter is off in all its readings, as a share."""
        if quantity not in self._gain:
            share = self.crowd.book.quantities[quantity].relative * GAIN
            self._gain[quantity] = self.crowd.random.normal(0, share, len(self.crowd))
        return self._gain[quantity]

    def _astray(self, reading: Reading, value: float) -> float:
        """Density of a misreading."""
        if reading.quantity == "resistance":
            low, high = DECADES
            inside = 10**low <= value <= 10**high
            return 1 / (value * (high - low) * np.log(10)) if inside else 0.0
        low = LOWEST_VOLTS if reading.quantity == "voltage" else 0.0
        high = REACH.get(reading.quantity, 6 * self.crowd.bench.rig.pump_current)
        anything = 1 / (high - low) if low <= value <= high else 0.0
        if reading.quantity != "voltage":
            return anything
        volts = float(self.crowd.bench.model.sound_batch(1)["battery.voltage"][0])
        nothing = float(_normal(np.array(value / TOUCHES))) / TOUCHES
        battery = float(_normal(np.array((value - volts) / BATTERY))) / BATTERY
        named = TOUCHES_NOTHING * nothing + TOUCHES_BATTERY * battery
        return named + (1 - TOUCHES_NOTHING - TOUCHES_BATTERY) * anything


def _by_test(asked: Sequence[Asked]) -> dict[str, list[str]]:
    """The answers to each test, in their order; what was not known is left out."""
    found: dict[str, list[str]] = {}
    for step in asked:
        if step.answer:
            found.setdefault(step.test, []).append(step.answer)
    return found


def _normal(z: Array) -> Array:
    with np.errstate(under="ignore"):
        return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))
