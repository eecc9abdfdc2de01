"""One condition of a circuit, settled: the states of its contacts, and the motor in each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.fed import Fed, pick_fed, put, put_fed, take_fed
from diagnose.circuit.motor import Running
from diagnose.circuit.parameters import Array, Batch, Flags

State = Callable[[Batch, Fed, Array], Array]
"""What follows from one state of the contacts and the motor's current in it, circuit by circuit."""


@dataclass(frozen=True)
class Operation:
    """One condition, settled. Shapes: one value a circuit.

    idle, live: the two states of the contacts; on: share of the time that `live` holds (1 steady,
    0 off, between for chatter); running, resting: the motor in the live and in the idle state;
    motor_current, idle_current: its current in each, signed [A]; start_current [A];
    pulled, chatter: the relay; unsteady: something keeps opening while the pump should run.
    """

    idle: Fed
    live: Fed
    on: Array
    running: Running
    resting: Running
    motor_current: Array
    idle_current: Array
    start_current: Array
    pulled: Flags
    chatter: Flags
    unsteady: Flags
    motor_connected: bool = True

    @cached_property
    def motor(self) -> Running:
        """The motor as it is most to be met: live where the contacts close at all, else idle."""
        return pick_running(self.on > 0, self.running, self.resting)

    @cached_property
    def met(self) -> Fed:
        """The state of the contacts that is mostly met: live where they close at all, else idle."""
        return pick_fed(self.on > 0, self.live, self.idle)

    @cached_property
    def met_current(self) -> Array:
        """The motor's current in it, signed [A]."""
        return np.where(self.on > 0, self.motor_current, self.idle_current)

    @cached_property
    def changing(self) -> tuple[NDArray[np.intp], Fed]:
        """The circuits whose contacts open and close all the while, and their idle state."""
        columns = np.flatnonzero((self.on > 0) & (self.on < 1))
        return columns, take_fed(self.idle, columns)

    def over_time(self, batch: Batch, value: State) -> tuple[Array, Array]:
        """Average and spread of what follows from a state of the contacts. Both states are worked
        out only for the few circuits that change between them."""
        average = value(batch, self.met, self.met_current)
        spread, (here, idle) = np.zeros_like(average), self.changing
        if len(here):
            apart = value(batch.take(here), idle, self.idle_current[here])
            made, on = average[here], self.on[here]
            average = put(average, here, on * made + (1 - on) * apart)
            spread[here] = np.sqrt(on * (1 - on)) * np.abs(made - apart)
        return average, spread

    @property
    def turning(self) -> Flags:
        """Whether the pump turns at all, even by fits and starts."""
        return ~self.motor.stalled


def pick_running(first: Flags, a: Running, b: Running) -> Running:
    """Circuit by circuit, the motor `a` where `first` holds, else `b`."""
    pairs = zip(vars(a).values(), vars(b).values(), strict=True)
    return Running(*(np.where(first, x, y) for x, y in pairs))


def choose(first: Flags, a: Operation, b: Operation) -> Operation:
    """Circuit by circuit, operation `a` where `first` holds, else `b`."""
    picked: dict[str, object] = {}
    for part in fields(Operation):
        x, y = getattr(a, part.name), getattr(b, part.name)
        if isinstance(x, Fed):
            picked[part.name] = pick_fed(first, x, y)
        elif isinstance(x, Running):
            picked[part.name] = pick_running(first, x, y)
        else:
            picked[part.name] = np.where(first, x, y) if isinstance(x, np.ndarray) else x
    return Operation(**picked)  # type: ignore[arg-type]


def put_operation(whole: Operation, columns: NDArray[np.intp], part: Operation) -> Operation:
    """The same operation with some circuits replaced."""
    made: dict[str, object] = {}
    for one in fields(Operation):
        x, y = getattr(whole, one.name), getattr(part, one.name)
        if isinstance(x, Fed):
            made[one.name] = put_fed(x, columns, y)
        elif isinstance(x, Running):
            pairs = zip(vars(x).values(), vars(y).values(), strict=True)
            made[one.name] = Running(*(put(a, columns, b) for a, b in pairs))  # type: ignore[arg-type]
        else:
            made[one.name] = put(x, columns, y) if isinstance(x, np.ndarray) else x
    return Operation(**made)  # type: ignore[arg-type]
