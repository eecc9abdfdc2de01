"""A rig laid out for checking: its loop, its currents and its volts, by plain series arithmetic.

Currents are those of the label: what the checks print can be done again with a pocket calculator.
The circuit model proper (circuit.operate) lets the motor find its own current; it agrees with this
to some per cent, see tests/design/test_checks.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from diagnose.circuit.label import full_load
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import Rig, interpolate
from diagnose.design.ampacity import Allowed, allowed
from diagnose.design.loop import Loop, control_loop, power_loop
from diagnose.design.site import Site
from diagnose.figures import Figures


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
    def allowed(self) -> Allowed:
        """What the power wire may carry."""
        return allowed(self.rig.wire_area, self.site, self.figures, self.rig.metric_wire)

    @property
    def ampacity_table(self) -> str:
        """The table that its wire follows."""
        return "metric-conductor-current" if self.rig.metric_wire else "conductor-current"

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
        return float(self.model.sound["battery.resistance"])

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
        return (self.battery_volts - self.brush_volts) / ohms

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
        """What pump and coil draw together [A]."""
        return self.running + self.coil_current

    def motor_volts(self, source: float, battery_ohms: float) -> float:
        """Voltage at the running motor [V] behind a battery of `source` [V] and `battery_ohms`."""
        return source - self.running * (battery_ohms + self.loop.ohms)

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
