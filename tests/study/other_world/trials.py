"""What comes of trying: jumpers, a new fuse, another relay or pump, a charger, a bucket."""

from __future__ import annotations

from functools import partial
from math import inf

from tests.study.other_world.components import Fuse
from tests.study.other_world.operation import Operation
from tests.study.other_world.parts import RELAY, Shares, Works
from tests.study.other_world.signs import (
    SLOW,
    Sight,
    above,
    flow,
    restart_seconds,
    sight,
    touch,
)
from tests.study.other_world.site import (
    AT_ONCE,
    AT_START,
    HOLDS,
    MINUTES,
    SURGE,
    Site,
    main_story,
)

JUMPER = 0.02
"""A fused jumper with its clips [ohm]; common practice."""


def _runs(site: Site, operation: Operation) -> Shares:
    """runs-normal, runs-slow or nothing."""
    if not operation.turning:
        return {"nothing": 0.97, "runs-slow": 0.03}
    if operation.chatters or site.flutters:
        return {"runs-slow": 0.7, "runs-normal": 0.2, "nothing": 0.1}
    quick = above(site.speed(operation.live), SLOW, 0.05)
    return {"runs-normal": quick, "runs-slow": 1 - quick}


def _bridged(site: Site, bad: bool, a: str, b: str) -> Shares:
    """A jumper from point to point, for a relay's contact in the empty socket; the fuse in it is
    no larger than the rig's."""
    works, contact = site.works.copy(), a == "relay.30"
    if contact:
        works.without(RELAY)
    works.join("jumper", a, b, JUMPER)
    operation = site.trial(f"jumper {a} {bad}", works).operation("calling", bad)
    own = Fuse(works.rig.main_fuse_rating)
    thin = own if contact or not works.rig.has_relay else works.control
    state = operation.live
    seconds = min(
        own.seconds(state.through("main_fuse")),
        thin.seconds(state.through("jumper")),
        3.0 if own.seconds(state.through("main_fuse", state.stall)) < SURGE else inf,
    )
    if seconds < 8:
        return {"fuse-blows": 0.9, "nothing": 0.1}
    return _runs(site, operation)


def well(site: Site, bad: bool, hot: str) -> float:
    """Chance that somebody calls it cured: it runs, gives water, stops, and nothing gets hot."""
    runs = sight(site, "pump-action", bad).get("normal", 0.0)
    runs *= flow(site, bad).get("normal", 0.0)
    stops = sight(site, "pump-when-satisfied", bad).get("stops", 0.0)
    return runs * stops * (1 - touch(hot)(site, bad).get("too-hot-to-hold", 0.0))


def _swapped(site: Site, bad: bool, works: Works, hot: str) -> Shares:
    """cured or no-change: better than before, and well."""
    tried = Site(works, works, site.sound, site.main, site.control, bad)
    if site.main in (MINUTES, AT_START, AT_ONCE):
        tried.main = main_story(_whole(works), site.sound)[0]
    cured = well(tried, bad, hot) * (1 - well(site, bad, hot))
    return {"cured": cured, "no-change": 1 - cured}


def _whole(works: Works) -> Works:
    again = works.copy()
    again.main.open = False
    return again


def swap_relay(site: Site, bad: bool) -> Shares:
    works, sound = site.works.copy(), site.sound
    works.coil = sound.copy().coil
    works.put("coil", sound.ohms("coil"))
    works.put("contact", sound.ohms("contact"))
    works.stuck.pop("contact", None)
    works.paths.pop("shunt", None)
    works.spots.pop("contact", None)
    works.signs.pop("pump-when-satisfied", None)
    if works.loose and works.loose.path in ("coil", "contact"):
        works.loose = None
    return _swapped(site, bad, works, "relay")


def swap_pump(site: Site, bad: bool) -> Shares:
    works, sound = site.works.copy(), site.sound.copy()
    works.motor, works.crossed, works.trips = sound.motor, False, False
    old, new = works.water, sound.water
    new.nozzle, new.lift, new.drag, new.supply = old.nozzle, old.lift, old.drag, old.supply
    new.air, new.cushion, new.ripple, new.leak = old.air, old.cushion, old.ripple, old.leak
    works.water = new
    works.paths.pop("case", None)
    works.signs.pop("pump-action", None)
    return _swapped(site, bad, works, "motor")


