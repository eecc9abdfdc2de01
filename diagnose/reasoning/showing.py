"""What the circuits of all hypotheses show, worked out for some of them at a time.

A solved circuit is many times as large as what is asked of it. So some circuits are solved in every
condition, all that is asked is read off, and they are forgotten before the next ones.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.parameters import Array, Flags
from diagnose.circuit.scene import Scene
from diagnose.circuit.signs import Sign

BLOWN = 1e6
"""Ohms from which a fuse counts as blown."""


@dataclass(frozen=True)
class Called:
    """How each circuit answers the call; one value a hypothesis.

    state: number of what it does, 0 to 7: 4 the relay rattles, 2 the pump turns, 1 a fuse is blown;
    loose: whether a joint makes and breaks.
    """

    state: NDArray[np.intp]
    loose: Flags

    @classmethod
    def of(cls, scene: Scene) -> Called:
        calling, batch = scene.operation("calling"), scene.batch
        blown = (batch["main_fuse"] > BLOWN) | (batch["control_fuse"] > BLOWN)
        return cls(calling.chatter * 4 + calling.turning * 2 + blown, scene.loose)


@dataclass(frozen=True)
class Showing:
    """signs: chances of each answer, mistakes apart, shape (options, hypotheses); readings: mean
    and spread of what the meter shows in the reading's unit, one value a hypothesis."""

    called: Called
    signs: Mapping[str, Array]
    readings: Mapping[Reading, tuple[Array, Array]]


def showing(scene: Scene, signs: Mapping[str, Sign], readings: Collection[Reading]) -> Showing:
    """What was asked, of all circuits of a scene."""
    found = [_of_some(part, signs, readings) for part in scene.parts()]
    called = [part.called for part in found]
    return Showing(
        Called(
            np.concatenate([one.state for one in called]),
            np.concatenate([one.loose for one in called]),
        ),
        {name: np.concatenate([part.signs[name] for part in found], axis=1) for name in signs},
        {one: _joined([part.readings[one] for part in found]) for one in readings},
    )


def _of_some(part: Scene, signs: Mapping[str, Sign], readings: Collection[Reading]) -> Showing:
    return Showing(
        Called.of(part),
        {name: sign(part) for name, sign in signs.items()},
        {reading: part.circuits.predict(reading) for reading in readings},
    )


def _joined(parts: list[tuple[Array, Array]]) -> tuple[Array, Array]:
    means, spreads = zip(*parts, strict=True)
    return np.concatenate(means), np.concatenate(spreads)


@dataclass(frozen=True)
class LooseJoints:
    """The circuits in which a joint makes and breaks, with all others of their failure modes, next
    to which their readings stand.

    circuits: those; columns: which hypotheses they are; loose: of all hypotheses, which ones.
    """

    circuits: Circuits
    columns: NDArray[np.intp]
    loose: Flags

    @classmethod
    def of(cls, scene: Scene, variant: NDArray[np.intp], loose: Flags) -> LooseJoints | None:
        """None where no joint is loose. variant: of each hypothesis."""
        if not loose.any():
            return None
        columns = np.flatnonzero(np.isin(variant, variant[loose]))
        return cls(Circuits(scene.model, scene.batch.take(columns), whole=True), columns, loose)

    def ends(self, reading: Reading) -> tuple[Array, Array]:
        """What is read while the joints make and while they are apart, in the reading's unit; one
        value a hypothesis, 0 of those that have no such joint."""
        found = np.zeros((2, len(self.loose)))
        found[:, self.columns] = self.circuits.made_and_apart(reading)
        return found[0], found[1]
