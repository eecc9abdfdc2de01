"""A rig's circuit as the list of its parts, in the order of the copper."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from diagnose.circuit.kinds import Part
from diagnose.circuit.parameters import IN_SERIES
from diagnose.circuit.placed import Placed, in_control, in_feed, in_parallel
from diagnose.circuit.rig import Rig

__all__ = ["Placed", "control_of", "feed_of"]

LINK = "link"
"""What joins two batteries in series is called."""


def standard_feed(rig: Rig) -> tuple[Part, ...]:
    """The feed of a rig that is described in short."""
    parts = [Part("fuse", "fuse"), Part("master_switch", "master_switch")]
    if rig.has_relay:
        parts.append(Part("relay", "relay"))
    elif rig.control != "manual":
        parts.append(Part(rig.control, rig.control))
    return tuple(parts)


def standard_control(rig: Rig) -> tuple[Part, ...]:
    """The way to the coil of a rig that is described in short."""
    if not rig.has_relay:
        return ()
    remote = [Part("remote", "remote")] if rig.remote else []
    switch = [] if rig.control == "manual" else [Part(rig.control, rig.control)]
    return (Part("fuse", "control_fuse"), *remote, *switch, Part("hand_switch", "hand_switch"))


@lru_cache(maxsize=256)
def feed_of(rig: Rig) -> tuple[Placed, ...]:
    """The parts in the motor's line, from the battery's plus to the motor."""
    return in_feed(rig.feed or standard_feed(rig))


@lru_cache(maxsize=256)
def control_of(rig: Rig) -> tuple[Placed, ...]:
    """The parts in the coil's line, from its tap to the coil; switches in parallel one by one."""
    return in_control(rig.control_parts or standard_control(rig), feed_of(rig))


def beside(rig: Rig) -> frozenset[str]:
    """The names of the parts that stand in parallel with another."""
    return in_parallel(rig.control_parts)


def minus_sides(rig: Rig, at_motor: bool) -> tuple[tuple[str, str, str], ...]:
    """What breaks the minus between motor and stud, or between stud and battery, in the order of
    the current. Behind the relay, whose coil has the stud as its minus, it is the motor's."""
    found: list[tuple[str, str, str]] = []
    behind = False
    for one in feed_of(rig):
        behind = behind or one.part.kind == "relay"
        if one.minus and (behind or one.kind.at_motor) == at_motor:
            found.insert(0, one.minus)
    return tuple(found)


def spares(rig: Rig) -> frozenset[str]:
    """Parameters of the switches by hand, or by remote, that stand beside one that calls by itself:
    open until somebody closes them."""
    names = beside(rig)
    both = [one for one in control_of(rig) if one.part.name in names]
    by_itself = any(one.kind.by_itself for one in both)
    return frozenset(one.parameters[-1] for one in both if by_itself and not one.kind.by_itself)


@lru_cache(maxsize=256)
def link_of(rig: Rig) -> Placed | None:
    """What joins the plus of one of two batteries in series to the minus of the other."""
    if rig.battery_series < 2:
        return None
    part = Part(LINK, LINK)
    return Placed(part, f"{LINK}.in", f"{LINK}.out", (part.parameter(),))


def protection_of(rig: Rig) -> Placed | None:
    """The first fuse or breaker of the feed; None on a rig without any."""
    return next((one for one in feed_of(rig) if one.kind.protects), None)


def listed_parts(rig: Rig) -> tuple[Placed, ...]:
    """The parts that have parameters of their own, named after them."""
    link = link_of(rig)
    own = tuple(one for one in (*feed_of(rig), *control_of(rig)) if one.listed or one.minus)
    return (*own, link) if link else own


def feed_wires(rig: Rig) -> tuple[str, ...]:
    """The wires behind each part of the feed; the last one reaches the motor."""
    return tuple(f"feed_{number}" for number in range(1, max(len(feed_of(rig)), 3) + 1))


@lru_cache(maxsize=256)
def extra_parameters(rig: Rig) -> tuple[str, ...]:
    """Circuit parameters that this rig has beside those of a standard circuit."""
    names: list[str] = [*feed_wires(rig)[3:]]
    for one in listed_parts(rig):
        names += [name for name in one.parameters if name.startswith(one.part.parameter())]
        names += [one.minus[2]] if one.minus else []
        names += [one.part.parameter(suffix) for suffix in _numbers(one, beside(rig))]
    if any(one.minus for one in feed_of(rig)):
        names.append("return_3")
    names += [load.parameter("load") for load in rig.loads]
    return (*names, *(IN_SERIES if link_of(rig) else ()))


def _numbers(one: Placed, abreast: frozenset[str]) -> Iterator[str]:
    """What a listed part has beside its contacts. abreast: the names of those in parallel."""
    if one.kind.opens_below:
        yield one.kind.opens_below
    if one.kind.protects and "main_fuse" not in one.parameters:
        yield "rating"
    if one.listed and (one.kind.calls or one.part.name in abreast):
        yield "welded"