def new_main_fuse(site: Site, bad: bool) -> Shares:
    """A fresh one of the right rating, for five minutes."""
    works = site.works.copy()
    works.main = Fuse(works.rig.main_fuse_rating)
    works.main_flashes = False
    if works.loose and works.loose.path == "main_fuse":
        works.loose = None
    story, _ = main_story(works, site.sound)
    if story in (AT_ONCE, AT_START):
        return {"blows-at-once": 0.95, "blows-in-minutes": 0.05}
    if story == MINUTES:
        return {"blows-in-minutes": 0.75, "holds": 0.25}
    tried = Site(works, works, site.sound, HOLDS, site.control, bad)
    hot = touch("fuse-holder")(tried, bad).get("too-hot-to-hold", 0.0)
    return {"holds": 1 - hot, "holder-hot": hot}


def charging_source_effect(site: Site, bad: bool) -> Shares:
    """With an engine or a charger on the posts."""
    if site.sound.charger <= 0:
        return {"not-tried": 1.0}
    before = site.working.operation("calling", bad)
    after = site.working.operation("calling", bad, charging=True)

    def work(one: Operation) -> float:
        share = one.habit.inside if one.chatters else 1.0
        return share * site.speed(one.live)

    better = above(work(after) - work(before), 0.12, 0.05)
    return {"not-tried": 0.25, "runs-better": 0.75 * better, "no-change": 0.75 * (1 - better)}


def posts_while_charging(site: Site, bad: bool) -> Shares:
    """The battery's posts on whatever should charge it."""
    if site.sound.charger <= 0:
        return {"no-source": 0.9, "stays": 0.1}
    if site.works.charger <= 0:
        return {"stays": 0.85, "rises": 0.08, "no-source": 0.07}
    battery = site.works.battery
    before, volts = battery.resting(), battery.charged_by(site.works.charger)
    rises = max(above(volts - before, 0.4, 0.15), above(volts, 13.4, 0.1))
    return {"no-source": 0.15, "rises": 0.85 * rises, "stays": 0.85 * (1 - rises)}


def bench_run_motor(site: Site, bad: bool) -> Shares:
    """Straight from a good battery, through a fuse, suction and outlet in a bucket."""
    works, motor, water = site.works, site.works.motor, site.works.water
    free = site.sound.copy().water
    free.chambers, free.slip, free.coupled = water.chambers, water.slip, water.coupled
    free.nozzle *= 1.5
    fuse = Fuse(works.rig.main_fuse_rating)
    stall = motor.amps(12.6, 0.03, 0.0)
    speed = motor.runs(12.6, 0.03, free, True) if motor.starts(12.6, 0.03, 0.0) else 0.0
    normal = site.sound.motor.runs(12.6, 0.03, free, True)
    if speed < 0.05 * normal:
        strains = above(stall / works.amps, 0.8, 0.25)
        return {"high-current": strains, "nothing": 1 - strains}
    amps = motor.amps(12.6, 0.03, speed)
    heavy = above(amps / works.amps, 1.4, 0.15)
    if fuse.seconds(amps) < 10 or fuse.seconds(stall) < SURGE:
        heavy = 0.95
    quick = above(speed / normal, SLOW, 0.06)
    return {
        "high-current": heavy,
        "runs-normal": (1 - heavy) * quick,
        "runs-slow": (1 - heavy) * (1 - quick),
    }


def runs_another_way(site: Site, bad: bool) -> Shares:
    """A hand position or second switch beside what calls the pump, where there is one."""
    none = 0.65
    works = site.works.copy()
    name = works.calls_by
    if name not in works.paths or name == "master":
        return {"no-other-way": 1.0}
    if works.rig.has_relay:
        works.join("other_way", works.paths["tap"].b, "relay.86", 0.1)
    else:
        works.join("other_way", works.paths[name].a, works.paths[name].b, 0.03)
    operation = site.trial(f"other way {bad}", works).operation("calling", bad)
    runs = 0.95 if operation.turning and not operation.chatters else 0.05
    return {"runs": (1 - none) * runs, "dead": (1 - none) * (1 - runs), "no-other-way": none}


