"""A rig laid out for checking: its loop, its currents and its volts, by plain series arithmetic.

Currents are those of the label: what the checks print can be done again with a pocket calculator.
The circuit model proper (circuit.operate) lets the motor find its own current; it agrees with this
to some per cent, see tests/design/test_checks.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from diagnose.circuit.kinds import Part
from diagnose.circuit.label import full_load
from diagnose.circuit.model import Model
from diagnose.circuit.ratings import usual_fuse
from diagnose.circuit.rig import Rig, interpolate
from diagnose.design.ampacity import Allowed, allowed
from diagnose.design.loop import Loop, Stretch, control_loop, power_loop
from diagnose.design.protection import Guard, guards
from diagnose.design.site import Site
from diagnose.figures import Figures
from diagnose.units import gauge_text, is_metric


@dataclass(frozen=True)
class Loads:
    """The loads of one rig, all of them on, on the motor's way. One that hangs on the coil's line
    draws through its tap."""

    rig: Rig
    loop: Loop

    @property
    def amps(self) -> float:
        """What they draw together [A]."""
        return sum(one.number("current") for one in self.rig.loads)

    @cached_property
    def order(self) -> dict[str, int]:
        """The points of the motor's way by their place in it."""
        points = [self.loop.stretches[0].start]
        for stretch in self.loop.stretches:
            points += [stretch.start] if stretch.start != points[-1] else []
            points.append(stretch.end)
        return {point: place for place, point in enumerate(points)}

    def point(self, one: Part) -> str:
        """Where on the motor's way a load draws."""
        at = one.word("at")
        return at if at in self.order else self.rig.control_tap

    def behind(self, point: str) -> float:
        """Current of those that hang on a point of the feed, or behind it [A]."""
        least = self.order[point]
        return sum(
            one.number("current") for one in self.rig.loads if self.order[self.point(one)] >= least
        )

    def on(self, stretch: Stretch) -> float:
        """Their current through one stretch of the motor's way [A]: out as far as their points,
        back from the stud."""
        start = self.order[stretch.start]
        if start >= self.order["motor-"]:
            return self.amps if start >= self.order["ground"] else 0.0
        return self.behind(stretch.end)

    def volts(self) -> float:
        """Volts that they take on the motor's way [V]."""
        return sum(self.on(stretch) * stretch.ohms for stretch in self.loop.stretches)


@dataclass(frozen=True)
class Wire:
    """A wire by the size that is printed on it and its copper [mm2]."""

    gauge: str
    area: float

    @property
    def metric(self) -> bool:
        """Whether it is sold by its area."""
        return is_metric(self.gauge)


