"""One very rig: what its readings of when it was new say of its own joints, motor and coil.

Many sound rigs are drawn and solved; from them follows how each reading of the record depends on
each spread, and so which sound rigs would have read what was read. Each day on which readings were
taken had a battery charge, an air temperature and contact faces of its own, and so has today: what
changes from day to day (table day-to-day) is another for each.

A sound rig is a vector x of standard normal numbers, one for each spread (table spreads). With s
the share of a spread that is of the day, it is made of what lasts and of the day:

    x = sqrt(1 - s^2) lasting + s of_the_day
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import Array, Batch
from diagnose.reasoning.commissioning import CommissioningRecord, Day
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.hypotheses import normal_draws, varied
from diagnose.reasoning.predictions import scaled, scatter

ROUNDS = 3
"""Times that rigs are drawn: of any, then twice about those that explain the record."""

FREEDOM = 4
"""Degrees of freedom of the law by which readings scatter (error_models.STUDENT)."""


@dataclass(frozen=True)
class Gaussian:
    """A normal distribution of the spreads of one rig.

    mean: shape (spreads, 1); root: what a standard normal draw is multiplied by, shape (spreads,
    spreads), so that the covariance is root root^T.
    """

    mean: Array
    root: Array

    @classmethod
    def standard(cls, size: int) -> Gaussian:
        """As of any rig: mean 0, variance 1."""
        return cls(np.zeros((size, 1)), np.eye(size))

    def draws_from(self, normal: Array) -> Array:
        """Standard normal draws as draws of this distribution, both of shape (spreads, draws)."""
        return np.asarray(self.mean + self.root @ normal)


@dataclass(frozen=True)
class CalibratedRig:
    """A rig and its commissioning record. `draws` gives sound rigs like this one."""

    catalogue: Catalogue
    model: Model
    record: CommissioningRecord

    def draws(self, count: int) -> Array:
        """So many sound rigs as they may be today, as draws of the spreads, shape (spreads,
        count)."""
        size = len(self._share)
        normal = normal_draws(count, 2 * size)
        return self._on_a_day(self.lasting.draws_from(normal[:size]), normal[size:])

    @property
    def middle(self) -> Array:
        """The rig in the middle of them, as a draw of its own; shape (spreads, 1)."""
        return self._on_a_day(self.lasting.mean, np.zeros_like(self._share))

    @property
    def well(self) -> Batch:
        """The circuit of that one."""
        return varied(self.model, self.middle)

    @cached_property
    def lasting(self) -> Gaussian:
        """What its record says of what lasts of it, day by day."""
        known = Gaussian.standard(len(self._share))
        for day in self.record.days:
            known = self._learn(known, day)
        return known

    @cached_property
    def _share(self) -> Array:
        """s: how far each spread is another one on another day; shape (spreads, 1)."""
        figures = self.model.figures
        share = figures.table("day-to-day")
        names = [str(row[0]) for row in figures.table("spreads").rows]
        return np.array([[share.row(name)["share"]] for name in names])

    def _on_a_day(self, lasting: Array, of_the_day: Array) -> Array:
        return np.asarray(np.sqrt(1 - self._share**2) * lasting + self._share * of_the_day)

    def _learn(self, known: Gaussian, day: Day) -> Gaussian:
        """What is known after one more day. Drawn together: what lasts and what was of that day."""
        size = len(self._share)
        stated = np.array([np.mean(_ends(item)) for item in day.read])

        def read(normal: Array) -> tuple[Array, Array]:
            return self._read(day, known.draws_from(normal[:size]), normal[size:])

        found = condition_on(read, stated, 2 * size, int(self.model.figures.get("own-draws")))
        lasting = found.root[:size] @ found.root[:size].T
        mean = known.draws_from(found.mean[:size])
        return Gaussian(mean, known.root @ symmetric_root(lasting))

    def _read(self, day: Day, lasting: Array, of_the_day: Array) -> tuple[Array, Array]:
        """What each rig would read that day, with its spread, the last digits included."""
        shown, spread = self.read([item.reading for item in day.read], lasting, of_the_day)
        step = np.array([np.ptp(_ends(item)) for item in day.read]) / np.sqrt(12)
        return shown, np.hypot(spread, step[:, None])

    def read(
        self, readings: Sequence[Reading], lasting: Array, of_the_day: Array
    ) -> tuple[Array, Array]:
        """What such rigs read on such days, and its spread, on the scales of the readings; both of
        shape (readings, rigs). lasting, of_the_day: shape (spreads, rigs)."""
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
"""From draws, shape (size, draws), to what is read under each, with its spread; both of shape
(readings, draws)."""


def condition_on(read: Read, stated: Array, size: int, count: int) -> Gaussian:
    """Standard normal draws, `size` numbers each, as these readings leave them.

    stated: the readings on their scales, shape (readings); count: draws that are solved.

    Straight lines y = a + B x are fitted to what `count` draws read (least squares), and the mean
    and the covariance of x given readings y with noise R are known in closed form:

        K = B^T (B B^T + R)^-1,   mean = K (y - a),   covariance = 1 - K B

    The lines are then fitted again around the draws that explain the readings. A reading far from
    all lines counts for less, as under a distribution with long tails: with v degrees of freedom
    and its squared distance d^2 in units of the noise it has the weight (v + 1) / (v + d^2).
    Source: statistical linearisation, the Kalman update and the variational weights of Student's
    law, from memory.
    """
    known, weight = Gaussian.standard(size), np.ones(len(stated))
    normal = normal_draws(count, size)
    for _ in range(ROUNDS):
        draws = known.draws_from(normal)
        lines = fit_lines(draws, *read(draws))
        noise = lines.noise / weight
        gain = np.linalg.solve(lines.slope @ lines.slope.T + np.diag(noise), lines.slope).T
        mean = gain @ (stated - lines.at_zero)
        spread = np.eye(size) - gain @ lines.slope
        known = Gaussian(mean[:, None], symmetric_root(spread))
        off = stated - lines.at_zero - lines.slope @ mean
        square = off**2 + ((lines.slope @ spread) * lines.slope).sum(axis=1)
        weight = (FREEDOM + 1) / (FREEDOM + square / lines.noise)
    return known


@dataclass(frozen=True)
class Lines:
    """Readings as straight lines over the draws.

    at_zero: value of each reading at a draw of zeros, shape (readings); slope: along each number of
    a draw, shape (readings, size); noise: variance about the line, that of the meter included,
    shape (readings).
    """

    at_zero: Array
    slope: Array
    noise: Array


def fit_lines(draws: Array, shown: Array, spread: Array) -> Lines:
    """Lines through readings by least squares. draws: shape (size, draws); shown, spread: what is
    read under each and how far that scatters, shape (readings, draws)."""
    whole = np.concatenate([np.ones((1, draws.shape[1])), draws])
    found, *_ = np.linalg.lstsq(whole.T, shown.T, rcond=None)
    left = shown - found.T @ whole
    return Lines(found[0], found[1:].T, (left**2 + spread**2).mean(axis=1))


def symmetric_root(covariance: Array) -> Array:
    """The symmetric matrix r with r r = covariance, shape (size, size); that of 1 changes no draw.

    >>> print(symmetric_root(np.diag([4.0, 9.0])))
    [[2. 0.]
     [0. 3.]]
    """
    values, axes = np.linalg.eigh(covariance)
    return np.asarray((axes * np.sqrt(np.maximum(values, 0.0))) @ axes.T)
