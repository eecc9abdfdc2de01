"""One moment at the rig: circuits as they are found, and what all signs of them share."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.motor import Running
from diagnose.circuit.operation import Operation
from diagnose.circuit.parameters import Array, Batch, Flags, slices

SLOW, SLOW_WIDTH = 0.88, 0.06
"""Speed over normal below which an ear calls a pump slow, and how unsure it is; estimate."""

STANDS = 0.05
"""Speed and flow over the rated ones below which a pump has none of its own to be compared with: a
rig may be built so badly that its pump stands when nothing is wrong; estimate."""


FLOWS_BACK = {"drain": 0.4, "": 0.15, "transfer": 0.02}
"""Share of float rigs, by their use, where a leak runs back to the float: into the very sump that
is drained, but not into a tank that is filled; "" is a use that nobody has said; estimates."""


@dataclass
class Scene:
    """Circuits as they are found, with the history of their fuses."""

    circuits: Circuits
    main_history: Array
    control_history: Array

    def take(self, columns: NDArray[np.intp] | slice) -> Scene:
        """The named circuits."""
        circuits = Circuits(self.model, self.batch.take(columns))
        return Scene(circuits, self.main_history[:, columns], self.control_history[:, columns])

    def parts(self) -> Iterator[Scene]:
        """The same circuits, some at a time."""
        yield from map(self.take, slices(len(self.batch)))

    @cached_property
    def _told(self) -> dict[Callable[[Scene], Array], Array]:
        return {}

    def told(self, sign: Callable[[Scene], Array]) -> Array:
        """What a sign gives here, worked out once: every swap of a part compares with it."""
        if sign not in self._told:
            self._told[sign] = sign(self)
        return self._told[sign]

    @property
    def model(self) -> Model:
        return self.circuits.model

    @property
    def batch(self) -> Batch:
        return self.circuits.batch

    @cached_property
    def when_sound(self) -> Running:
        """The motor of this rig at its work when nothing is wrong."""
        sound = Circuits(self.model, self.model.well or self.model.sound_batch())
        return sound.operation("calling").running

    @property
    def normal_speed(self) -> Array:
        """Speed when sound, over the rated one: of the rig, or of each circuit's own."""
        return np.maximum(self.when_sound.speed, STANDS)

    @property
    def normal_flow(self) -> Array:
        """Flow when sound, over the rated one: of the rig, or of each circuit's own."""
        return np.maximum(self.when_sound.flow, STANDS)

    def operation(self, condition: str) -> Operation:
        return self.circuits.operation(condition)

    def performance(self, operation: Operation) -> Array:
        """How fast the pump works over its normal speed; 0 when it stands."""
        share = np.where(operation.on > 0, operation.on, 1.0)
        return np.where(operation.turning, share * operation.motor.speed, 0.0) / self.normal_speed

    @cached_property
    def loose(self) -> Flags:
        """Whether a joint makes and breaks as the pump runs; a rattling relay is no such joint."""
        flutter = (self.batch["power.flutter"] > 0) | (self.batch["control.flutter"] > 0)
        return np.asarray(self.operation("calling").unsteady & flutter)

    @cached_property
    def cycling(self) -> Flags:
        """Whether the pressure switch opens while water is wanted."""
        motor, batch = self.operation("calling").motor, self.batch
        if self.model.rig.control != "pressure_switch":
            return np.zeros(len(batch), dtype=bool)
        ripple = self.model.figures.get("pressure-ripple") / batch["accumulator.volume"]
        peak = motor.pressure + np.minimum(ripple, 0.6)
        reached = peak >= batch["pressure_switch.cut_out"]
        return (
            reached
            & self.operation("calling").turning
            & (batch["pressure_switch.welded"] < 1)
            & (motor.pressure > 0)
        )

    @property
    def called_by_leaks(self) -> float:
        """Share of rigs like this on which what leaks behind the pump calls it again."""
        rig = self.model.rig
        if rig.control != "float_switch":
            return float(rig.control == "pressure_switch")
        return FLOWS_BACK.get(rig.use, FLOWS_BACK["transfer"])

    @cached_property
    def restart_seconds(self) -> Array:
        """Time between restarts with the outlet shut [s]; infinite when nothing leaks or the
        pump never stops."""
        leak = np.maximum(self.batch["outlet.leak"], 1e-9)
        store = self.model.figures.get("accumulator-time", "s")
        sound = self.model.sound
        usual = sound["pressure_switch.cut_out"] - sound["pressure_switch.cut_in"]
        apart = self.batch["pressure_switch.cut_out"] - self.batch["pressure_switch.cut_in"]
        given_up = store * self.batch["accumulator.volume"] * np.maximum(apart / usual, 0.02)
        seconds = given_up / leak
        works = self.operation("calling").turning & ~self.operation("satisfied").turning
        works &= self.batch["outlet.leak"] > 0
        return np.where(works, seconds, np.inf)


def spread_over(option_rows: dict[int, Array | float], options: int, count: int) -> Array:
    """Chances by option; options that are not named get none. Shape (options, count)."""
    rows = np.zeros((options, count))
    for index, chance in option_rows.items():
        rows[index] = chance
    return rows


def choose_rows(cases: Sequence[tuple[Flags, Array | list[float]]], rest: Array) -> Array:
    """The first case that holds gives a circuit's chances; else `rest`."""
    result = rest
    for holds, chances in reversed(cases):
        column = np.asarray(chances, dtype=np.float64)
        result = np.where(holds, column if column.ndim > 1 else column[:, None], result)
    return result
