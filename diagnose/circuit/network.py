"""A rig as a network: which parameter lies between which test points, in a given state."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from operator import add

import numpy as np

from diagnose.circuit.kinds import PREFIX
from diagnose.circuit.parameters import OPEN, Array, Batch, Flags, is_resistance
from diagnose.circuit.parts import (
    Placed,
    extra_parameters,
    feed_of,
    feed_wires,
    link_of,
    minus_sides,
    protection_of,
)
from diagnose.circuit.rig import Rig
from diagnose.circuit.switches import Worked, enabling, in_the_coils_line, worked

SOURCE = "source"
"""The ideal battery behind its internal resistance; not a test point."""

EARTH = "battery-"
LOAD = ".load"
"""How the ohms of a further load end."""

SWITCH_POINTS = {
    "pressure_switch": ("pswitch.in", "pswitch.out"),
    "float_switch": ("float.in", "float.out"),
    "remote_output": ("remote.in", "remote.out"),
    "hand_switch": ("hand.in", "hand.out"),
}


@dataclass(frozen=True)
class Branch:
    """Series parameters between two nodes."""

    a: str
    b: str
    parameters: tuple[str, ...]


@dataclass(frozen=True)
class Contacts:
    """How the moving contacts stand; True is closed. hand: whether somebody is at work with the
    rig: its switches by hand on, and what else hangs on it."""

    master: bool
    control: bool
    relay: bool = False
    battery: bool = True
    hand: bool = True


def _power(rig: Rig) -> list[Branch]:
    common = [
        *_batteries(rig),
        Branch("battery+", "lug+", ("terminal_positive",)),
        *_return(rig),
        Branch("lug-", EARTH, ("terminal_negative",)),
        Branch("lug+", "lug-", ("rest_drain",)),
        Branch(behind_protection(rig), "ground", ("leak_feed",)),
        Branch("motor+", "ground", ("leak_motor_feed",)),
        Branch("motor+", "ground", ("leak_case",)),
        *(Branch(one.word("at"), "ground", (one.parameter("load"),)) for one in rig.loads),
    ]
    here, wire = "lug+", "battery_lead"
    wires = feed_wires(rig)
    for place, one in enumerate(feed_of(rig)):
        common += [Branch(here, one.start, (wire,)), *_through(one)]
        here, wire = one.end, wires[place]
    left = wires[max(len(feed_of(rig)) - 1, 0) :] if feed_of(rig) else ("battery_lead", *wires)
    return [*common, Branch(here, "motor+", left)]


def _batteries(rig: Rig) -> list[Branch]:
    """From the ideal source to the plus post. Of two in series all that drives the current is at
    the bottom here, so between them volts are too high by those of the upper one (`driving`)."""
    link = link_of(rig)
    if link is None:
        return [Branch(SOURCE, "battery+", ("battery.resistance",))]
    return [
        Branch(SOURCE, link.start, ("battery.resistance", "lower.resistance")),
        Branch(link.start, link.end, link.parameters),
        Branch(link.end, "battery+", ("battery.resistance", "upper.resistance")),
    ]


def _through(one: Placed) -> list[Branch]:
    """The branches of one part of the feed."""
    if one.part.kind != "relay":
        return [Branch(one.start, one.end, one.parameters)]
    return [
        Branch("relay.30", "blade", ("relay_socket",)),
        Branch("blade", "relay.87", ("relay_contact",)),
        Branch("blade", "relay.87a", ("relay_contact_nc",)),
        Branch("relay.87a", "motor+", ("motor_on_87a",)),
    ]


def _return(rig: Rig) -> list[Branch]:
    """From the motor to the stud and on to the lug, through what breaks the minus too: the part
    that is nearest to the battery in the feed is nearest to it here."""
    return [
        *_minus(rig, "motor-", "return_1", "ground"),
        *_minus(rig, "ground", "return_2", "lug-"),
    ]


def _minus(rig: Rig, here: str, wire: str, there: str) -> Iterator[Branch]:
    for inner, outer, parameter in minus_sides(rig, at_motor=here == "motor-"):
        yield Branch(here, outer, (wire,))
        yield Branch(outer, inner, (parameter,))
        here, wire = inner, "return_3"
    yield Branch(here, there, (wire,))


def behind_protection(rig: Rig) -> str:
    """The point behind the first fuse or breaker; of a rig without one, behind its first part."""
    found = protection_of(rig)
    first = found or next(iter(feed_of(rig)), None)
    return first.end if first else "lug+"


def _control(rig: Rig) -> list[Branch]:
    found = in_the_coils_line(rig)
    wires = iter(("control_tap", "control_wire_1", *("control_link",) * len(found)))
    if found and found[0].kind.name != "fuse":
        next(wires)
    here = rig.control_tap
    branches = [
        Branch("relay.86", "relay.85", ("coil",)),
        Branch("relay.86", "relay.85", ("coil_shunt",)),
        Branch("relay.85", "ground", ("coil_ground",)),
    ]
    last = ("control_wire_2", "hand_switch") if enabling(rig) else ("control_wire_2",)
    for side_by_side in _abreast(rig, found):
        wire = next(wires)
        branches += [Branch(here, one.start, (wire,)) for one in side_by_side]
        branches += [Branch(one.start, one.end, one.parameters) for one in side_by_side]
        here = side_by_side[0].end
        branches += [Branch(one.end, here, ("control_link",)) for one in side_by_side[1:]]
    if found and found[0].kind.name == "fuse":
        branches.append(Branch("cfuse.out", "ground", ("leak_control",)))
    else:
        branches.append(Branch(here, "ground", ("leak_control",)))
    return [*branches, Branch(here, "relay.86", last)]


def _abreast(rig: Rig, found: tuple[Placed, ...]) -> Iterator[list[Placed]]:
    """The parts of the coil's line in their order, those in parallel together."""
    groups = {
        part.name: number for number, one in enumerate(rig.control_parts) for part in one.branches
    }
    waiting: list[Placed] = []
    for one in found:
        together = waiting and groups.get(one.part.name, -1) == groups.get(waiting[0].part.name, -2)
        if waiting and not together:
            yield waiting
            waiting = []
        waiting.append(one)
    if waiting:
        yield waiting


