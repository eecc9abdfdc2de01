"""The way of the motor's current from post to post, stretch by stretch, as plain series ohms."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property

from diagnose.circuit.model import Model
from diagnose.circuit.network import EARTH, Branch, branches
from diagnose.circuit.parameters import CONTROL_WIRES, WIRES, family
from diagnose.circuit.parts import Placed, control_of, feed_of, feed_wires
from diagnose.circuit.rig import Rig
from diagnose.design.site import Site
from diagnose.design.wording import called

JOINTS = {
    "terminal_positive": "post and lug",
    "fuse_holder": "holder",
    "main_fuse": "main fuse",
    "master_switch": "master switch",
    "relay_socket": "socket",
    "relay_contact": "contact",
    "pressure_switch": "pressure switch",
    "float_switch": "float switch",
    "terminal_negative": "post and lug",
}
"""What lies in the motor's current besides wire."""

CONTROL = {
    "control_fuse_holder": "holder",
    "control_fuse": "control fuse",
    "remote_output": "receiver",
    "pressure_switch": "pressure switch",
    "float_switch": "float switch",
    "hand_switch": "hand switch",
}
"""What lies in the coil's current besides wire."""


@dataclass(frozen=True)
class Stretch:
    """From one test point to the next. parts: what lies between, in words; wire: whether it is
    wire; ohms: its resistance [ohm]."""

    start: str
    end: str
    parts: str
    wire: bool
    ohms: float


@dataclass(frozen=True)
class Loop:
    """Every stretch from battery+ to motor+ and from motor- to battery-, in order."""

    stretches: tuple[Stretch, ...]

    @cached_property
    def ohms(self) -> float:
        """Resistance of the whole way, motor and battery left out [ohm]."""
        return sum(stretch.ohms for stretch in self.stretches)

    @cached_property
    def wires(self) -> float:
        """Resistance of its wires alone [ohm]."""
        return sum(stretch.ohms for stretch in self.stretches if stretch.wire)

    def between(self, start: str, end: str) -> float:
        """Resistance from one point of the way to a later one [ohm]; 0 from a point to itself."""
        return sum(stretch.ohms for stretch in self.span(start, end))

    def span(self, start: str, end: str) -> tuple[Stretch, ...]:
        """The stretches from one point of the way to a later one; none from a point to itself."""
        names = [stretch.start for stretch in self.stretches]
        last = [stretch.end for stretch in self.stretches]
        first = names.index(start) if start in names else len(names)
        return self.stretches[first : last.index(end) + 1] if end in last else ()


def power_loop(model: Model, site: Site) -> Loop:
    """The motor's loop with the copper at the temperature of the air on this site."""
    words = _in_feed(model.rig)
    known = {*WIRES, *feed_wires(model.rig), "return_3", *words}
    ways = [branch for branch in branches(model.rig) if set(branch.parameters) <= known]
    out = _walk(ways, "battery+", "motor+")
    back = _walk(ways, "motor-", EARTH)
    stretches = [_stretch(model, site, way, words) for way in (*out, *back)]
    return Loop(tuple(_joined(stretches)))


def _in_feed(rig: Rig) -> dict[str, str]:
    """What lies in the motor's current besides wire, as the rig lists it."""
    found = dict(JOINTS)
    for one in feed_of(rig):
        found |= _of_part(one)
        if one.part.kind == "breaker" and "main_fuse" in one.parameters:
            found["main_fuse"] = called(one)
        if one.minus:
            found[one.minus[2]] = f"{called(one)}, minus"
    return found


def _of_part(one: Placed) -> dict[str, str]:
    """Words for the parameters that are named after a part."""
    own = [name for name in one.parameters if name.startswith(one.part.parameter())]
    holder = one.part.parameter("holder")
    return {name: "holder" if name == holder else called(one) for name in own}


def control_loop(model: Model, site: Site) -> Loop:
    """The coil's loop from its tap to the ground stud, the coil itself left out; of switches side
    by side the first one."""
    words = dict(CONTROL)
    for one in control_of(model.rig):
        words |= _of_part(one)
    known = {*CONTROL_WIRES, *words}
    ways = [branch for branch in branches(model.rig) if set(branch.parameters) <= known]
    start = model.rig.control_tap
    out, back = _walk(ways, start, "relay.86"), _walk(ways, "relay.85", "ground")
    return Loop(tuple(_stretch(model, site, way, words) for way in (*out, *back)))


def _walk(ways: Collection[Branch], start: str, end: str) -> Iterator[Branch]:
    """The branches from one node to another, each node being left by one of them."""
    onward: dict[str, Branch] = {}
    for branch in ways:
        onward.setdefault(branch.a, branch)
    while start != end:
        branch = onward[start]
        yield branch
        start = branch.b


def _stretch(model: Model, site: Site, way: Branch, words: dict[str, str]) -> Stretch:
    names = [words[name] for name in way.parameters if name in words]
    ohms = sum(_ohms(model, site, name) for name in way.parameters)
    return Stretch(way.a, way.b, ", ".join(names) or "wire", not names, ohms)


def _ohms(model: Model, site: Site, name: str) -> float:
    """Resistance of one part, wire brought from the model's temperature to that of the site."""
    ohms = float(model.sound[name])
    if family(name) not in (*WIRES, *CONTROL_WIRES):
        return ohms
    alpha = model.figures.get("copper-temperature-coefficient", "K^-1")
    ambient = model.figures.get("ambient-temperature", "degC")
    return ohms * (1 + alpha * (site.air - 20)) / (1 + alpha * (ambient - 20))


def _joined(stretches: list[Stretch]) -> Iterator[Stretch]:
    """Two stretches that meet inside a part, where no probe goes, as one."""
    waiting: Stretch | None = None
    for stretch in stretches:
        if waiting is not None:
            parts = f"{waiting.parts}, {stretch.parts}"
            stretch = Stretch(waiting.start, stretch.end, parts, False, waiting.ohms + stretch.ohms)
        waiting = stretch if stretch.end == "blade" else None
        if waiting is None:
            yield stretch
