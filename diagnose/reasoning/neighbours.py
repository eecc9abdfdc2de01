"""How far apart hypotheses stand that are next to each other: other sound rigs, other severities.

Only some rigs and severities are computed, so each prediction is widened half-way to the next.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.parameters import Array

Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Row:
    """Groups in an order in which neighbours differ in one severity. alike: a number that changes
    where another variant, state or other severity begins; in_any_state: the same whether the motor
    turns or not (but for a blown fuse, between which and a whole one there is nothing)."""

    order: Ints
    alike: Ints
    in_any_state: Row | None = None


@dataclass(frozen=True)
class Neighbours:
    """group: number of the group of each hypothesis, those of the same variant, state and
    severities; rows: for each axis of severity the groups as neighbours; shape (groups)."""

    group: Ints
    rows: tuple[Row, Row]

    @classmethod
    def of(cls, variant: Ints, place: Ints, state: Ints) -> Neighbours:
        """variant and state of each hypothesis, shape (hypotheses); place: its severity on both
        axes, by number, shape (2, hypotheses)."""
        at = (variant * 8 + state, *place)
        sizes = tuple(int(one.max()) + 1 for one in at)
        numbers, group = np.unique(np.ravel_multi_index(at, sizes), return_inverse=True)
        keys = np.stack(np.unravel_index(numbers, sizes))
        return cls(group, (row_of(keys, 1), row_of(keys, 2)))

    @cached_property
    def _count(self) -> Ints:
        return np.bincount(self.group)

    def gaps(self, mean: Array, bandwidth: float) -> Array:
        """Half-way from each hypothesis to its neighbours, in the unit of `mean`, which has one
        value a hypothesis. bandwidth: over the spread among sound rigs."""
        average = np.bincount(self.group, mean) / self._count
        off = mean - average[self.group]
        square = np.bincount(self.group, off * off) / np.maximum(self._count - 1, 1)
        steps = [steps_between(average, row) / 2 for row in self.rows]
        return joined(bandwidth * np.sqrt(square), *steps)[self.group]


def joined(*spreads: Array) -> Array:
    """Independent spreads together, the root of their squares' sum; many times as quick as hypot,
    which guards against sizes that no reading has."""
    total = spreads[0] * spreads[0]
    for spread in spreads[1:]:
        total = total + spread * spread
    return np.asarray(np.sqrt(total))


def row_of(keys: Ints, axis: int) -> Row:
    """keys: variant with state, first and second severity of each group, shape (3, groups); axis:
    the severity that varies."""
    other = 3 - axis

    def by(first: Ints, any_state: Row | None = None) -> Row:
        order = np.lexsort((keys[axis], keys[other], first))
        alike = (first * (int(keys[other].max()) + 1) + keys[other])[order]
        return Row(order, alike, any_state)

    return by(keys[0], by(keys[0] // 8 * 2 + keys[0] % 2))


def steps_between(average: Array, row: Row) -> Array:
    """Distance from each group to the nearer of its neighbours in severity; of one that is alone in
    its state, to the nearer in any state; 0 without any."""
    step = np.where(row.alike[1:] == row.alike[:-1], np.abs(np.diff(average[row.order])), np.inf)
    ends = np.array([np.inf])
    nearest = np.minimum(np.concatenate([ends, step]), np.concatenate([step, ends]))
    found = np.empty_like(average)
    alone = 0.0 if row.in_any_state is None else steps_between(average, row.in_any_state)[row.order]
    found[row.order] = np.where(np.isfinite(nearest), nearest, alone)
    return found
