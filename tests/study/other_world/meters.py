"""What the instruments show at a faulty rig, before anybody writes it down."""

from __future__ import annotations

from collections.abc import Callable

from tests.study.other_world.build import PSI
from tests.study.other_world.components import copper
from tests.study.other_world.net import EARTH, MOST_OHMS, Net
from tests.study.other_world.operation import State
from tests.study.other_world.parts import RELAY, Random, branches
from tests.study.other_world.site import Site

GALLONS = 3.785411784e-3 / 60
"""Cubic metres a second in a US gallon a minute."""

HANGS = 1.2
"""How far a hand-held reading of something that jumps may lie off its middle [of the jump]."""

RIPPLE = 0.75
"""Least share of the first surge that a clamp with peak hold catches; estimate."""


def shown(site: Site, words: list[str], bad: bool, random: Random, pigtails: bool) -> float:
    """A reading in the unit it is asked in; words: quantity, points and condition."""
    kind = words[0]
    if kind == "voltage":
        red, black = (_lead(site, point, pigtails) for point in words[1:3])
        return _jumping(site, words[3], bad, random, lambda one: one.metered(red, black))
    if kind == "current":
        return abs(_jumping(site, words[2], bad, random, CLAMPED[words[1]]))
    if kind == "peak-current":
        return _peak(site, words[1], words[2], bad, random)
    if kind == "temperature":
        return site.heat(words[1], bad)
    return _gauged(site, kind, words[2], bad, random)


def _lead(site: Site, point: str, pigtails: bool) -> str:
    """Where leads are exchanged at the motor, its own red one is on the rig's black one."""
    if not (site.works.crossed and pigtails):
        return point
    return {"motor+": "motor-", "motor-": "motor+"}.get(point, point)


def _jumping(
    site: Site, condition: str, bad: bool, random: Random, of: Callable[[State], float]
) -> float:
    """A value that chatter or a fluttering joint shakes."""
    value, jump = site.working.operation(condition, bad).mixed(of)
    loose = site.works.loose
    if loose and loose.quick and not bad and condition != "rest" and site.flutters:
        parted, _ = site.working.operation(condition, True).mixed(of)
        jump = max(jump, abs(value - parted) / 2)
        value = loose.share * value + (1 - loose.share) * parted
    return value + float(random.uniform(-1, 1)) * HANGS * jump


def _motor_feed(state: State) -> float:
    return state.through("feed_3")


def _coil(state: State) -> float:
    return state.through("coil") + state.through("shunt")


def _battery(state: State) -> float:
    return state.through("post+")


CLAMPED: dict[str, Callable[[State], float]] = {
    "motor-feed": _motor_feed,
    "coil": _coil,
    "battery": _battery,
}


def _peak(site: Site, at: str, condition: str, bad: bool, random: Random) -> float:
    """The largest of three starts."""
    state = site.working.operation(condition, bad).live
    path = {"motor-feed": "feed_3", "coil": "coil", "battery": "post+"}[at]
    caught = random.uniform(RIPPLE, 1.0)
    return abs(max(caught * state.through(path, state.stall), state.through(path), key=abs))


def _gauged(site: Site, kind: str, condition: str, bad: bool, random: Random) -> float:
    """Pressure in psi, or what runs into a bucket in gallons a minute."""
    works, working = site.works, site.working
    state = working.operation(condition, bad).live
    share = 1.0
    if site.flutters and works.loose:
        share = works.loose.share
    elif working.operation(condition, bad).chatters:
        share = 0.4
    pressure = state.pressure * share
    if condition == "calling" and working.cycles:
        pressure = float(random.uniform(works.low, works.high))
    elif condition == "satisfied" and not state.turning:
        worked = works.calls_by == "pswitch" and working.operation("calling", bad).turning
        pressure = works.high * random.uniform(0.85, 1.0) if worked else 0.0
    if kind == "pressure":
        return pressure / PSI
    if working.cycles:
        pressure = (works.low + works.high) / 2
        return min(works.water.flow(pressure), state.flow) / GALLONS
    return state.flow * share / GALLONS


def ohms(site: Site, red: str, black: str, bad: bool) -> float:
    """An ohmmeter on a part freed from its neighbours, the battery off."""
    works, motor = site.works, site.works.motor
    pair = {red, black}
    paths = branches(works, "calling", False, bad)
    if pair == {"motor+", "motor-"}:
        return MOST_OHMS if motor.open or motor.dead_spot else motor.ohms * 1.3
    if pair == {"relay.86", "relay.85"}:
        return _coil_in_hand(site, bad)
    if pair == {"relay.30", "relay.87"}:
        welded = works.stuck.get("contact") == "closed"
        return works.ohms("contact") if welded else MOST_OHMS
    for name in (*RELAY, "jumper"):
        paths.pop(name, None)
    if pair != {"motor+", "ground"}:
        paths.pop("case", None)
    if pair in ({"motor+", "ground"}, {"motor-", "lug-"}):
        paths.pop("return_1" if "motor+" in pair else "", None)
    if not paths or not ({red, black} - {EARTH}):
        return MOST_OHMS
    return Net(list(paths.values()), dirt=1e-10).ohms(red, black)


def _coil_in_hand(site: Site, bad: bool) -> float:
    """A diode stays blocked the way the book has it read."""
    works = site.works
    coil = works.coil.ohms * copper(works.air)
    parted = bad and works.loose is not None and works.loose.path == "coil"
    if parted or works.ohms("coil") > 1e6:
        coil = MOST_OHMS
    shunt = works.ohms("shunt")
    return 1 / (1 / coil + 1 / shunt)
