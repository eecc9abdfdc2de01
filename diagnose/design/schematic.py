"""A rig's circuit as a drawing sees it: test points in order, and the parts between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from typing import TypeAlias

from diagnose.circuit.kinds import Part as Listed
from diagnose.circuit.network import points_on
from diagnose.circuit.parts import Placed, control_of, feed_of, link_of, minus_sides
from diagnose.circuit.rig import Rig
from diagnose.design.wording import brief, called
from diagnose.errors import harmless

LABELS = {
    "fuse": ("rating", "A"),
    "breaker": ("rating", "A"),
    "plug": ("rating", "A"),
    "controller": ("rating", "A"),
    "low_voltage_cutout": ("opens", "V"),
}
"""By kind the value that stands in its sign, and its unit."""


@dataclass(frozen=True)
class Part:
    """kind: battery, fuse, breaker, plug, box, switch, contact, coil, motor or load; label: what
    stands in its sign; note: what stands beside it."""

    kind: str
    label: str
    note: str = ""


@dataclass(frozen=True)
class Beside:
    """Between two points of switches side by side. word: either, where the line parts, or or,
    where no line runs."""

    word: str

    @property
    def joined(self) -> bool:
        """Whether a line runs here."""
        return self.word == EITHER


EITHER, OR = "either", "or"

Chain: TypeAlias = tuple[str | Part | Beside, ...]
"""Test points (by name) and parts in the order of the current; between two points runs wire."""


@dataclass(frozen=True)
class Schematic:
    """battery: all of it in one; supply: from its plus post to its minus post; feed: from the
    battery's lug to the motor; motor: with both its points; control: from the tap
    to the coil's ground side, empty on a direct rig; wire: size of the thick wire; returns: from
    the stud to the battery; loads: by the point that they hang on."""

    battery: Part
    supply: Chain
    feed: Chain
    motor: Chain
    control: Chain
    tap: str
    wire: str
    returns: Chain = ("ground", "lug-")
    loads: Mapping[str, tuple[Part, ...]] = field(default_factory=dict)


def schematic(rig: Rig) -> Schematic:
    """The circuit of one rig."""
    return Schematic(
        _battery(rig),
        tuple(_supply(rig)),
        ("lug+", *(item for one in feed_of(rig) for item in _stretch(rig, one))),
        ("motor+", Part("motor", "M", f"pump {brief(rig.pump_current)} A"), "motor-"),
        tuple(_control(rig)) if rig.has_relay else (),
        rig.control_tap,
        harmless(rig.wire_gauge, 16),
        (*_minus(rig, at_motor=True), "ground", *_minus(rig, at_motor=False), "lug-"),
        _loads(rig),
    )


def _battery(rig: Rig, together: int = 0) -> Part:
    """All batteries as one, or so many of them."""
    count = together or rig.battery_count * rig.battery_series
    volts = rig.battery_volts * (1 if together else rig.battery_series)
    several = "" if count == 1 else f"{count} x "
    note = f"{rig.battery_kind} {several}{brief(rig.battery_capacity)} A h"
    return Part("battery", f"{brief(volts)} V", note)


def _supply(rig: Rig) -> Iterator[str | Part]:
    """From the plus post to the minus post, through what joins two batteries in series."""
    link = link_of(rig)
    yield "battery+"
    if link:
        yield from (_battery(rig, 1), link.end, Part("plug", "link", ""), link.start)
    yield from (_battery(rig, 1) if link else _battery(rig), "battery-")


def points_in(chain: Chain) -> tuple[str, ...]:
    """The test points of a chain, in its order."""
    return tuple(item for item in chain if isinstance(item, str))


def _stretch(rig: Rig, one: Placed) -> Chain:
    """One part of the feed or of the control between its points."""
    return one.start, _sign(rig, one), one.end


def _minus(rig: Rig, at_motor: bool) -> Iterator[str | Part]:
    """What breaks the minus too, between motor and stud or between stud and battery."""
    placed = {one.minus: one for one in feed_of(rig)}
    for minus in minus_sides(rig, at_motor):
        inner, outer, _ = minus
        sign = _sign(rig, placed[minus])
        yield from (outer, Part(sign.kind, sign.label, f"{sign.note}, minus"), inner)


def _sign(rig: Rig, one: Placed) -> Part:
    """The sign of a part, with its rating and what its owner calls it."""
    part = one.part
    if part.kind == "relay":
        return Part("contact", "/", f"contact {brief(rig.relay_contact)} A")
    kind = "breaker" if part.kind == "breaker" else one.kind.sign
    return Part(kind, _label(rig, one), called(one) + _told(part))


def _label(rig: Rig, one: Placed) -> str:
    """What stands in its sign: its rating, or a switch."""
    if "main_fuse" in one.parameters:
        return f"{brief(rig.main_fuse_rating)} A"
    if "control_fuse" in one.parameters:
        return f"{brief(rig.control_fuse_rating)} A"
    key, unit = LABELS.get(one.part.kind, ("", ""))
    return f"{brief(one.part.number(key))} {unit}" if key else "/"


def _told(part: Listed) -> str:
    """What else its file says of a part."""
    values = dict(part.values)
    if "closes" in values:
        return f", closes {values['closes']}"
    if values.get("reset") == "automatic":
        return ", resets by itself"
    return f" {brief(part.number('contact'))} A" if part.kind == "isolator" else ""


def _control(rig: Rig) -> Iterator[str | Part | Beside]:
    """The coil's line. A switch that only lets another one call has no points; of a rig that is
    described in short it is not drawn at all."""
    groups = {
        part.name: number for number, one in enumerate(rig.control_parts) for part in one.branches
    }
    named = points_on(rig)
    for group, some in groupby(control_of(rig), lambda one: groups.get(one.part.name, -1)):
        for number, one in enumerate(some):
            if group >= 0:
                yield Beside(OR if number else EITHER)
            if one.start in named:
                yield from _stretch(rig, one)
            elif rig.control_parts or rig.control == "manual":
                yield _sign(rig, one)
    yield from ("relay.86", Part("coil", "coil", f"{brief(rig.relay_coil)} ohm"), "relay.85")


def _loads(rig: Rig) -> dict[str, tuple[Part, ...]]:
    found: dict[str, tuple[Part, ...]] = {}
    for one in rig.loads:
        sign = Part("load", f"{brief(one.number('current'))} A", one.said)
        found[one.word("at")] = (*found.get(one.word("at"), ()), sign)
    return found
