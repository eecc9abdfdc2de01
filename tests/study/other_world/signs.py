"""What a person sees, hears and feels at a faulty rig: chances of each answer, from its physics."""

from __future__ import annotations

from collections.abc import Callable
from math import erf, sqrt

from tests.study.other_world.operation import Operation
from tests.study.other_world.parts import Shares
from tests.study.other_world.people import spread
from tests.study.other_world.site import (
    AT_ONCE,
    AT_START,
    DAYS,
    HAND,
    HOLDS,
    LAMP,
    MINUTES,
    UNSEEN,
    WARM,
    Site,
)

Sight = Callable[[Site, bool], Shares]
"""Chances of each answer; whether the loose path is parted while one looks."""

SLOW = 0.85
"""A pump slower than this is called slow [of its own speed]; estimate."""

WEAK = 0.8
"""Less water than this is called weak; estimate."""


def above(value: float, limit: float, blur: float) -> float:
    """Chance that somebody calls a value above a limit that they feel with some blur."""
    return 0.5 * (1 + erf((value - limit) / (blur * sqrt(2))))


def calling(site: Site, bad: bool) -> Operation:
    return site.working.operation("calling", bad)


def pump_action(site: Site, bad: bool) -> Shares:
    works, operation = site.works, calling(site, bad)
    state = operation.live
    if operation.chatters:
        return {"cuts-in-and-out": 0.5, "silent": 0.15, "hums": 0.15, "slow": 0.2}
    if site.flutters:
        return {"cuts-in-and-out": 0.8, "slow": 0.1, "starts-then-stops": 0.05, "normal": 0.05}
    if not state.turning:
        return _standing(site, abs(state.stall))
    if works.trips or site.main == MINUTES:
        return {"starts-then-stops": 0.75, "slow": 0.1, "normal": 0.15}
    if site.working.cycles:
        still = above(0.2, site.flow(state), 0.08)
        return {
            "short-cycles": 0.85 - 0.45 * still,
            "starts-then-stops": 0.1 + 0.45 * still,
            "cuts-in-and-out": 0.05,
        }
    quick = above(site.speed(state), SLOW, 0.05)
    return {"normal": quick, "slow": 1 - quick}


def _standing(site: Site, amps: float) -> Shares:
    """A locked motor on clean direct current gives one thump and is quiet; a fed one that strains
    against a load groans. Little current says nothing."""
    felt = above(amps / site.sound.amps, 0.8, 0.3)
    hums = 0.35 if site.works.motor.locked else 0.65
    return {"hums": felt * hums, "silent": 1 - felt * hums}


def pump_when_satisfied(site: Site, bad: bool) -> Shares:
    if site.working.operation("satisfied", bad).turning:
        return {"keeps-running": 0.97, "stops": 0.03}
    wait = restart_seconds(site, bad)
    again = 1 - above(wait, 6 * 3600, 3 * 3600)
    return {"restarts-by-itself": again, "stops": 1 - again}


def restart_seconds(site: Site, bad: bool) -> float:
    works = site.works
    if works.calls_by != "pswitch" or not calling(site, bad).turning:
        return float("inf")
    return works.water.seconds_to_restart(works.high, works.low)


def cycling_interval(site: Site, bad: bool) -> Shares:
    if site.working.operation("satisfied", bad).turning:
        return {"none": 1.0}
    wait = restart_seconds(site, bad)
    seconds = 1 - above(wait, 40, 12)
    minutes = 1 - above(wait, 2400, 600)
    hours = 1 - above(wait, 12 * 3600, 3 * 3600)
    return {
        "seconds": seconds,
        "minutes": max(minutes - seconds, 0),
        "hours": max(hours - minutes, 0),
        "none": 1 - hours,
    }


