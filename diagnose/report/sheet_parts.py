"""The parts of one rig as they are ordered: what, of what rating, and how it goes in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagnose.circuit.kinds import Part
from diagnose.circuit.network import branches
from diagnose.circuit.parameters import CONTROL_WIRES
from diagnose.circuit.parts import Placed, control_of, feed_of, protection_of
from diagnose.circuit.rig import GAL_PER_MIN, PSI, Rig
from diagnose.design.plan import Plan
from diagnose.design.wording import INCH, brief, called, length, named

BATTERY = {"agm": "AGM", "gel": "gel", "flooded": "flooded", "lithium": "lithium"}
"""Kinds of batteries as they are printed."""

SAID = {"rating": "A", "opens": "V"}
"""What a file says of a listed part, with its unit."""

SPARE = 1.1
"""How much more wire is bought than runs one way and back: a tenth for bends and for ends that are
cut off; common practice."""


@dataclass(frozen=True)
class Item:
    """One part. rating: with its unit, "" where none is asked for; note: how it goes in."""

    what: str
    rating: str
    note: str = ""


@dataclass(frozen=True)
class Run:
    """One length of wire from a test point to the next."""

    start: str
    end: str
    size: str


def _together(rig: Rig) -> str:
    """How several batteries are joined."""
    if rig.battery_series > 1:
        return f"{rig.battery_series} in series"
    return f"{rig.battery_count} in parallel" if rig.battery_count > 1 else ""


def parts_of(rig: Rig) -> Iterator[Item]:
    """From the battery along the copper to the pump, then what switches it, then the rest."""
    yield battery_of(rig)
    yield Item("ring lugs for the posts, 2", rig.wire_gauge, "crimped and sealed")
    for one in feed_of(rig):
        yield _in_feed(rig, one)
    yield pump_of(rig)
    for one in control_of(rig):
        if not _unsaid(rig, one):
            yield _in_control(rig, one)
    for load in rig.loads:
        yield Item(named(load), f"{brief(load.number('current'))} A", f"at {load.word('at')}")
    for key, said in rig.water:
        yield from _water(key, said)


def battery_of(rig: Rig) -> Item:
    capacity = f"{brief(rig.battery_capacity)} A h"
    volts = f"{brief(rig.battery_volts)} V"
    return Item(f"battery, {volts}, {BATTERY[rig.battery_kind]}", capacity, _together(rig))


def protections(rig: Rig) -> Iterator[Item]:
    """Every fuse and breaker with its place, the motor's way first."""
    first, before = protection_of(rig), "battery"
    for one in feed_of(rig):
        if one.kind.protects:
            nearest = one is first
            rating = _protection(rig, one).rating if nearest else _rating(one.part)
            yield Item(called(one), rating, near_the_post(rig) if nearest else f"behind {before}")
        before = called(one)
    yield from (_in_control(rig, one) for one in control_of(rig) if one.kind.protects)


def in_pump_line(rig: Rig) -> Iterator[Item]:
    """What else the motor's current passes, along the copper."""
    return (_in_feed(rig, one) for one in feed_of(rig) if not one.kind.protects)


def in_coil_line(rig: Rig) -> Iterator[Item]:
    """What else the coil's current passes, along the copper."""
    switches = (one for one in control_of(rig) if not one.kind.protects)
    return (_in_control(rig, one) for one in switches if not _unsaid(rig, one))


def _unsaid(rig: Rig, one: Placed) -> bool:
    """Whether a switch by hand may or may not be there: a file in short cannot say so."""
    return one.part.kind == "hand_switch" and not rig.feed and rig.control != "manual"


def _in_feed(rig: Rig, one: Placed) -> Item:
    first = protection_of(rig)
    if first is not None and one.part.name == first.part.name:
        return _protection(rig, one)
    if one.part.kind == "relay":
        coil = f"coil {brief(rig.relay_coil)} ohm; in a socket, terminals down"
        return Item(called(one), f"{brief(rig.relay_contact)} A contact", coil)
    minus = "breaks the minus too" if one.minus else ""
    return Item(called(one), _rating(one.part) or _switch_rating(rig, one), minus)


