"""What a person would see, hear and feel: chances of each answer, circuit by circuit.

Every sign is a function of a `Scene` and gives an array of shape (options, circuits), the options
in the order of the vocabulary. Chances are soft where eye, ear and hand are (estimates, each
beside its number); how often an answer is plainly wrong is added elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from diagnose.circuit.chance import above, bands
from diagnose.circuit.heat import along_the_wires, temperatures
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array, Flags
from diagnose.circuit.scene import SLOW, SLOW_WIDTH, Scene, choose_rows, spread_over
from diagnose.circuit.water_signs import cycling_interval, flow

Sign = Callable[[Scene], Array]


STRAINS = 0.25
"""Share of held motors that are told as humming; a PM motor on clean direct current clunks once and
is quiet. Common practice; the share is an estimate."""

CRAWLS, GROANS = 0.3, 0.7
"""Speed over normal below which a pump groans more than it turns, and how many then say that it
hums; so does one that binds, at well over twice its current. Estimates."""

AS_IT_RAN = 0.3
"""Share of people who tell of a pump that has blown its fuse how it strained or ran, and not how it
ended; estimate."""


_RATTLED = [0.25, 0.12, 0.2, 0, 0.08, 0, 0.35]
"""How a pump is told whose relay rattles many times a second: jolts rather than drop-outs, so that
it stutters, creeps or hardly stirs; options as in pump_action; estimate."""


_SHAKEN = [0.1, 0, 0.05, 0.15, 0.08, 0.04, 0.58]
"""The same where a joint makes and breaks: it may hold, or be parted, all the while that somebody
looks (common practice: such faults hide from whoever comes to measure); estimate."""


def pump_action(scene: Scene) -> Array:
    """silent, hums, slow, normal, starts-then-stops, short-cycles, cuts-in-and-out."""
    calling, batch = scene.operation("calling"), scene.batch
    drawn = np.abs(calling.met_current)
    strained = STRAINS * above(drawn / scene.model.work.current, 0.5, 0.15)
    dead, locked = batch["main_fuse"] > 1e6, batch["motor.locked"] > 0
    before = np.where(dead & locked, AS_IT_RAN * STRAINS * scene.main_history[2], 0.0)
    ended = np.where(dead, AS_IT_RAN * scene.main_history[3], 0.0)
    hums = np.maximum(strained, before)
    standing = spread_over({0: 1 - hums - ended, 1: hums, 4: ended}, 7, len(batch))
    speed = calling.motor.speed / scene.normal_speed
    quick = above(speed, SLOW, SLOW_WIDTH)
    bound = above(drawn / scene.model.work.current, 2.5, 0.4) * (1 - above(speed, 0.65, 0.1))
    crawls = GROANS * np.maximum(1 - above(speed, CRAWLS, 0.08), bound)
    turning = spread_over({1: crawls, 2: 1 - quick - crawls, 3: quick}, 7, len(batch))
    starved = calling.motor.flow < 0.1
    late = scene.main_history[3] > 0.5
    by_itself = scene.model.rig.first_protection == "automatic-breaker"
    blows = spread_over({6 if by_itself else 4: 1.0}, 7, 1)
    return choose_rows(
        [
            (calling.chatter & (batch["control.flutter"] < 1), _RATTLED),
            (scene.loose, _SHAKEN),
            (~calling.turning, standing),
            (scene.cycling & starved, [0, 0, 0, 0, 0.55, 0.45, 0]),
            (scene.cycling, [0, 0, 0, 0.05, 0.1, 0.8, 0.05]),
            (late, (1 - AS_IT_RAN) * blows + AS_IT_RAN * turning),
        ],
        turning,
    )


HELD = 0.2
"""Speed over normal below which a pump on a shut outlet is held by its own pressure: it lacks the
torque for the cut-out and stands, or creeps by what its valves let back; estimate."""


def pump_when_satisfied(scene: Scene) -> Array:
    """stops, keeps-running, restarts-by-itself."""
    satisfied = scene.operation("satisfied")
    soon = 1 - above(np.log10(np.minimum(scene.restart_seconds, 1e9)), 4.3, 0.4)
    soon = scene.called_by_leaks * soon
    runs = above(satisfied.motor.speed / scene.normal_speed, HELD, 0.05)
    held = np.array([0.8, 0.15, 0.05])[:, None]
    running = runs * np.array([0.02, 0.95, 0.03])[:, None] + (1 - runs) * held
    return choose_rows(
        [(satisfied.turning, running)],
        spread_over({0: 1 - 0.95 * soon, 2: 0.95 * soon}, 3, len(scene.batch)),
    )


UNDERFED = 0.05
"""Share of relays just below pull-in that are told as buzzing: on steady direct current a coil does
not buzz, on a charger's ripple it may. Common practice; the share is an estimate."""


