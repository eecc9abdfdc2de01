"""What a person would find by trying: jumpers, swaps, a charger, another battery.

As in signs: each gives the chances of its options, shape (options, circuits).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from diagnose.circuit import trials
from diagnose.circuit.aftermath import main_history
from diagnose.circuit.chance import above
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.noise_and_spark import pump_noise, spark_on_connecting
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.scene import SLOW, SLOW_WIDTH, Scene, choose_rows, spread_over
from diagnose.circuit.signs import SEEN, Sign, pump_action, pump_when_satisfied, touch
from diagnose.circuit.water_signs import flow, priming

Change = Callable[[Model, Batch], Batch]


_SHAKEN = [0.35, 0.35, 0.3, 0]
"""How a pump is told to run through a joint that makes and breaks: it holds for the time of the
trial, or stutters, or is parted; estimate."""


def _verdict(scene: Scene, changed: Batch) -> Array:
    """runs-normal, runs-slow, nothing, fuse-blows: the changed circuits, called."""
    trial = Circuits(scene.model, changed).operation("calling")
    quick = above(scene.performance(trial), SLOW, SLOW_WIDTH)
    blown = main_history(scene.model, changed, trial)[1:3].sum(axis=0)
    runs = spread_over({0: quick, 1: 1 - quick}, 4, len(changed))
    makes_and_breaks = trial.unsteady & ~trial.chatter
    still = (~trial.turning, [0, 0.05, 0.95, 0])
    works = choose_rows([still, (makes_and_breaks, _SHAKEN)], runs)
    return np.asarray((1 - blown) * works + blown * np.array([0, 0, 0, 1.0])[:, None])


def _jumper(change: Change) -> Sign:
    return lambda scene: _verdict(scene, change(scene.model, scene.batch))


def _troubles(scene: Scene, part: str) -> Array:
    """Chances that the rig runs badly when called, gives too little, does not rest when satisfied,
    and that the part is hot; (troubles, circuits)."""
    told = [scene.told(sign) for sign in (pump_action, flow, pump_when_satisfied)]
    well = [told[0][3], told[1][3], told[2][0]]
    return np.stack([*(1 - one for one in well), touch(scene, part)[2]])


def _swap(change: Change, part: str) -> Sign:
    def sign(scene: Scene) -> Array:
        """cured, no-change."""
        cured = _cured(scene, Circuits(scene.model, change(scene.model, scene.batch)), part)
        return np.stack([cured, 1 - cured])

    return sign


def _cured(scene: Scene, trial: Circuits, part: str) -> Array:
    """Chance that a trouble that was there has gone, and none of them has stayed.

    The same eye and hand judge before and after, so what has not changed is judged alike.
    """
    before = _troubles(scene, part)
    after = _troubles(Scene(trial, scene.main_history, scene.control_history), part)
    stayed = np.minimum(before, after)
    gone = 1 - np.prod(1 - (before - stayed), axis=0)
    return np.asarray(gone * np.prod(1 - stayed, axis=0))


def _new_fuse(change: Change) -> Sign:
    def sign(scene: Scene) -> Array:
        """holds, holder-hot, blows-at-once, blows-in-minutes."""
        batch = change(scene.model, scene.batch)
        trial = Scene(Circuits(scene.model, batch), scene.main_history, scene.control_history)
        history = main_history(scene.model, batch, trial.operation("calling"))
        hot = history[0] * touch(trial, "fuse-holder")[2]
        return np.stack([history[0] - hot, hot, history[1] + history[2], history[3]])

    return sign


NOT_TRIED = 0.3
"""Share of walks in which nobody has tried it with a charging source; estimate."""


def _charging(change: Change) -> Sign:
    def sign(scene: Scene) -> Array:
        """no-change, runs-better, not-tried."""
        before = scene.performance(scene.operation("calling"))
        trial = Circuits(scene.model, change(scene.model, scene.batch)).operation("calling")
        gain = above(scene.performance(trial) - before, 0.2, 0.06)
        tried = 1 - NOT_TRIED
        rest = np.full_like(gain, NOT_TRIED)
        return np.stack([tried * (1 - gain), tried * gain, rest])

    return sign


def _bench_run(change: Change) -> Sign:
    def sign(scene: Scene) -> Array:
        """runs-normal, runs-slow, nothing, high-current."""
        trial = Circuits(scene.model, change(scene.model, scene.batch)).operation("calling")
        quick = above(scene.performance(trial), SLOW, SLOW_WIDTH)
        heavy = above(trial.running.current / scene.model.work.current, 1.45, 0.12)
        runs = spread_over({0: quick, 1: 1 - quick}, 4, len(scene.batch))
        works = choose_rows([(~trial.turning, [0, 0.03, 0.97, 0])], runs)
        return np.asarray((1 - heavy) * works + heavy * np.array([0, 0, 0, 1.0])[:, None])

    return sign


NO_OTHER_WAY = 0.6
"""Share of rigs without a bypass or second switch; estimate."""


def _another_way(change: Change) -> Sign:
    def sign(scene: Scene) -> Array:
        """runs, dead, no-other-way."""
        trial = Circuits(scene.model, change(scene.model, scene.batch)).operation("calling")
        runs = np.where(trial.turning & ~trial.chatter, 0.95, 0.05) * (1 - NO_OTHER_WAY)
        rest = np.full_like(runs, NO_OTHER_WAY)
        return np.stack([runs, 1 - NO_OTHER_WAY - runs, rest])

    return sign


LUGS_MOVED = 0.5
"""Share of trials of another battery in which the lugs go over to its posts; in the others jump
leads are clipped on beside them; estimate."""


def _swap_battery(scene: Scene) -> Array:
    """cured, better, no-change."""
    clipped = _with_battery(scene, trials.swap_battery)
    moved = _with_battery(scene, trials.swap_battery_and_lugs)
    return np.asarray((1 - LUGS_MOVED) * clipped + LUGS_MOVED * moved)


def _with_battery(scene: Scene, change: Change) -> Array:
    trial = Circuits(scene.model, change(scene.model, scene.batch))
    cured = _cured(scene, trial, "motor")
    before, after = (one.operation("calling") for one in (scene, trial))
    gain = scene.performance(after) - scene.performance(before)
    better = (1 - cured) * above(gain, 0.2, 0.06)
    return np.stack([cured, better, 1 - cured - better])


_STOPPED = [0.6, 0.2, 0.19, 0.01]
"""What is said of a pump that did not keep running: it is not asked; an estimate."""

SURE = 0.94
"""Share of people who take the leads off in order and watch after each; estimate."""


def _stops_when(scene: Scene) -> Array:
    """control-unplugged, relay-out, main-switch-off, not-even-then: the first that stops it."""
    rows = np.repeat(np.array(_STOPPED)[:, None], len(scene.batch), axis=1)
    runs = np.flatnonzero(scene.operation("satisfied").turning)
    if not len(runs):
        return rows
    batch, model = scene.batch.take(runs), scene.model
    last = np.where(Circuits(model, batch).operation("rest").turning, 3, 2)
    for place, change in ((1, trials.relay_out), (0, trials.control_unplugged)):
        if place == 0 or model.rig.has_relay:
            trial = Circuits(model, change(model, batch)).operation("satisfied")
            last[~trial.turning] = place
    first = np.arange(4)[:, None] == last
    rows[:, runs] = np.where(first, SURE, (1 - SURE) / 3)
    return rows


SIGNS: dict[str, Sign] = SEEN | {
    "priming": priming,
    "pump-noise": pump_noise,
    "spark-on-connecting": spark_on_connecting,
    "swap-battery": _swap_battery,
    "stops-when": _stops_when,
    "jumper-relay-contact": _jumper(trials.jumper_relay_contact),
    "jumper-pressure-switch": _jumper(trials.jumper_pressure_switch),
    "jumper-float": _jumper(trials.jumper_float),
    "swap-relay": _swap(trials.swap_relay, "relay"),
    "swap-pump": _swap(trials.swap_pump, "motor"),
    "new-main-fuse": _new_fuse(trials.new_main_fuse),
    "breaker-reset": _new_fuse(trials.reset_breaker),
    "charging-source-effect": _charging(trials.charging),
    "bench-run-motor": _bench_run(trials.bench_run),
    "runs-another-way": _another_way(trials.other_way),
}
"""Every observation that the circuit predicts, by its id."""
