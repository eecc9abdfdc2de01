"""A rig: one pump circuit as its owner describes it in a rig file."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnose.circuit.form import Field
from diagnose.circuit.kinds import Part
from diagnose.circuit.listing import Listing, listed
from diagnose.circuit.ratings import usual_fuse
from diagnose.circuit.rig_reader import Reader
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, UnknownName, nearest
from diagnose.figures import Figures, knowledge_folder, shipped_figures
from diagnose.units import is_metric

PSI, GAL_PER_MIN = 6894.757293168, 3.785411784e-3 / 60
"""Pascals in a psi; cubic metres a second in a US gallon a minute."""

TOPOLOGIES = ("direct", "relay")
CONTROLS = ("pressure_switch", "float_switch", "manual")
TAPS = ("lug+", "fuse.out", "master.out")
PUMP_AT = ("cut-out", "working", "open")
"""Where a label's current is read: as the switch cuts out, at work, or with nothing to lift."""

USES = ("pressure-system", "spraying", "transfer", "drain")
"""What a rig is for: taps under pressure, spraying, filling or emptying a tank, keeping dry."""

PUMP_KINDS = ("diaphragm", "impeller")
CHARGING = ("none", "alternator", "vehicle", "solar", "mains")
"""What may be on the battery while somebody measures."""

WATER: dict[str, tuple[str, ...]] = {
    "supply": ("below", "above"),
    "strainer": (),
    "check_valve": (),
    "reel": (),
    "accumulator": (),
    "return_valve": (),
    "filter": (),
    "regulator": (),
    "heater": (),
    "relief_valve": (),
    "outlet": ("nozzle", "open"),
}
"""What a rig file can tell of the water's way: the words that may stand there, or yes and no."""

BATTERY_KINDS = ("agm", "gel", "flooded", "lithium")


@dataclass(frozen=True)
class Rig:
    """What is known of one rig. SI units; `assumed` names the keys that took a default.

    pump_current [A], pump_pressure [Pa] and pump_flow [m3/s] as the label has them, read at
    pump_at (see label.py), wire_area [mm2], wire_length one way
    [m], main_fuse_rating [A], main_fuse_distance [m], control_fuse_rating [A], relay_contact [A],
    relay_coil [ohm], battery_capacity [A h], switch_rating [A] of the contact that calls the pump,
    None if not told; feed, control_parts, loads: the parts as a file lists them, none of a rig that
    is described in short; water: what is told of the water's way, as sorted pairs; return_length,
    return_area of the minus wire [m, mm2], 0 where it is like the other; battery_count in parallel,
    or battery_series one behind the other, of battery_volts each [V].
    """

    name: str
    topology: str
    control: str
    remote: bool
    control_tap: str
    pump_current: float
    pump_pressure: float
    pump_flow: float
    pump_at: str
    wire_gauge: str
    wire_area: float
    wire_length: float
    main_fuse_rating: float
    main_fuse_distance: float
    control_fuse_rating: float
    relay_contact: float
    relay_coil: float
    battery_kind: str
    battery_capacity: float
    switch_rating: float | None = None
    assumed: tuple[str, ...] = ()
    use: str = ""
    battery_count: int = 1
    charging: tuple[str, ...] = ()
    pump_kind: str = "diaphragm"
    water: tuple[tuple[str, str], ...] = ()
    feed: tuple[Part, ...] = ()
    control_parts: tuple[Part, ...] = ()
    loads: tuple[Part, ...] = ()
    return_length: float = 0.0
    return_area: float = 0.0
    battery_volts: float = field(default=12.0, repr=False)
    battery_series: int = field(default=1, repr=False)
    """These are not in its words, which a drill is drawn from: drills keep their numbers."""

    @property
    def times_12(self) -> float:
        """The voltage of the system over 12 V, for which the figures of the trade are written."""
        return self.battery_volts * self.battery_series / 12.0

    @property
    def first_protection(self) -> str:
        """What opens first on the way from the battery: fuse, breaker, automatic-breaker, none."""
        if not self.feed:
            return "fuse"
        for part in self.feed:
            if part.kind == "breaker":
                return "breaker" if part.word("reset") == "manual" else "automatic-breaker"
            if part.kind == "fuse":
                return "fuse"
        return "none"

    @property
    def has_control_fuse(self) -> bool:
        """Whether the coil's line has a fuse of its own."""
        return not self.feed or any(part.kind == "fuse" for part in self.control_parts)

    @property
    def float_closes(self) -> str:
        """At which level its float switch closes: low fills a tank, high empties one."""
        for part in (*self.feed, *self.control_parts):
            for one in part.branches or (part,):
                if one.kind == "float_switch":
                    return one.word("closes")
        return "high" if self.use == "drain" else "low"

    @property
    def has_relay(self) -> bool:
        return self.topology == "relay"

    @property
    def metric_wire(self) -> bool:
        """Whether the power wire is sold by its area, and not by an American gauge."""
        return is_metric(self.wire_gauge)