def flow(site: Site, bad: bool) -> Shares:
    operation = calling(site, bad)
    works, state, water = site.works, operation.live, site.works.water
    if not state.turning:
        return {"none": 0.98, "weak": 0.02}
    share = operation.habit.inside if operation.chatters else 1.0
    amount = site.flow(state) * share
    none = 1 - above(amount, 0.05, 0.025)
    full = above(amount, WEAK, 0.06)
    if site.flutters or operation.chatters:
        return {"none": 0.2, "weak": 0.35, "pulsing": 0.4, "normal": 0.05}
    pulsing, air = 0.02, water.air + water.head_air
    if site.working.cycles:
        pulsing = 0.6
    elif air > 0.03 or water.ripple > 0.1:
        pulsing = min(0.15 + air + water.ripple, 0.6)
    limp = above(0.6 * works.water.rated, state.pressure, 0.1 * works.water.rated)
    full *= 1 - 0.5 * limp
    moves = (1 - none) * (1 - pulsing)
    return {
        "none": none,
        "pulsing": (1 - none) * pulsing,
        "normal": moves * full,
        "weak": moves * (1 - full),
    }


def relay_sound(site: Site, bad: bool) -> Shares:
    operation = calling(site, bad)
    if operation.chatters:
        return {"chatters": 0.85, "buzzes": 0.1, "one-click": 0.05}
    state, coil = operation.live, site.works.coil
    if "rest_contact" not in state.paths and site.works.stuck.get("contact") != "closed":
        if site.flutters and _on_control(site):
            return {"chatters": 0.8, "one-click": 0.15, "buzzes": 0.05}
        return {"one-click": 0.95, "silent": 0.04, "buzzes": 0.01}
    pulled = abs(state.across("relay.86", "relay.85")) >= coil.pulls_at and "coil" in state.paths
    if pulled:
        return {"silent": 0.6, "one-click": 0.4}
    volts = abs(state.across("relay.86", "relay.85")) if "coil" in state.paths else 0.0
    near = above(volts / coil.pulls_at, 0.75, 0.12)
    return {"buzzes": 0.4 * near, "one-click": 0.05 * near, "silent": 1 - 0.45 * near}


def _on_control(site: Site) -> bool:
    loose = site.works.loose
    shared = ("post", "lead", "holder", "main_fuse", "feed_1", "master")
    names = ("tap", "control", "coil", "hand", "remote", "pswitch", "float", *shared)
    return loose is not None and loose.path.startswith(names)


_MAIN = {
    HOLDS: {HOLDS: 0.98, DAYS: 0.01, UNSEEN: 0.01},
    AT_ONCE: {AT_ONCE: 0.75, AT_START: 0.12, UNSEEN: 0.13},
    AT_START: {AT_START: 0.6, AT_ONCE: 0.2, UNSEEN: 0.2},
    MINUTES: {MINUTES: 0.75, DAYS: 0.1, AT_START: 0.03, UNSEEN: 0.12},
    DAYS: {DAYS: 0.75, MINUTES: 0.08, UNSEEN: 0.17},
    UNSEEN: {UNSEEN: 0.55, DAYS: 0.17, AT_START: 0.1, MINUTES: 0.06, HOLDS: 0.12},
}


def main_fuse_history(site: Site, bad: bool) -> Shares:
    return _MAIN[site.main]


def control_fuse_history(site: Site, bad: bool) -> Shares:
    once, times = "blows-at-once", "blows-at-times"
    return {
        "holds": {"holds": 0.98, times: 0.02},
        once: {once: 0.85, times: 0.1, "holds": 0.05},
        times: {times: 0.85, once: 0.08, "holds": 0.07},
        "found-open": {times: 0.4, once: 0.08, "holds": 0.52},
    }[site.control]


def main_fuse_element(site: Site, bad: bool) -> Shares:
    return {"open" if site.works.main.open else "intact": 1.0}


def control_fuse_element(site: Site, bad: bool) -> Shares:
    return {"open" if site.works.control.open else "intact": 1.0}


def touch(part: str) -> Sight:
    """cool, warm or too hot to hold, by a hand."""

    def felt(site: Site, bad: bool) -> Shares:
        found = site.heat(part, bad)
        hot = above(found, HAND, 5)
        warm = above(found, max(site.works.air + WARM, 33.0), 4) * (1 - hot)
        return {"too-hot-to-hold": hot, "warm": warm, "cool": 1 - hot - warm}

    return felt