def relay_sound(scene: Scene) -> Array:
    """silent, one-click, chatters, buzzes."""
    calling, batch = scene.operation("calling"), scene.batch
    volts = calling.idle.coil_volts(calling.idle_current)
    near = above(volts / batch["coil.pull_in"], 0.7, 0.1)
    weak = UNDERFED * near
    out = spread_over({0: 0.99 - weak, 1: 0.005, 2: 0.005, 3: weak}, 4, len(batch))
    as_it_blew = np.where(batch["main_fuse"] > 1e6, AS_IT_RAN * scene.main_history[2], 0.0)
    clicked = np.array([0.04, 0.94, 0, 0.02])[:, None]
    out = (1 - as_it_blew) * out + as_it_blew * clicked
    return choose_rows(
        [
            ((batch["coil"] > 1e6), [0.98, 0.01, 0, 0.01]),
            (calling.chatter, [0.01, 0.02, 0.82, 0.15]),
            (calling.unsteady & (volts < batch["coil.drop_out"]), [0.02, 0.4, 0.5, 0.08]),
            (calling.pulled & (batch["relay.welded"] > 0), [0.6, 0.38, 0, 0.02]),
            (calling.pulled, [0.04, 0.94, 0, 0.02]),
        ],
        out,
    )


_MAIN_TOLD = np.array(
    [
        [0.97, 0.00, 0.00, 0.00, 0.02, 0.01],
        [0.00, 0.75, 0.10, 0.00, 0.00, 0.15],
        [0.00, 0.12, 0.70, 0.00, 0.05, 0.13],
        [0.00, 0.00, 0.03, 0.75, 0.12, 0.10],
    ]
).T
"""How each history of the main fuse is told; columns as fuse.HISTORY; estimate."""


AT_THE_CALL = 0.2
"""Share of people who say of a short behind the relay or switch that it blows the fuse when the
pump starts: the fuse is put in and holds until the pump is called; estimate."""

CLEAR_SHORT = 1.0
"""Leak that takes more than a fuse of a small pump stands for a moment [ohm]; estimate."""


def main_fuse_history(scene: Scene) -> Array:
    """holds, blows-at-once, blows-at-start, blows-after-minutes, blows-after-days, blew-unseen."""
    told = _MAIN_TOLD @ scene.main_history
    leak = np.minimum(scene.batch["leak_motor_feed"], scene.batch["leak_case"])
    behind = AT_THE_CALL * scene.main_history[1] * (leak < CLEAR_SHORT)
    told = told + np.array([0, -1.0, 1.0, 0, 0, 0])[:, None] * behind
    dead = (scene.batch["main_fuse"] > 1e6) & (scene.main_history[0] > 0.99)
    return choose_rows([(dead, [0.1, 0.02, 0.08, 0.05, 0.2, 0.55])], told)


def main_fuse_element(scene: Scene) -> Array:
    """intact, open."""
    return _two(scene.batch["main_fuse"] < 1e6)


def _two(first: Flags) -> Array:
    return np.stack([np.where(first, 1.0, 0.0), np.where(first, 0.0, 1.0)])


def control_fuse_history(scene: Scene) -> Array:
    """holds, blows-at-once, blows-at-times."""
    dead = (scene.batch["control_fuse"] > 1e6) & (scene.control_history[0] > 0.99)
    told = np.array([[0.98, 0, 0.02], [0, 0.85, 0.15], [0.05, 0.1, 0.85]]).T
    return choose_rows([(dead, [0.45, 0.05, 0.5])], told @ scene.control_history)


def control_fuse_element(scene: Scene) -> Array:
    """intact, open."""
    return _two(scene.batch["control_fuse"] < 1e6)


def touch(scene: Scene, component: str) -> Array:
    """cool, warm, too-hot-to-hold: a part of the rig by touch."""
    found = temperatures(scene.model, scene.batch, scene.operation("calling"))
    return _by_hand(scene, found.get(component, scene.batch["ambient"]))