@dataclass(frozen=True)
class Plan:
    """One rig on one site."""

    model: Model
    site: Site

    @property
    def rig(self) -> Rig:
        return self.model.rig

    @property
    def figures(self) -> Figures:
        return self.model.figures

    @cached_property
    def loop(self) -> Loop:
        """The motor's way."""
        return power_loop(self.model, self.site)

    @cached_property
    def control(self) -> Loop:
        """The coil's way; only on a rig with a relay."""
        return control_loop(self.model, self.site)

    @cached_property
    def guards(self) -> tuple[Guard, ...]:
        """Fuses and breakers in the motor's line, from the battery on."""
        return guards(self.rig)

    @property
    def guard(self) -> Guard | None:
        """The one that opens first when the pump draws too much: the smallest."""
        return min(self.guards, key=lambda one: one.rating, default=None)

    @property
    def fused(self) -> float:
        """Rating of the first of them, behind which the wire lies [A]; of a rig without any, the
        one that the pump asks for."""
        usual = usual_fuse(self.running, self.figures)
        return self.guards[0].rating if self.guards else usual

    @cached_property
    def wire(self) -> Wire:
        """The thick wire, out or back, that may carry less."""
        out = Wire(self.rig.wire_gauge, self.rig.wire_area)
        back = Wire(gauge_text(self.rig.return_area), self.rig.return_area)
        both = (out, back) if self.rig.return_area else (out,)
        return min(both, key=lambda wire: self._may(wire).amps)

    def _may(self, wire: Wire) -> Allowed:
        return allowed(wire.area, self.site, self.figures, wire.metric)

    @cached_property
    def allowed(self) -> Allowed:
        """What the power wire may carry."""
        return self._may(self.wire)

    @property
    def ampacity_table(self) -> str:
        """The table that its wire follows."""
        return "metric-conductor-current" if self.wire.metric else "conductor-current"

    @property
    def back(self) -> float:
        """Length of the minus wire [m]."""
        return self.rig.return_length or self.rig.wire_length

    @property
    def one_way(self) -> float:
        """Half of the wire out and back [m]."""
        return (self.rig.wire_length + self.back) / 2

    @property
    def capacity(self) -> float:
        """Of all its batteries together [A h]."""
        return self.rig.battery_capacity * self.rig.battery_count

    @property
    def nominal(self) -> float:
        """Nominal voltage [V]."""
        return self.figures.get("nominal-voltage", "V")

    @property
    def running(self) -> float:
        """The pump's current by its label [A], or at work where the label tells of open flow."""
        return full_load(self.rig, self.figures)

    @property
    def battery_volts(self) -> float:
        """Open-circuit voltage of a well charged battery [V]."""
        return float(self.model.sound["battery.voltage"])

    @property
    def battery_ohms(self) -> float:
        """Its internal resistance [ohm]."""
        return float(self.model.sound["battery.resistance"]) * self.rig.battery_series

    @property
    def motor_ohms(self) -> float:
        """Resistance of the motor's winding [ohm]."""
        return float(self.model.sound["motor.resistance"])

    @property
    def brush_volts(self) -> float:
        """Drop of the motor's brushes [V]."""
        return float(self.model.sound["motor.brush_drop"])

    @property
    def starting(self) -> float:
        """Current at the moment of starting, which is that of a jammed pump too [A].

        Source: d.c. machine theory, (V - brushes) / R of the whole way.
        """
        ohms = self.battery_ohms + self.loop.ohms + self.motor_ohms
        left = self.battery_volts - self.brush_volts - self.taken(self.battery_ohms)
        return left / ohms

    @property
    def stall_at_terminals(self) -> float:
        """Starting current with rated voltage at the motor itself [A]."""
        rated = self.figures.get("motor-rated-voltage", "V")
        return (rated - self.brush_volts) / self.motor_ohms

    @property
    def coil_current(self) -> float:
        """Current of the relay's coil [A]; 0 on a rig without one."""
        return self.battery_volts / self.rig.relay_coil if self.rig.has_relay else 0.0

    @property
    def drawn(self) -> float:
        """What pump, coil and loads draw together [A]."""
        return self.running + self.coil_current + self.loads.amps

    @cached_property
    def loads(self) -> Loads:
        """What else hangs on the wires."""
        return Loads(self.rig, self.loop)

    def through(self, point: str) -> float:
        """Current of the running pump, and of all that hangs on a point of the feed or behind it
        [A]."""
        return self.running + self.loads.behind(point)

    def taken(self, battery_ohms: float) -> float:
        """Volts that the loads take from the pump, battery included [V]."""
        return self.loads.volts() + self.loads.amps * battery_ohms

    def lost(self, stretch: Stretch) -> float:
        """Volts lost on one stretch of the way while the pump runs [V]."""
        return (self.running + self.loads.on(stretch)) * stretch.ohms

    def motor_volts(self, source: float, battery_ohms: float) -> float:
        """Voltage at the running motor [V] behind a battery of `source` [V] and `battery_ohms`."""
        lost = self.running * (battery_ohms + self.loop.ohms)
        return source - lost - self.taken(battery_ohms)

    def rested(self, charge: float) -> float:
        """Voltage of this kind of battery, rested, at a charge from 0 to 1 [V].

        Source: figure table battery-open-circuit.
        """
        table = self.figures.table("battery-open-circuit")
        return interpolate(charge, table.column("charge"), table.column(self.rig.battery_kind))

    def battery_ohms_at(self, charge: float) -> float:
        """Internal resistance at a charge from 0 to 1 [ohm]: a straight line from the full to the
        flat battery. Source: figure flat-battery-resistance."""
        flat = self.figures.get("flat-battery-resistance")
        return self.battery_ohms * (flat + (1 - flat) * charge)

    def source(self, name: str) -> str:
        """Where a figure or table comes from: its key in knowledge/sources.yaml."""
        values, tables = self.figures.values, self.figures.tables
        return values[name].source if name in values else tables[name].source
