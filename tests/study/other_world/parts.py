"""A rig as it is built: its parts, its paths from point to point, and how its contacts stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import inf, isfinite

import numpy as np

from diagnose.circuit.rig import Rig
from tests.study.other_world.components import Battery, Coil, Fuse
from tests.study.other_world.net import Branch
from tests.study.other_world.pump import Motor, Water

Random = np.random.Generator

Shares = Mapping[str, float]
"""Chance of each answer to an observation."""


RELAY = ("coil", "contact", "rest_contact", "socket", "shunt")
"""Paths that go with the relay when it is pulled out of its socket."""


@dataclass(frozen=True)
class Path:
    a: str
    b: str
    ohms: float


@dataclass(frozen=True)
class Loose:
    """A path that makes and breaks. bad: ohms while it does not make; share: of the time that it
    makes; quick: it flutters as the pump shakes, or else stays as it is for a while."""

    path: str
    bad: float
    share: float
    quick: bool


@dataclass
class Works:
    """One rig. high, low: pressures at which its switch opens and closes [Pa]; amps: what its pump
    takes at work; minutes: of running before parts are felt; charger: amperes that a charging
    source gives; kelvin: how hot its parts get for the same heat; stuck: contacts that no longer
    move, "open" or "closed"; crossed: the motor's leads; trips: its cut-out opens at work; flashes:
    a short that comes and goes; signs: what its fault makes people find, by observation; spots:
    ohms of a path that sit at one place."""

    rig: Rig
    battery: Battery
    motor: Motor
    water: Water
    coil: Coil
    main: Fuse
    control: Fuse
    paths: dict[str, Path]
    high: float
    low: float
    amps: float
    air: float = 20.0
    minutes: float = 5.0
    charger: float = 0.0
    kelvin: float = 1.0
    stuck: dict[str, str] = field(default_factory=dict)
    loose: Loose | None = None
    float_upside_down: bool = False
    crossed: bool = False
    trips: bool = False
    main_flashes: bool = False
    control_flashes: bool = False
    signs: dict[str, Shares] = field(default_factory=dict)
    spots: dict[str, float] = field(default_factory=dict)

    @property
    def calls_by(self) -> str:
        """The path that calls the pump: pswitch, float, hand or master."""
        names = {"pressure_switch": "pswitch", "float_switch": "float"}
        return names.get(self.rig.control, "hand" if self.rig.has_relay else "master")

    @property
    def points(self) -> frozenset[str]:
        """Where wires end, whole or parted."""
        return frozenset(name for path in self.paths.values() for name in (path.a, path.b))

    def copy(self) -> Works:
        """The same rig, to try something on."""
        return replace(
            self,
            battery=replace(self.battery),
            motor=replace(self.motor),
            water=replace(self.water),
            coil=replace(self.coil),
            main=replace(self.main),
            control=replace(self.control),
            paths=dict(self.paths),
            stuck=dict(self.stuck),
            signs=dict(self.signs),
            spots=dict(self.spots),
        )

    def has(self, name: str) -> bool:
        return name in self.paths

    def ohms(self, name: str) -> float:
        return self.paths[name].ohms if name in self.paths else inf

    def put(self, name: str, ohms: float) -> None:
        """Give a path this resistance; a path that the rig has not is left alone."""
        if name in self.paths:
            self.paths[name] = replace(self.paths[name], ohms=ohms)

    def add(self, name: str, ohms: float) -> None:
        """A bad spot in a path."""
        if name in self.paths:
            self.put(name, self.ohms(name) + ohms)
            self.spots[name] = self.spots.get(name, 0.0) + ohms

    def cut(self, name: str) -> None:
        self.put(name, inf)

    def without(self, names: Iterable[str]) -> None:
        """Take these paths out, those that are there."""
        for name in names:
            self.paths.pop(name, None)

    def join(self, name: str, a: str, b: str, ohms: float) -> None:
        """A path that no sound rig has."""
        self.paths[name] = Path(a, b, ohms)

    def move(self, name: str, a: str | None = None, b: str | None = None) -> None:
        """Land a wire's end on another point."""
        path = self.paths[name]
        self.paths[name] = replace(path, a=a or path.a, b=b or path.b)


def closed(works: Works, name: str, condition: str, inside: bool) -> bool:
    """Whether a moving contact is closed."""
    held = works.stuck.get(name)
    if name == "contact":
        return held == "closed" or inside
    if name == "rest_contact":
        return works.stuck.get("contact") != "closed" and not inside
    wanted = condition in ("calling", "unplugged", "shut")
    if name == works.calls_by:
        if name == "float" and works.float_upside_down:
            wanted = condition == "satisfied"
        return held == "closed" or (wanted and held != "open")
    if name == "master":
        return condition != "rest"
    return True


def branches(works: Works, condition: str, inside: bool, bad: bool = False) -> dict[str, Branch]:
    """The paths that conduct, by name. bad: the loose one is parted just now."""
    found = {}
    for name, path in works.paths.items():
        ohms = path.ohms
        if name == "main_fuse":
            ohms = works.main.ohms
        elif name == "control_fuse":
            ohms = works.control.ohms
        elif name == "coil":
            ohms = _coil(works, path.ohms)
        if bad and works.loose and name == works.loose.path:
            ohms = max(ohms, works.loose.bad)
        if isfinite(ohms) and closed(works, name, condition, inside):
            found[name] = Branch(path.a, path.b, ohms)
    return found


def _coil(works: Works, ohms: float) -> float:
    """The coil as warm as it is; a diode the wrong way round conducts beside it."""
    if not isfinite(ohms):
        return ohms
    coil = works.coil
    forward = coil.diode and coil.diode_wrong != works.battery.reversed
    return 0.1 if forward else coil.now
