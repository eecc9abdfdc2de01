"""What the fuses have done by the time somebody looks: blown, or still whole.

A blown fuse is a result. A circuit whose fuse may blow is met in two states, so it becomes two
circuits: one as it runs before the fuse goes, one as it is found afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.fuse import BREAKER, FUSE, chance_open, history
from diagnose.circuit.meter import branch_current
from diagnose.circuit.model import Model
from diagnose.circuit.operate import operate
from diagnose.circuit.operation import Operation
from diagnose.circuit.parameters import OPEN, Array, Batch, slices
from diagnose.circuit.parts import protection_of

MAIN = np.array([0.0, 1.0, 0.95, 0.5])
"""Chance to find the main fuse blown after it holds / blows at once / at start / after minutes."""

CLOSES_AGAIN = np.array([0.0, 0.6, 0.5, 0.3])
"""The same of a breaker that closes again by itself when it has cooled; estimate."""

CONTROL = np.array([0.0, 1.0, 0.4])
"""Chance to find the control fuse blown after it holds / blows at once / at times."""

LEAST = 0.02
"""A state less likely than this share of its circuit is left out."""


@dataclass(frozen=True)
class Found:
    """Circuits as they are met. origin: column of the batch each comes from; share: its chance;
    main, control: chances of each fuse's history (4 and 3 rows); batch: the circuits."""

    origin: NDArray[np.intp]
    share: Array
    main: Array
    control: Array
    batch: Batch


def main_history(model: Model, batch: Batch, calling: Operation) -> Array:
    """Chances that the main fuse holds, blows at once, at start, after minutes; shape (4, n)."""
    nothing, first = np.zeros(len(batch)), protection_of(model.rig)
    if first is None:
        return np.repeat(np.array([1.0, 0, 0, 0])[:, None], len(batch), axis=1)
    leak = np.abs(branch_current(calling.met, nothing, first.start, first.end))
    leak = leak - _cut_off(model, batch, calling)
    of = FUSE if first.part.kind == "fuse" else BREAKER
    start = leak + calling.start_current
    running = calling.running.current * calling.on
    steady = np.where(calling.on > 0, running, calling.resting.current) + leak
    start = np.where(calling.on > 0, start, leak)
    chances = history(
        leak, start, steady, calling.running.stalled, batch["main_fuse.rating"], model.figures, of
    )
    never = (batch["main_fuse.bridged"] > 0) | (batch["main_fuse"] > 1e6)
    return np.where(never, np.array([1.0, 0, 0, 0])[:, None], chances)


def _control_current(calling: Operation) -> Array:
    return np.abs(branch_current(calling.idle, calling.idle_current, "cfuse.in", "cfuse.out"))


def _cut_off(model: Model, batch: Batch, calling: Operation) -> Array:
    """Current of a short behind the control fuse, which the main fuse is spared [A].

    The two stand in series for it, and the smaller one is open long before the larger one melts.
    """
    rig = model.rig
    if not rig.has_relay or not rig.has_control_fuse or rig.control_tap == "lug+":
        return np.zeros(len(batch))
    current = _control_current(calling)
    opens = chance_open(current / batch["control_fuse.rating"], 0.5, model.figures) > 0.5
    smaller = batch["control_fuse.rating"] < batch["main_fuse.rating"]
    return np.where(opens & smaller, current, 0.0)


def _control_history(model: Model, batch: Batch, calling: Operation) -> Array:
    if not model.rig.has_relay or not model.rig.has_control_fuse:
        return np.array([1.0, 0, 0])[:, None] * np.ones(len(batch))
    current = _control_current(calling)
    ratio = current / batch["control_fuse.rating"]
    at_once = chance_open(ratio, 0.5, model.figures)
    at_times = chance_open(ratio, model.figures.get("running-time", "s"), model.figures)
    return np.stack([(1 - at_once) * (1 - at_times), at_once, (1 - at_once) * at_times])


def _given(chances: Array, kept: Array) -> Array:
    """Chances of a history given the state that is met; as they are where it cannot be met."""
    joint = chances * kept[:, None]
    total = joint.sum(axis=0)
    return np.where(total > 1e-9, joint / np.maximum(total, 1e-9), chances)


def _histories(model: Model, batch: Batch) -> tuple[Array, Array]:
    """What both fuses do when the pump is called, worked out for some circuits at a time."""
    found = []
    for columns in slices(len(batch)):
        part = batch.take(columns)
        calling = operate(model, part, "calling")
        histories = main_history(model, part, calling), _control_history(model, part, calling)
        found.append(histories)
    main, control = (np.concatenate(rows, axis=1) for rows in zip(*found, strict=True))
    return main, control


def found(model: Model, batch: Batch) -> Found:
    """Every circuit in the states of its fuses in which it may be met."""
    main, control = _histories(model, batch)
    by_itself = model.rig.first_protection == "automatic-breaker"
    opened = CLOSES_AGAIN if by_itself else MAIN
    main_blown, control_blown = opened @ main, CONTROL @ control
    states = (
        (False, False, (1 - main_blown) * (1 - control_blown)),
        (True, False, main_blown),
        (False, True, (1 - main_blown) * control_blown),
    )
    parts = [_state(batch, main, control, opened, *state) for state in states]
    return _joined(parts)


def _state(
    batch: Batch,
    main: Array,
    control: Array,
    opened: Array,
    no_main: bool,
    no_control: bool,
    share: Array,
) -> Found:
    """opened: chance to find the main fuse open after each history."""
    here = np.flatnonzero(share >= LEAST)
    circuits = batch.take(here)
    if no_main:
        circuits = circuits.with_values({"main_fuse": OPEN})
    if no_control:
        circuits = circuits.with_values({"control_fuse": OPEN})
    told_main = _given(main[:, here], opened if no_main else 1 - opened)
    told_control = _given(control[:, here], CONTROL if no_control else 1 - CONTROL)
    return Found(here, share[here], told_main, told_control, circuits)


def _joined(parts: list[Found]) -> Found:
    return Found(
        np.concatenate([part.origin for part in parts]),
        np.concatenate([part.share for part in parts]),
        np.concatenate([part.main for part in parts], axis=1),
        np.concatenate([part.control for part in parts], axis=1),
        Batch.joined([part.batch for part in parts]),
    )