@lru_cache(maxsize=256)
def branches(rig: Rig) -> tuple[Branch, ...]:
    """Every branch of the rig but the motor, whose current depends on its speed."""
    return tuple(_power(rig) + (_control(rig) if rig.has_relay else []))


@lru_cache(maxsize=256)
def points_on(rig: Rig) -> tuple[str, ...]:
    """Where a probe can go on this rig, from the battery's plus round to its minus."""
    power = ["battery+", "lug+"]
    for one in feed_of(rig):
        power += (
            ["relay.30", "relay.87", "relay.87a"]
            if one.part.kind == "relay"
            else [one.start, one.end]
        )
    control = ["relay.86", "relay.85"] if rig.has_relay else []
    for one in in_the_coils_line(rig) if rig.has_relay else ():
        if one.start != "hand.in" or rig.control_parts:
            control += [one.start, one.end]
    back = [_probed(rig, at_motor) for at_motor in (True, False)]
    link = link_of(rig)
    between = (link.end, link.start) if link else ()
    ends = ("ground", *back[1], "lug-", "battery-", *between)
    return (*power, *control, "motor+", "motor-", *back[0], *ends)


def _probed(rig: Rig, at_motor: bool) -> list[str]:
    """Test points on what breaks the minus too, in the order of the current."""
    return [point for one in minus_sides(rig, at_motor) for point in (one[1], one[0])]


