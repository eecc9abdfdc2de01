"""The way of the motor's current from post to post, stretch by stretch, as plain series ohms."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property

from diagnose.circuit.network import EARTH, Branch, branches
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import CONTROL_WIRES, WIRES
from diagnose.design.site import Site

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
        """Resistance from one point of the way to a later one [ohm]."""
        names = [stretch.start for stretch in self.stretches]
        last = [stretch.end for stretch in self.stretches]
        first = names.index(start) if start in names else len(names)
        taken = self.stretches[first : last.index(end) + 1]
        return sum(stretch.ohms for stretch in taken)


def power_loop(model: Model, site: Site) -> Loop:
    """The motor's loop with the copper at the temperature of the air on this site."""
    known = {*WIRES, *JOINTS}
    ways = [branch for branch in branches(model.rig) if set(branch.parameters) <= known]
    out = _walk(ways, "battery+", "motor+")
    back = _walk(ways, "motor-", EARTH)
    stretches = [_stretch(model, site, way, JOINTS) for way in (*out, *back)]
    return Loop(tuple(_joined(stretches)))


def control_loop(model: Model, site: Site) -> Loop:
    """The coil's loop from its tap to the ground stud, the coil itself left out."""
    known = {*CONTROL_WIRES, *CONTROL}
    ways = [branch for branch in branches(model.rig) if set(branch.parameters) <= known]
    start = model.rig.control_tap
    out, back = _walk(ways, start, "relay.86"), _walk(ways, "relay.85", "ground")
    return Loop(tuple(_stretch(model, site, way, CONTROL) for way in (*out, *back)))


def _walk(ways: Collection[Branch], start: str, end: str) -> Iterator[Branch]:
    """The branches from one node to another, each node being left by one of them."""
    onward = {branch.a: branch for branch in ways}
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
    if name not in (*WIRES, *CONTROL_WIRES):
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
