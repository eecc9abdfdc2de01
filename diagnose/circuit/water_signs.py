"""What a person sees of the water, as in signs: chances of each answer, circuit by circuit."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.chance import above, bands
from diagnose.circuit.parameters import Array
from diagnose.circuit.scene import Scene, choose_rows

PULSES = 0.75
"""Share of people who see the water pulse where the cushion behind the pump is empty at once."""

CUSHION = 2.5
"""Seconds from cut-out to cut-in beyond which water falls off too gently to be seen pulsing;
estimate. Between them the flow changes by a fifth, since it goes with the root of the pressure."""


STARVED = 0.07
"""Share of starved pumps whose water pulses, with air and vapour that the suction draws out of it;
estimate."""


UNCUSHIONED, STROKES = 0.6, 0.3
"""Share of the cushion below which single strokes reach the nozzle, and how many people then tell
of pulsing water. Accumulators are fitted against it (common practice); estimates."""


def _flow_in_cycles(scene: Scene) -> Array:
    """none, weak, pulsing, normal: while the pressure switch opens and closes. A choked outlet
    lives on the cushion for seconds and is weak; an open one empties it at once and pulses."""
    batch, figures = scene.batch, scene.model.figures
    middle = (batch["pressure_switch.cut_in"] + batch["pressure_switch.cut_out"]) / 2
    amount = batch["outlet.opening"] * np.sqrt(middle)
    store = figures.get("accumulator-time", "s") * batch["accumulator.volume"]
    seconds = store / np.maximum(amount, 1e-3)
    pulses = PULSES * (1 - above(np.log10(seconds), np.log10(CUSHION), 0.2))
    none, weak, full = bands(amount / scene.normal_flow, (0.06, 0.85), 0.08)
    return np.stack([none, weak * (1 - pulses), (1 - none) * pulses, full * (1 - pulses)])


def flow(scene: Scene) -> Array:
    """none, weak, pulsing, normal."""
    calling = scene.operation("calling")
    amount = np.where(calling.turning, calling.motor.flow, 0.0) / scene.normal_flow
    low = bands(amount, (0.06, 0.85), 0.05)
    low[:2] = bands(amount, (0.06, 0.85), 0.08)[:2]
    low = low / low.sum(axis=0)
    starved = np.where(calling.motor.speed > scene.batch["suction.limit"], STARVED, 0.03)
    strokes = np.where(scene.batch["accumulator.volume"] < UNCUSHIONED, STROKES, 0.0)
    starved = np.maximum(starved, strokes)
    airy = np.where((scene.batch["pump.filling"] < 0.85) & (amount > 0.06), 0.3, starved)
    moving = (low[1] * (1 - airy), (low[1] + low[2]) * airy, low[2] * (1 - airy))
    steady = np.stack([low[0], *moving])
    return choose_rows(
        [
            (~calling.turning, [0.97, 0.03, 0, 0]),
            (scene.loose, [0.25, 0.15, 0.4, 0.2]),
            (calling.unsteady, [0.25, 0.2, 0.5, 0.05]),
            (scene.cycling, _flow_in_cycles(scene)),
        ],
        steady,
    )


NEVER, PRIMES = 0.12, 0.5
"""Share of a stroke that is water below which a pump is told never to pick it up, and above which
it is told to do so as ever; estimates."""

GIVES_BACK, STARVES = (0.45, 0.55), (0.2, 0.8)
"""Of pumps that pick it up badly, those told to lose it again and those told to be slow: where air
comes in or valves leak back, and where the suction is tight; estimates."""


def priming(scene: Scene) -> Array:
    """primes, never, loses-it, slowly: a tight suction lets air through more easily than water. Of
    a pump that stands nobody says that it does not pick water up."""
    batch = scene.batch
    tight = np.sqrt(np.clip(batch["suction.limit"], 1e-4, 1.0))
    inside = np.clip(batch["pump.filling"], 1e-4, 1.0) / (1 + batch["pump.slip"])
    limits = float(np.log10(NEVER)), float(np.log10(PRIMES))
    never, badly, well = bands(np.log10(np.minimum(tight, inside)), limits, 0.1)
    loses, slow = np.where(tight < inside, np.array([STARVES]).T, np.array([GIVES_BACK]).T)
    picked = np.stack([well, never, badly * loses, badly * slow])
    still = ~scene.operation("calling").turning
    return choose_rows([(still, [0.97, 0.01, 0.01, 0.01])], picked)


def cycling_interval(scene: Scene) -> Array:
    """none, seconds, minutes, hours: how often it restarts with the outlet shut."""
    decades = np.log10(np.minimum(scene.restart_seconds, 1e9))
    short, minutes, hours, never = bands(decades, (1.6, 3.3, 4.6), 0.2)
    called = scene.called_by_leaks
    return np.stack([1 - called * (1 - never), called * short, called * minutes, called * hours])
