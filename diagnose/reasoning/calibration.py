"""One very rig: what its readings of when it was new say of its own joints, motor and coil.

Many sound rigs are drawn and solved; from them follows how each reading of the record goes with
each spread, and so which sound rigs would have read what was read. Each day on which readings were
taken had a battery charge, an air temperature and contact faces of its own, and so has today: what
changes from day to day (table day-to-day) is another for each.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Array, Batch
from diagnose.reasoning.commissioning import Day, OwnReadings
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.hypotheses import normal_draws, varied
from diagnose.reasoning.predictions import scaled, scatter

ROUNDS = 3
"""Times that rigs are drawn: of any, then twice about those that explain the record."""

FREEDOM = 4
"""Degrees of freedom of the law by which readings scatter (laws.STUDENT)."""


@dataclass(frozen=True)
class Known:
    """What is known of the spreads of one rig: the mean of its draws, shape (spreads, 1), and what
    a standard normal draw is multiplied by, shape (spreads, spreads)."""

    mean: Array
    root: Array

    @classmethod
    def nothing(cls, size: int) -> Known:
        """As of any rig."""
        return cls(np.zeros((size, 1)), np.eye(size))

    def of(self, normal: Array) -> Array:
        """Standard normal draws as draws of this rig."""
        return np.asarray(self.mean + self.root @ normal)


@dataclass(frozen=True)
class OwnRig:
    """A rig and its record. `draws` gives sound rigs like this one."""

    catalogue: Catalogue
    model: Model
    readings: OwnReadings

    def draws(self, count: int) -> Array:
        """So many sound rigs as they may be today, as draws of the spreads."""
        size = len(self._share)
        normal = normal_draws(count, 2 * size)
        return self._on_a_day(self.lasting.of(normal[:size]), normal[size:])

    @property
    def middle(self) -> Array:
        """The rig in the middle of them, as a draw of its own; shape (spreads, 1)."""
        return self._on_a_day(self.lasting.mean, np.zeros_like(self._share))

    @property
    def well(self) -> Batch:
        """The circuit of that one."""
        return varied(self.model, self.middle)

    @cached_property
    def lasting(self) -> Known:
        """What its record says of it, day by day."""
        known = Known.nothing(len(self._share))
        for day in self.readings.days:
            known = self._learned(known, day)
        return known

    @cached_property
    def _share(self) -> Array:
        """How far each spread is another one on another day; shape (spreads, 1)."""
        figures = self.model.figures
        share = figures.table("day-to-day")
        names = [str(row[0]) for row in figures.table("spreads").rows]
        return np.array([[share.row(name)["share"]] for name in names])

    def _on_a_day(self, lasting: Array, of_the_day: Array) -> Array:
        return np.asarray(np.sqrt(1 - self._share**2) * lasting + self._share * of_the_day)

    def _learned(self, known: Known, day: Day) -> Known:
        """What is known after one more day. Drawn together: what lasts and what was of that day."""
        size = len(self._share)
        stated = np.array([np.mean(_ends(item)) for item in day.read])

        def read(normal: Array) -> tuple[Array, Array]:
            return self._read(day, known.of(normal[:size]), normal[size:])

        found = narrowed(read, stated, 2 * size, int(self.model.figures.get("own-draws")))
        lasting = found.root[:size] @ found.root[:size].T
        return Known(known.of(found.mean[:size]), known.root @ root_of(lasting))

    def _read(self, day: Day, lasting: Array, of_the_day: Array) -> tuple[Array, Array]:
        """What each rig would read that day, with its spread, the last digits included."""
        shown, spread = self.read([item.reading for item in day.read], lasting, of_the_day)
        step = np.array([np.ptp(_ends(item)) for item in day.read]) / np.sqrt(12)
        return shown, np.hypot(spread, step[:, None])

    def read(
        self, readings: Sequence[Reading], lasting: Array, of_the_day: Array
    ) -> tuple[Array, Array]:
        """What such rigs read on such days, with its spread, on the scales of the readings; shape
        (readings, rigs)."""
        batch = varied(self.model, self._on_a_day(lasting, of_the_day))
        circuits = Circuits(self.model, batch)
        found = [self._reading(circuits, one) for one in readings]
        return np.stack([shown for shown, _ in found]), np.stack([spread for _, spread in found])

    def _reading(self, circuits: Circuits, reading: Reading) -> tuple[Array, Array]:
        shown, unsteady = circuits.predict(reading)
        spread = scatter(self.catalogue, self.model.figures, reading, shown)
        return scaled(reading, shown), np.hypot(spread, unsteady)


def _ends(item: Measured) -> tuple[float, float]:
    """The least and the most that was stated, on the reading's scale."""
    low, high = (float(scaled(item.reading, end)) for end in item.ends)
    return low, high


Read = Callable[[Array], tuple[Array, Array]]
"""From draws to what is read under each, with its spread; both of shape (readings, draws)."""


def narrowed(read: Read, stated: Array, size: int, count: int) -> Known:
    """Standard normal draws, `size` numbers each, as these readings leave them.

    Straight lines are laid through what `count` draws read (least squares), and the mean and the
    variances of normal draws given a reading on a line are known in closed form; the lines are then
    laid once more where the good draws are. A reading far from all of them counts for less, as of a
    law with long tails. Source: statistical linearisation, the Kalman update and the variational
    weights of Student's law, from memory.
    """
    known, weight = Known.nothing(size), np.ones(len(stated))
    normal = normal_draws(count, size)
    for _ in range(ROUNDS):
        draws = known.of(normal)
        lines = lines_through(draws, *read(draws))
        noise = lines.noise / weight
        gain = np.linalg.solve(lines.slope @ lines.slope.T + np.diag(noise), lines.slope).T
        mean = gain @ (stated - lines.at_zero)
        spread = np.eye(size) - gain @ lines.slope
        known = Known(mean[:, None], root_of(spread))
        off = stated - lines.at_zero - lines.slope @ mean
        square = off**2 + ((lines.slope @ spread) * lines.slope).sum(axis=1)
        weight = (FREEDOM + 1) / (FREEDOM + square / lines.noise)
    return known


@dataclass(frozen=True)
class Lines:
    """Readings as straight lines over the draws: value at zero, slope along each number of a draw,
    and the variance about the line, which is that of the meter too."""

    at_zero: Array
    slope: Array
    noise: Array


def lines_through(draws: Array, shown: Array, spread: Array) -> Lines:
    whole = np.concatenate([np.ones((1, draws.shape[1])), draws])
    found, *_ = np.linalg.lstsq(whole.T, shown.T, rcond=None)
    left = shown - found.T @ whole
    return Lines(found[0], found[1:].T, (left**2 + spread**2).mean(axis=1))


def root_of(spread: Array) -> Array:
    """A symmetric root of a matrix of variances: that of "nothing known" changes no draw."""
    values, axes = np.linalg.eigh(spread)
    return np.asarray((axes * np.sqrt(np.maximum(values, 0.0))) @ axes.T)