def run_from_bucket(site: Site, bad: bool) -> Shares:
    """Full flow from a bucket where there was none from the tank."""
    works = site.works.copy()
    old, sound = works.water, site.sound.water
    old.lift, old.drag, old.supply, old.air = 0.3, sound.drag, 1.0, 0.0
    tried = Site(works, works, site.sound, site.main, site.control, bad)
    before, after = flow(site, bad).get("normal", 0.0), flow(tried, bad).get("normal", 0.0)
    cured = after * (1 - before)
    return {"cured": cured, "no-change": 1 - cured}


def outlet_valve_shut(site: Site, bad: bool) -> Shares:
    """A valve right behind the pump, where there is one: the hose and its leaks are left out."""
    none = 0.45
    works = site.works.copy()
    works.water.leak, works.water.cushion = 0.0, 0.3 * works.water.cushion
    tried = Site(works, works, site.sound, site.main, site.control, bad)
    restarts = 1 - above(restart_seconds(tried, bad), 4 * 3600, 2 * 3600)
    return {
        "restarts": (1 - none) * restarts,
        "stays-off": (1 - none) * (1 - restarts),
        "no-valve": none,
    }


def swap_battery(site: Site, bad: bool) -> Shares:
    """A charged one on the same lugs; in half of the cases the lugs go on anew."""
    found = {"cured": 0.0, "better": 0.0, "no-change": 0.0}
    for anew in (False, True):
        works, sound = site.works.copy(), site.sound.copy()
        works.battery = sound.battery
        works.battery.charge = 1.0
        if anew:
            for post in ("post+", "post-"):
                works.put(post, sound.ohms(post))
                if works.loose and works.loose.path == post:
                    works.loose = None
        cured = _swapped(site, bad, works, "motor")["cured"]
        faster = _faster(site, works, bad) * (1 - cured)
        for name, share in (("cured", cured), ("better", faster)):
            found[name] += 0.5 * share
    found["no-change"] = 1 - found["cured"] - found["better"]
    return found


def _faster(site: Site, works: Works, bad: bool) -> float:
    """Chance that somebody finds the pump faster than before, if not well."""
    tried = Site(works, works, site.sound, site.main, site.control, bad)
    speeds = [one.speed(one.working.operation("calling", bad).live) for one in (site, tried)]
    return above(speeds[1] - speeds[0], 0.2, 0.07)


def stops_when(site: Site, bad: bool) -> Shares:
    """Of a pump that runs on: call taken off, relay out, main switch off, in this order."""
    relay = site.works.rig.has_relay
    steps: list[tuple[str, tuple[str, ...], str]] = [
        ("control-unplugged", ("control_2", "hand") if relay else ("pswitch", "float"), "satisfied")
    ]
    if relay:
        steps.append(("relay-out", RELAY, "satisfied"))
    steps.append(("main-switch-off", (), "rest"))
    for name, paths, condition in steps:
        works = site.works.copy()
        works.without(paths)
        if not site.trial(f"{name} {bad}", works).operation(condition, bad).turning:
            return {name: 0.93, "not-even-then": 0.07}
    return {"not-even-then": 1.0}


TRIED: dict[str, Sight] = {
    "jumper-relay-contact": partial(_bridged, a="relay.30", b="relay.87"),
    "jumper-pressure-switch": partial(_bridged, a="pswitch.in", b="pswitch.out"),
    "jumper-float": partial(_bridged, a="float.in", b="float.out"),
    "swap-relay": swap_relay,
    "swap-pump": swap_pump,
    "new-main-fuse": new_main_fuse,
    "charging-source-effect": charging_source_effect,
    "posts-while-charging": posts_while_charging,
    "bench-run-motor": bench_run_motor,
    "runs-another-way": runs_another_way,
    "run-from-bucket": run_from_bucket,
    "outlet-valve-shut": outlet_valve_shut,
    "swap-battery": swap_battery,
    "stops-when": stops_when,
}
