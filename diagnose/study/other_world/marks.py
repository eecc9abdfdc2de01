"""What physics leaves behind to be seen or smelt: burnt plastic, bubbles, wet places."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.study.other_world import heat
from diagnose.study.other_world.parts import Shares
from diagnose.study.other_world.seen import above, calling
from diagnose.study.other_world.site import Site


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


def fuse_holder_look(site: Site, bad: bool) -> Shares | None:
    browned = 0.8 * above(site.worst["fuse-holder"], heat.BROWNS, 35)
    return {"melted-or-discoloured": browned} if browned > 0.1 else None


def relay_socket_look(site: Site, bad: bool) -> Shares | None:
    browned = 0.8 * above(site.worst["relay"], heat.BROWNS, 35)
    return {"burnt": browned} if browned > 0.1 else None


def pressure_switch_look(site: Site, bad: bool) -> Shares | None:
    browned = 0.85 * above(site.worst["pressure-switch"], heat.BROWNS, 35)
    return {"burnt-or-melted": browned} if browned > 0.1 else None


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


MARKED: dict[str, Callable[[Site, bool], Shares | None]] = {
    "smell": smell,
    "smoke": smoke,
    "fuse-holder-look": fuse_holder_look,
    "relay-socket-look": relay_socket_look,
    "pressure-switch-look": pressure_switch_look,
    "air-in-suction": air_in_suction,
    "air-at-outlet": air_at_outlet,
    "leak-look": leak_look,
    "remote-light": remote_light,
}
"""Observations on which physics leaves its marks; None where it leaves none."""