def interpolate(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Straight line between the points of a table; held at its ends."""
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    i = bisect_left(xs, x)
    share = (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[i - 1] + share * (ys[i] - ys[i - 1])


def _per_pump(figures: Figures, current: float, column: str) -> float:
    table = figures.table("pump-class")
    return interpolate(current, table.column("current"), table.column(column))


def read_rig(document: Section, figures: Figures | None = None) -> Rig:
    """A Rig from an opened rig file. Raises Mistakes with every problem of the file at once."""
    rig = rig_in(document, figures)
    document.finish()
    return rig


def rig_in(document: Section, figures: Figures | None = None) -> Rig:
    """A Rig from a part of some larger document, which the caller finishes."""
    figures = figures or shipped_figures()
    read = Reader(document, figures)
    batteries, figures = read.batteries(), read.figures
    pump = document.section("pump")
    current = read.needed(pump, read.form["pump.current"])
    read.usual = lambda field: usual(field, figures, current)
    gauge, area = read.gauge()
    made = _listed(document, read) if document.has("feed") else _short(read)
    return Rig(
        name=read.name("unnamed rig"),
        pump_current=current,
        pump_pressure=read.quantity("pump.pressure"),
        pump_flow=read.quantity("pump.flow"),
        pump_at=read.word("pump.at"),
        pump_kind=read.word("pump.kind"),
        wire_gauge=gauge,
        wire_area=area,
        wire_length=read.quantity("wire.length"),
        battery_kind=read.choice("battery.kind"),
        battery_capacity=read.quantity("battery.capacity"),
        charging=read.words("charging"),
        water=read.water(),
        switch_rating=_switch_rating(document, read),
        assumed=tuple(name for name in read.assumed if _matters(name, made["topology"])),
        use=read.word("use"),
        **batteries,
        **made,
    )


def usual(of: Field, figures: Figures, current: float = 0.0) -> float:
    """What a quantity is where nobody says it [SI], for a pump of `current` [A]."""
    if of.usual_from:
        return USUAL_FROM[of.usual_from](current, figures)
    return of.usual_si * figures.times_12**of.per_12


def _middling(_: float, figures: Figures) -> float:
    """The pump of middling size in the table of pumps [A]."""
    currents = figures.table("pump-class").column("current")
    return currents[(len(currents) - 1) // 2]


USUAL_FROM: Mapping[str, Callable[[float, Figures], float]] = {
    "fuse-for-current": usual_fuse,
    "pressure-for-current": lambda current, of: PSI * _per_pump(of, current, "pressure"),
    "flow-for-current": lambda current, of: GAL_PER_MIN * _per_pump(of, current, "flow"),
    "middling-current": _middling,
}
"""How a usual value follows from the pump's current, by its name in the form."""


def _short(read: Reader) -> dict[str, Any]:
    """The circuit of a rig that is described in short."""
    topology = read.document.choice("topology", TOPOLOGIES)
    return {
        "topology": topology,
        "control": read.choice("control"),
        "remote": _remote(read.document, topology),
        "control_tap": read.choice("control_tap"),
        "main_fuse_rating": read.quantity("main_fuse.rating"),
        "main_fuse_distance": read.quantity("main_fuse.distance"),
        "control_fuse_rating": read.quantity("control_fuse.rating"),
        "relay_contact": read.quantity("relay.contact"),
        "relay_coil": read.quantity("relay.coil"),
    }


def _listed(document: Section, read: Reader) -> dict[str, Any]:
    """The circuit of a rig whose parts are listed."""
    found = listed(Listing(read))
    back = document.section("return", default=None)
    wire = back.section("wire", default=None) if back else None
    if back is not None:
        back.choice("ground", tuple(read.form["return.ground"].options), default="stud")
    if wire is None:
        return found
    length = read.needed(wire, read.form["wire.length"]) if wire.has("length") else 0.0
    area = read.area(wire)[1] if wire.has("gauge") else 0.0
    return {**found, "return_length": length, "return_area": area}


def _switch_rating(document: Section, read: Reader) -> float | None:
    switch = document.section("switch", default=None)
    return read.needed(switch, read.form["switch.contact"]) if switch else None


def _remote(document: Section, topology: str) -> bool:
    remote = document.flag("remote", default=False)
    if remote and topology == "direct":
        place = document.place_of("remote")
        document.problem(
            BadDocument("a remote receiver needs topology: relay; it cannot carry a pump.", place)
        )
    return remote


def _matters(key: str, topology: str) -> bool:
    """A direct rig has no relay circuit, so nothing of it is leaned on."""
    return topology == "relay" or not key.startswith(("control_tap", "control_fuse", "relay"))


def bundled_rigs() -> tuple[str, ...]:
    """Names of the rigs that come with the program."""
    return tuple(sorted(path.stem for path in (knowledge_folder() / "rigs").glob("*.yaml")))


def open_rig(name: str) -> Rig:
    """The rig of a file path or of a bundled name. Raises DiagnoseError."""
    bundled = knowledge_folder() / "rigs" / f"{name}.yaml"
    try:
        there = Path(name).is_file()
    except OSError:  # no file can be called that; `load` says so
        there = False
    path = bundled if not there and name in bundled_rigs() else Path(name)
    return read_rig(load(path))


def rig_called(name: str) -> Rig:
    """The same for a name that somebody typed: where it looks like no file, it is meant as the
    name of a bundled rig. Raises DiagnoseError."""
    try:
        known = Path(name).exists() or name in bundled_rigs()
    except OSError:
        known = False
    if not known and not Path(name).suffix:
        raise UnknownName("rig", name, None, nearest(name, bundled_rigs()), bundled_rigs())
    return open_rig(name)