def _closed(batch: Batch, switch: str, called: bool) -> Flags | bool:
    """Whether a switch is closed, circuit by circuit, with its own faults."""
    if switch == "pressure_switch":
        return called | (batch["pressure_switch.welded"] > 0)
    if switch == "float_switch":
        inverted = batch["float_switch.inverted"] > 0
        return (called ^ inverted) | (batch["float_switch.welded"] > 0)
    welded = f"{switch.removesuffix('.minus')}.welded"
    return called | (batch[welded] > 0) if welded in batch.names else called


def _contact(resistance: Array, closed: Flags | bool) -> Array:
    if closed is True:
        return resistance
    apart = np.maximum(resistance, OPEN)
    return apart if closed is False else np.where(closed, resistance, apart)


def _put(name: str, contacts: Contacts, switches: Worked) -> bool | None:
    """Whether what moves a contact closes it; None of what does not move."""
    moved = {
        "relay_contact": contacts.relay,
        "relay_contact_nc": not contacts.relay,
        "master_switch": contacts.master,
        "battery.resistance": contacts.battery,
    }
    if name in moved:
        return moved[name]
    if name in switches.calling:
        return contacts.control and name not in switches.spare
    return contacts.hand if name in switches.by_hand or name.endswith(LOAD) else None


def _resistance(batch: Batch, name: str, closed: bool | None) -> Array:
    """Resistance of one parameter with its contact put so [ohm]."""
    if name == "relay_contact":
        return _contact(batch[name], bool(closed) | (batch["relay.welded"] > 0))
    if name == "relay_contact_nc":
        return _contact(batch["relay_contact"], bool(closed) & ~(batch["relay.welded"] > 0))
    if name in ("master_switch", "battery.resistance") or name.endswith(LOAD):
        return _contact(batch[name], bool(closed))
    if closed is not None:
        return _contact(batch[name], _closed(batch, name, closed))
    if name == "main_fuse":
        return np.where(batch["main_fuse.bridged"] > 0, 1e-4, batch[name])
    if name == "coil_shunt":
        forward = batch["coil.diode_reversed"] > 0
        return np.where(forward, np.minimum(batch[name], 0.1), batch[name])
    return batch[name]


def _conductance(batch: Batch, branch: Branch, put: tuple[bool | None, ...]) -> Array:
    """Conductance of a branch with its contacts put so [S]; most are alike in every condition."""
    key = (branch.parameters, put)
    if key not in batch.kept:
        pairs = zip(branch.parameters, put, strict=True)
        ohms = reduce(add, (_resistance(batch, name, closed) for name, closed in pairs))
        batch.kept[key] = 1.0 / ohms
    found: Array = batch.kept[key]
    return found


def conductances(rig: Rig, batch: Batch, contacts: Contacts) -> dict[tuple[str, str], Array]:
    """Conductance of every branch [S], for many circuits at once."""
    network: dict[tuple[str, str], Array] = {}
    switches = worked(rig)
    for branch in branches(rig):
        put = tuple(_put(name, contacts, switches) for name in branch.parameters)
        siemens, pair = _conductance(batch, branch, put), (branch.a, branch.b)
        network[pair] = network[pair] + siemens if pair in network else siemens
    return network


def bears_on(rig: Rig, parameter: str) -> bool:
    """Whether a parameter has any part in this rig's circuit."""
    part = parameter.split(".")[0]
    if is_resistance(parameter):
        return any(parameter in branch.parameters for branch in branches(rig))
    if parameter.startswith(PREFIX):
        return parameter in extra_parameters(rig)
    if part in ("pressure_switch", "float_switch", "main_fuse", "control_fuse"):
        return any(part in branch.parameters for branch in branches(rig))
    return rig.has_relay or part not in ("relay", "coil", "control")


def touches(rig: Rig, parameters: Sequence[str]) -> bool:
    """Whether an effect on these parameters can befall a rig: it has one of the contacts, joints or
    wires that they are of; without any, one of the rest."""
    contacts = [name for name in parameters if is_resistance(name)]
    return not parameters or any(bears_on(rig, name) for name in contacts or parameters)