def _by_hand(scene: Scene, temperature: Array) -> Array:
    """cool, warm, too-hot-to-hold: at two figures of the book [degC]."""
    figures = scene.model.figures
    limits = figures.get("warm-to-touch", "degC"), figures.get("too-hot-to-hold", "degC")
    return bands(temperature, limits, 6.0)


def heat(component: str) -> Sign:
    return lambda scene: touch(scene, component)


SPLICE_FELT = 0.6
"""Share of people who feel along the wires and come upon the one hot splice; estimate."""


def wire_heat(scene: Scene) -> Array:
    """cool, warm, too-hot-to-hold: at the worst splice, or only along the wire."""
    away = along_the_wires(scene.model, scene.batch, scene.operation("calling"))
    return SPLICE_FELT * touch(scene, "wire") + (1 - SPLICE_FELT) * _by_hand(scene, away)


def lamp_at_motor(scene: Scene) -> Array:
    """bright, dim, dark: a test lamp across the motor leads while calling."""
    volts, _ = scene.circuits.predict(Reading("voltage", ("motor+", "motor-"), "calling"))
    calling = scene.operation("calling")
    lamp = scene.model.figures.get("test-lamp-resistance", "ohm")
    idle = np.abs(calling.motor_current) < 0.5
    lit = np.abs(volts) * np.where(idle, lamp / (lamp + calling.met.source), 1.0)
    lit = lit / scene.model.rig.times_12
    return choose_rows([(scene.loose, [0.3, 0.5, 0.2])], bands(lit, (3.0, 10.0), 0.8)[::-1])


NONE_ELSEWHERE = 0.4
"""Share of rigs with nothing else on the battery to compare with; estimate."""


def other_loads(scene: Scene) -> Array:
    """fine, weak-too, dead-too, none-on-this-feed: what hangs between lug+ and ground."""
    volts, _ = scene.circuits.predict(Reading("voltage", ("lug+", "ground"), "calling"))
    volts = np.abs(volts) / scene.model.rig.times_12
    seen = bands(volts, (6.0, 11.2), 0.4)[::-1] * (1 - NONE_ELSEWHERE)
    rest = np.full((1, len(scene.batch)), NONE_ELSEWHERE)
    return np.concatenate([seen, rest])


def float_by_hand(scene: Scene) -> Array:
    """follows, never-closes, never-opens, inverted."""
    batch = scene.batch
    return choose_rows(
        [
            (batch["float_switch"] > 1e3, [0, 1, 0, 0]),
            (batch["float_switch.welded"] > 0, [0, 0, 1, 0]),
            (batch["float_switch.inverted"] > 0, [0, 0, 0, 1]),
        ],
        spread_over({0: 1.0}, 4, len(batch)),
    )


def battery_found(scene: Scene) -> Array:
    """charged, flat: at rest, about 12.2 V."""
    volts, _ = scene.circuits.predict(Reading("voltage", ("battery+", "battery-"), "rest"))
    charged = above(np.abs(volts) / scene.model.rig.times_12, 12.1, 0.12)
    return np.stack([charged, 1 - charged])


RECEIVES = 8.0
"""Supply below which a remote receiver answers nobody [V]; common practice."""

LIGHTS = 0.95
"""Share of receivers with a supply that answer the button of a sound transmitter; estimate."""


def remote_light(scene: Scene) -> Array:
    """responds, no-response: a receiver without supply shows no light."""
    volts, _ = scene.circuits.predict(Reading("voltage", ("remote.in", "ground"), "calling"))
    lit = LIGHTS * above(volts / scene.model.rig.times_12, RECEIVES, 0.7)
    return np.stack([lit, 1 - lit])


SEEN: dict[str, Sign] = {
    "pump-action": pump_action,
    "pump-when-satisfied": pump_when_satisfied,
    "flow": flow,
    "relay-sound": relay_sound,
    "main-fuse-history": main_fuse_history,
    "main-fuse-element": main_fuse_element,
    "control-fuse-history": control_fuse_history,
    "control-fuse-element": control_fuse_element,
    "fuse-holder-heat": heat("fuse-holder"),
    "relay-heat": heat("relay"),
    "pressure-switch-heat": heat("pressure-switch"),
    "master-switch-heat": heat("master-switch"),
    "wire-heat": wire_heat,
    "motor-heat": heat("motor"),
    "lamp-at-motor": lamp_at_motor,
    "other-loads": other_loads,
    "float-by-hand": float_by_hand,
    "battery-found": battery_found,
    "remote-light": remote_light,
    "cycling-interval": cycling_interval,
}