def _protection(rig: Rig, one: Placed) -> Item:
    """The first fuse or breaker."""
    holder = "holder rated above it, " if one.part.kind == "fuse" else ""
    return Item(called(one), f"{brief(rig.main_fuse_rating)} A", holder + near_the_post(rig))


def near_the_post(rig: Rig) -> str:
    """Where the first fuse or breaker sits."""
    inches, cm = rig.main_fuse_distance / INCH, 100 * rig.main_fuse_distance
    far = f"within {brief(cm)} cm" if rig.metric_wire else f"within {brief(inches)} in"
    return f"{far} of the post"


def _in_control(rig: Rig, one: Placed) -> Item:
    if one.part.kind == "fuse":
        usual = one.part.name in ("fuse", "control_fuse")
        where = f"where {rig.control_tap} is tapped"
        name = "control fuse" if usual else named(one.part)
        return Item(name, f"{brief(rig.control_fuse_rating)} A", where)
    return Item(called(one), _switch_rating(rig, one), "carries the coil only")


def _switch_rating(rig: Rig, one: Placed) -> str:
    """The rating of the switch that calls, where the file has one."""
    if not one.kind.calls or rig.switch_rating is None:
        return ""
    return f"{brief(rig.switch_rating)} A"


def _rating(part: Part) -> str:
    """What a listed part is rated, or at which volts it opens."""
    values = dict(part.values)
    said = [f"{brief(float(values[key]))} {unit}" for key, unit in SAID.items() if key in values]
    return ", ".join(said)


def pump_of(rig: Rig) -> Item:
    flow = f"{brief(rig.pump_flow / GAL_PER_MIN)} gal/min"
    pressure = f"{brief(rig.pump_pressure / PSI)} psi"
    return Item(f"pump, {rig.pump_kind}", f"{brief(rig.pump_current)} A", f"{pressure}, {flow}")


def _water(key: str, said: str) -> Iterator[Item]:
    """Parts of the water's way that the rig file names."""
    if said == "yes":
        yield Item(key.replace("_", " "), "", "in the water's way")


def runs_of(plan: Plan) -> Iterator[Run]:
    """Every length of wire, the motor's way first and then the coil's."""
    for stretch in plan.loop.stretches:
        if stretch.wire:
            yield Run(stretch.start, stretch.end, plan.rig.wire_gauge)
    for branch in branches(plan.rig):
        if set(branch.parameters) & set(CONTROL_WIRES):
            yield Run(branch.a, branch.b, f"{thin(plan)} mm2")


def thin(plan: Plan) -> str:
    """The size of the coil's wire [mm2]."""
    return brief(plan.figures.get("control-wire-area", "mm^2"))


def to_cut(plan: Plan) -> Iterator[str]:
    """How much wire, in sentences."""
    rig = plan.rig
    back = rig.return_length or rig.wire_length
    bought = length(SPARE * (rig.wire_length + back))
    yield (
        f"{rig.wire_gauge}: {length(rig.wire_length)} out and {length(back)} back; buy {bought}, a "
        "tenth for bends and ends."
    )
    if rig.return_area and rig.return_area != rig.wire_area:
        yield f"The wire back is of {brief(rig.return_area)} mm2."
    if rig.has_relay:
        yield f"Control: {thin(plan)} mm2 from {rig.control_tap} to switch and coil, cut to fit."


def crimps(runs: Iterable[Run]) -> str:
    """How many wire ends there are."""
    ends: dict[str, int] = {}
    for run in runs:
        ends[run.size] = ends.get(run.size, 0) + 2
    told = " and ".join(f"{count} for {size}" for size, count in ends.items())
    return f"Crimps: {told}, each with lined shrink tube; tin no strand."


def fuses(rig: Rig) -> str:
    """The fuses to have, a spare of each."""
    first = protection_of(rig)
    found = [rig.main_fuse_rating] if first is not None and first.part.kind == "fuse" else []
    found += [rig.control_fuse_rating] if rig.has_relay and rig.has_control_fuse else []
    others = [
        float(dict(one.part.values)["rating"])
        for one in feed_of(rig)
        if one.part.kind == "fuse" and one is not first and "rating" in dict(one.part.values)
    ]
    told = " and ".join(f"{brief(rating)} A" for rating in (*found, *others))
    return f"Fuses: {told}; a spare of each beside its holder, none larger." if told else "No fuse."
