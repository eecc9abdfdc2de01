"""Rigs anywhere within the bounds, mostly badly built: for what must hold of every rig."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator

from diagnose.circuit.bounds import Bound, bounds
from diagnose.circuit.form import COUNT, shipped_form
from diagnose.circuit.rig import BATTERY_KINDS, CONTROLS, PUMP_AT, TAPS, TOPOLOGIES, USES

ORDERS = shipped_form().orders
QUANTITIES = {
    field.key: bounds()[field.bound]
    for field in shipped_form().fields.values()
    if field.unit not in ("", COUNT)
    and field.key in (*ORDERS["usual"], *ORDERS["details"], "switch.contact")
}
"""Every quantity of a rig file in the short form, by its key."""

Pick = Callable[[Bound], float]


def written(pick: Pick, draw: random.Random) -> str:
    """A rig file with a picked value in every place."""
    parts: dict[str, list[str]] = {}
    for key, bound in QUANTITIES.items():
        section, name = key.split(".")
        unit = bound.unit.replace("^", "")
        parts.setdefault(section, []).append(f"{name}: {pick(bound):.6g} {unit}")
    parts["pump"].append(f"at: {draw.choice(PUMP_AT)}")
    parts["battery"].append(f"kind: {draw.choice(BATTERY_KINDS)}")
    topology = draw.choice(TOPOLOGIES)
    lines = [
        f"topology: {topology}",
        f"control: {draw.choice(CONTROLS)}",
        f"control_tap: {draw.choice(TAPS)}",
        f"remote: {str(topology == 'relay' and draw.random() < 0.5).lower()}",
        f"use: {draw.choice(USES)}",
        *(f"{section}: {{{', '.join(values)}}}" for section, values in parts.items()),
    ]
    return "\n".join(lines) + "\n"


def corner(draw: random.Random) -> Pick:
    """Each value at one of its ends."""
    return lambda bound: draw.choice((bound.lowest, bound.highest))


def anywhere(draw: random.Random) -> Pick:
    """Each value somewhere between its ends, as likely small as large."""

    def pick(bound: Bound) -> float:
        low = max(bound.lowest, bound.highest / 1e4)
        value = math.exp(draw.uniform(math.log(low), math.log(bound.highest)))
        return min(max(value, bound.lowest), bound.highest)

    return pick


def odd_rigs(count: int, seed: int) -> Iterator[str]:
    """Rig files: all at their lowest, all at their highest, then corners and others in turn."""
    draw = random.Random(seed)
    yield written(lambda bound: bound.lowest, draw)
    yield written(lambda bound: bound.highest, draw)
    for i in range(count - 2):
        yield written(corner(draw) if i % 2 else anywhere(draw), draw)