def lamp_at_motor(site: Site, bad: bool) -> Shares:
    """A filament lamp of 15 W or so across the leads, the motor still on them."""
    operation = calling(site, bad)
    works = site.works.copy()
    works.join("lamp", "motor+", "motor-", 10.0)
    state = site.trial(f"lamp {bad}", works).operation("calling", bad)
    volts, _ = state.mixed(lambda one: abs(one.across("motor+", "motor-")))
    if operation.chatters or site.flutters:
        return {"dim": 0.85, "bright": 0.15}
    lit, bright = above(volts, LAMP, 0.7), above(volts, 10.2, 0.5)
    return {"dark": 1 - lit, "bright": lit * bright, "dim": lit * (1 - bright)}


def other_loads(site: Site, bad: bool) -> Shares:
    """A light on the battery's lugs and the common ground, where there is one."""
    works = site.works.copy()
    works.join("light", "lug+", "ground", 8.0)
    trial = site.trial(f"light {bad}", works).operation("calling", bad)
    volts, jumps = trial.mixed(lambda one: abs(one.across("lug+", "ground")))
    alive, well = above(volts, LAMP, 0.7), above(volts - jumps, 11.2, 0.35)
    alone = 0.35
    seen = {"dead-too": 1 - alive, "fine": alive * well, "weak-too": alive * (1 - well)}
    return {name: (1 - alone) * one for name, one in seen.items()} | {"none-on-this-feed": alone}


def battery_found(site: Site, bad: bool) -> Shares:
    """By its own indicator, a lamp or a meter: under about 12 V people call it flat."""
    battery = site.works.battery
    lamp = abs(battery.resting()) - 4.0 * battery.ohms(1.0)
    full = above(lamp, 12.0, 0.15)
    return {"charged": full, "flat": 1 - full}


def float_by_hand(site: Site, bad: bool) -> Shares:
    works = site.works
    if works.stuck.get("float") == "closed" or works.has("bypass"):
        return {"never-opens": 1.0}
    if works.stuck.get("float") == "open":
        return {"never-closes": 1.0}
    if works.float_upside_down:
        return {"inverted": 1.0}
    most = 300.0 if works.rig.has_relay else 1.0
    poor = works.ohms("float") > most
    return {"never-closes": 0.7, "follows": 0.3} if poor else {"follows": 1.0}


def motor_turns_by_hand(site: Site, bad: bool) -> Shares:
    motor, sound = site.works.motor, site.sound.motor
    if motor.locked:
        return {"locked": 0.85, "stiff": 0.15}
    stiff = above(motor.rub / sound.rub, 2.5, 0.8)
    return {"stiff": 0.05 + 0.85 * stiff, "free": 0.95 - 0.85 * stiff}


def motor_tapped(site: Site, bad: bool) -> Shares:
    """Brushes that hang wake up; so do loose ends now and then."""
    if site.works.motor.dead_spot:
        return {"starts": 0.7, "no-change": 0.3}
    return {"starts": 0.02, "no-change": 0.98}


SEEN: dict[str, Sight] = {
    "pump-action": pump_action,
    "pump-when-satisfied": pump_when_satisfied,
    "flow": flow,
    "relay-sound": relay_sound,
    "main-fuse-history": main_fuse_history,
    "main-fuse-element": main_fuse_element,
    "control-fuse-history": control_fuse_history,
    "control-fuse-element": control_fuse_element,
    "fuse-holder-heat": touch("fuse-holder"),
    "relay-heat": touch("relay"),
    "pressure-switch-heat": touch("pressure-switch"),
    "master-switch-heat": touch("master-switch"),
    "wire-heat": touch("wire"),
    "motor-heat": touch("motor"),
    "lamp-at-motor": lamp_at_motor,
    "other-loads": other_loads,
    "float-by-hand": float_by_hand,
    "battery-found": battery_found,
    "cycling-interval": cycling_interval,
    "motor-turns-by-hand": motor_turns_by_hand,
    "motor-tapped": motor_tapped,
}
"""Observations that physics settles."""


def sight(site: Site, name: str, bad: bool) -> Shares:
    """One of SEEN, with what the fault itself adds to it."""
    seen = SEEN[name](site, bad)
    own = site.works.signs.get(name)
    return spread(own, seen) if own else seen
