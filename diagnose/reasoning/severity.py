"""How far a fault has gone: from mild to severe, as its entry says, and on to the physical end.

Severity is a number: 0 mild, 1 severe, 2 the end of what copper, fuse, battery and water allow.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np
from numpy.typing import NDArray

from diagnose.catalogue.entry_parts import Change, Effect
from diagnose.circuit.parameters import OPEN, Array, Batch, family, unit_of
from diagnose.figures import Figures

Ends = Mapping[str, tuple[str, str]]
"""Parameter to its lowest and highest physical value as the figures have them."""


def physical_ends(figures: Figures) -> Ends:
    """The ends of every parameter that has any (table physical-ends)."""
    rows = figures.table("physical-ends").rows
    ends = {name: (str(low), str(high)) for names, low, high in rows for name in str(names).split()}
    if figures.times_12 == 1:
        return ends

    def at(name: str, end: str) -> str:
        amount = _amount(end)
        volts = amount is not None and not amount[1] and unit_of(name) == "V"
        return f"{amount[0] * figures.times_12:g}" if amount and volts else end

    return {name: (at(name, low), at(name, high)) for name, (low, high) in ends.items()}


@cache
def _amount(text: str) -> tuple[float, bool] | None:
    """A cell of that table: its number, and whether it is a multiple of what a sound rig has."""
    if text == "none":
        return None
    if text == "open":
        return OPEN, False
    return (float(text.removesuffix("x")), text.endswith("x"))


def between(first: Array, last: Array, share: Array) -> Array:
    """Part of the way from one value to another: geometric where both are positive."""
    positive = (first > 0) & (last > 0)
    a, b = np.where(positive, first, 1.0), np.where(positive, last, 1.0)
    return np.where(positive, a * (b / a) ** share, first + (last - first) * share)


def _beyond(severe: Array, end: Array, share: Array) -> Array:
    """Part of the way from severe to the physical end; of a contact that opens, by the square of
    what is left of it: half-way it has four times the ohms, at the end it is open. So its levels
    lie where a rig still works badly, and not in the decades where nothing runs any more."""
    parting = (end >= OPEN) & (severe > 0)
    left = np.maximum((1 - share) ** 2, severe / OPEN)
    return np.where(parting, severe / left, between(severe, end, share))


def at_severity(change: Change, severity: Array) -> Array:
    """The amount of a change between mild (0) and severe (1), or a little beyond either."""
    mild, severe = np.full_like(severity, change.mild), np.full_like(severity, change.severe)
    return between(mild, severe, severity)


def _changed(now: Array, change: Change, severity: Array) -> Array:
    """A parameter with a change in it, within the range that the entry gives."""
    amount = at_severity(change, severity)
    return {"add": now + amount, "times": now * amount, "set": amount}[change.operation]


def _end(now: Array, severe: Array, change: Change, ends: Ends) -> Array:
    """The physical end on the side to which the change grows worse; severe where there is none."""
    low, high = map(_amount, ends.get(family(change.parameter), ("none", "none")))
    mild = _changed(now, change, np.zeros_like(severe))
    upwards = severe > mild
    found = severe.copy()
    for end, side, beyond in ((high, upwards, np.greater), (low, ~upwards, np.less)):
        if end is not None:
            value = end[0] * now if end[1] else np.full_like(severe, end[0])
            found = np.where(side & beyond(value, severe), value, found)
    return found


def apply_effect(
    batch: Batch, effect: Effect, severities: Mapping[str, Array], ends: Ends
) -> Batch:
    """The circuits with an effect in them. severities: by axis, one a circuit, from 0 to 2."""
    made: dict[str, Array] = {}
    for change in effect.changes:
        now, severity = batch[change.parameter], severities[change.axis]
        value = _changed(now, change, np.minimum(severity, 1.0))
        beyond = np.clip(severity - 1, 0.0, 1.0)
        if change.has_range and not change.bounded and beyond.any():
            value = _beyond(value, _end(now, value, change, ends), beyond)
        made[change.parameter] = value
    return batch.with_values(made)


def parts(effect: Effect, ends: Ends) -> bool:
    """Whether a contact that makes worse and worse contact, and then none, is what an effect is."""
    ranges = [change for change in effect.changes if change.has_range and not change.bounded]
    return any(ends.get(family(change.parameter), ("", ""))[1] == "open" for change in ranges)


def levels(figures: Figures, beyond: str = "beyond") -> tuple[Array, Array]:
    """The severities at which effects are computed, mild ones first, and the share of cases that
    each stands for. beyond: the figure that says how many have gone beyond severe."""
    steps, margin = int(figures.get("severities")), figures.get("severity-margin")
    inside = (np.arange(steps) + 0.5) / steps * (1 + margin) - margin
    count, share = int(figures.get("severities-beyond")), figures.get(beyond)
    outside = 1 + (np.arange(count) + 1) / count
    weight = np.concatenate([np.full(steps, (1 - share) / steps), np.full(count, share / count)])
    return np.concatenate([inside, outside]), weight


def coarse(found: tuple[Array, Array], count: int) -> tuple[Array, Array]:
    """About `count` of those levels for a second axis, their shares those of what they replace."""
    level, weight = found
    cuts: list[NDArray[np.intp]] = np.array_split(np.arange(len(level)), count)
    middle = [float(level[part] @ weight[part] / weight[part].sum()) for part in cuts]
    return np.array(middle), np.array([float(weight[part].sum()) for part in cuts])
