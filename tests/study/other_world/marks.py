"""What physics leaves behind to be seen or smelt: burnt plastic, bubbles, wet places."""

from __future__ import annotations

from collections.abc import Callable

from tests.study.other_world.parts import Shares
from tests.study.other_world.signs import above, calling
from tests.study.other_world.site import BROWNS, Site

Mark = Callable[[Site, bool], Shares | None]
"""Chances of what is found, whether the loose path is parted; None where physics leaves nothing."""


def smell(site: Site, bad: bool) -> Shares | None:
    """Burnt, where something has been hot enough; else by looks."""
    hottest = max(site.worst.values())
    burnt = 0.7 * above(hottest, 130, 25)
    return {"burnt": burnt} if burnt > 0.05 else None


def smoke(site: Site, bad: bool) -> Shares | None:
    """Only after much heat: insulation gives off smoke from 200 degC or so."""
    hottest = max(site.worst.values())
    seen = 0.5 * above(hottest, 220, 30)
    return {"seen": seen, "still-smoking": 0.02 * seen} if seen > 0.02 else None


def browned(part: str, answer: str, most: float) -> Mark:
    """Plastic that has been hot."""

    def mark(site: Site, bad: bool) -> Shares | None:
        seen = most * above(site.worst[part], BROWNS, 35)
        return {answer: seen} if seen > 0.1 else None

    return mark


def air_in_suction(site: Site, bad: bool) -> Shares | None:
    air = site.works.water.air
    if air <= 0.0 or not calling(site, bad).turning:
        return None
    return {"bubbles": min(0.5 + 2 * air, 0.92)}


def air_at_outlet(site: Site, bad: bool) -> Shares | None:
    water = site.works.water
    if not calling(site, bad).turning:
        return None
    air = water.air + water.head_air + (0.4 if water.supply < 0.5 else 0.0)
    return {"spits": min(0.4 + 1.5 * air, 0.92)} if air > 0.03 else None


def leak_look(site: Site, bad: bool) -> Shares | None:
    """A drip that is quick to restart the pump is seen more often than a weep."""
    water = site.works.water
    if water.leak <= 0:
        return None
    seen = 0.5 + 0.42 * above(water.leak / water.nozzle, 1e-3, 1e-3)
    return {"downstream": seen}


def remote_light(site: Site, bad: bool) -> Shares | None:
    """A receiver without supply answers nobody."""
    volts = calling(site, bad).live.across("remote.in", "ground")
    return {"no-response": 0.97} if volts < 7 else None


SMELLS = {
    "motor": "motor",
    "relay": "relay",
    "fuse-holder": "fuse-holder",
    "pressure-switch": "switch",
    "master-switch": "switch",
    "wire": "wire",
}
"""What is smelt of each part that gets hot."""


def smell_where(site: Site, bad: bool) -> Shares | None:
    """The part that has been hottest, where it was hot enough to smell."""
    part = max(site.worst, key=lambda one: site.worst[one])
    strong = 0.8 * above(site.worst[part], 120, 25)
    return {SMELLS[part]: strong} if strong > 0.05 else None


def pump_noise(site: Site, bad: bool) -> Shares | None:
    """Slow is quiet; air and cavitation rattle; a pump that has nothing to push runs high."""
    operation, water = calling(site, bad), site.works.water
    if not operation.turning:
        return None
    speed = site.speed(operation.live)
    wish = water.stroke * operation.live.speed * water.chambers * water.coupled
    short = 1 - water.drawn(operation.live.speed) / wish if wish > 0 else 0.0
    rattles = 0.5 * above(short + water.air + water.head_air, 0.2, 0.1)
    louder = 0.5 * above(speed, 1.12, 0.05) * (1 - rattles)
    quieter = 0.55 * (1 - above(speed, 0.85, 0.06)) * (1 - rattles)
    if rattles + louder + quieter < 0.03:
        return None
    return {"rattles": rattles, "louder": louder, "quieter": quieter}


def priming(site: Site, bad: bool) -> Shares | None:
    """Whether air is got out of the suction line, and water kept in it while it stands."""
    works, water = site.works, site.works.water
    if not calling(site, bad).turning:
        return None
    rated = works.water.stroke * site.well.operation("calling").live.speed
    leaks_back = water.slip * water.rated / rated
    air = water.air + water.head_air
    takes = water.chambers * water.coupled * max(1 - air, 0.0) / (1 + leaks_back)
    takes *= min(1.0, (water.drawn(0.3 * rated / water.stroke) / (0.3 * rated)) ** 0.5)
    never = 1 - above(takes, 0.1, 0.04)
    badly = (1 - above(takes, 0.5, 0.1)) * (1 - never)
    back = 0.4 * above(air, 0.1, 0.05) + 0.4 * above(water.drain * water.rated / rated, 1e-3, 1e-3)
    loses = min(0.4 * badly + back * (1 - never), 0.8 * (1 - never))
    slowly = max(badly - 0.4 * badly, 0.0) * (1 - back)
    if never + loses + slowly < 0.04:
        return None
    return {"never": never, "loses-it": loses, "slowly": slowly}


def spark_on_connecting(site: Site, bad: bool) -> Shares | None:
    """What flows at the post with nothing asked for, the main switch on in a third of cases."""
    found = {"small": 0.0, "big": 0.0}
    for condition, share in (("rest", 0.65), ("satisfied", 0.35)):
        state = site.working.operation(condition, bad).live
        amps = abs(state.stall) + abs(state.through("drain")) + abs(state.through("short"))
        big = above(amps, 8.0, 3.0)
        found["big"] += share * big
        found["small"] += share * (1 - big) * above(amps, 0.4, 0.15)
    return found if sum(found.values()) > 0.3 else None


MARKED: dict[str, Mark] = {
    "smell": smell,
    "smoke": smoke,
    "fuse-holder-look": browned("fuse-holder", "melted-or-discoloured", 0.8),
    "relay-socket-look": browned("relay", "burnt", 0.8),
    "pressure-switch-look": browned("pressure-switch", "burnt-or-melted", 0.85),
    "air-in-suction": air_in_suction,
    "air-at-outlet": air_at_outlet,
    "leak-look": leak_look,
    "remote-light": remote_light,
    "smell-where": smell_where,
    "pump-noise": pump_noise,
    "priming": priming,
    "spark-on-connecting": spark_on_connecting,
}
"""Observations on which physics leaves its marks."""
