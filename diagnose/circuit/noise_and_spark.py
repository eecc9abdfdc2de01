"""What is heard of a pump, and seen at the post as its battery goes on, as in signs."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.chance import above, bands
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.scene import SLOW, SLOW_WIDTH, Scene, choose_rows, spread_over
from diagnose.circuit.water_signs import UNCUSHIONED

STARVES, DRAWS_AIR, STRIKES = 0.45, 0.35, 0.3
"""Share of pumps told as rattling that are starved, that draw air, and whose single strokes reach
the pipes past an empty accumulator (common practice: cavitation and water hammer); estimates."""

RACES, GROANS, FADES = 0.3, 0.4, 0.6
"""Share told as louder that run light and fast, and that bind; and as quieter that run slow; a
noise is noticed less surely than a stop. Estimates."""


def pump_noise(scene: Scene) -> Array:
    """as-ever, quieter, louder, rattles."""
    calling, batch = scene.operation("calling"), scene.batch
    speed = calling.motor.speed / scene.normal_speed
    starved = STARVES * above(calling.motor.speed / batch["suction.limit"], 1.0, 0.1)
    airy = DRAWS_AIR * (1 - above(batch["pump.filling"], 0.85, 0.06))
    strokes = np.where(batch["accumulator.volume"] < UNCUSHIONED, STRIKES, 0.0)
    rattles = np.maximum(np.maximum(starved, airy), strokes)
    drag = batch["motor.friction"] / scene.model.sound["motor.friction"]
    louder = np.maximum(RACES * above(speed, 1.1, 0.04), GROANS * above(drag, 2.0, 0.4))
    quieter = FADES * (1 - above(speed, SLOW, SLOW_WIDTH)) * (1 - above(drag, 2.0, 0.4))
    changed = {1: quieter * (1 - rattles), 2: louder * (1 - rattles), 3: rattles}
    rest = 1 - sum(changed.values())
    running = spread_over({0: rest, **changed}, 4, len(batch))
    return choose_rows(
        [(~calling.turning, [0.9, 0.08, 0.01, 0.01]), (calling.unsteady, [0.4, 0.1, 0.15, 0.35])],
        running,
    )


ALL_ON = 0.4
"""Share of batteries that are connected with the main switch on; estimate."""

SMALL, BIG = 0.3, 10.0
"""Current above which a spark is seen, and above which it is called big [A]; estimates."""

FILLS_UP = 0.3
"""Share of receivers whose own capacitors give a small spark; common practice, an estimate."""


def spark_on_connecting(scene: Scene) -> Array:
    """none, small, big: by what the battery gives with nothing asked for."""
    seen = (1 - ALL_ON) * _spark(scene, "rest") + ALL_ON * _spark(scene, "satisfied")
    filling = FILLS_UP * float(scene.model.rig.remote) * seen[0]
    return np.stack([seen[0] - filling, seen[1] + filling, seen[2]])


def _spark(scene: Scene, condition: str) -> Array:
    """The same in one condition; a pump that runs in it has to start first."""
    amps, _ = scene.circuits.predict(Reading("current", ("battery",), condition))
    operation = scene.operation(condition)
    amps = np.where(operation.turning, np.maximum(amps, operation.start_current), amps)
    limits = float(np.log10(SMALL)), float(np.log10(BIG))
    return np.asarray(bands(np.log10(np.abs(amps) + 1e-3), limits, 0.3))
