"""A lead-acid battery: volts by charge, resistance by charge, cold and age, sag by the minute."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log10

from diagnose.circuit.rig import interpolate

CHARGES = (0.0, 0.25, 0.5, 0.75, 1.0)
RESTING = {
    "flooded": (11.89, 12.06, 12.24, 12.45, 12.65),
    "agm": (11.80, 12.00, 12.30, 12.60, 12.80),
    "gel": (11.80, 12.00, 12.35, 12.65, 12.85),
}
"""Volts at rest by charge. Flooded: a published table for 1.265 specific gravity at 80 degF; agm
and gel: general published tables, from memory."""

PAST_EMPTY = 9.0
"""Volts lost for each capacity taken beyond empty [V]; estimate."""

PER_KELVIN = 0.0012
"""Rise of the open-circuit volts [V/K]: 0.2 mV/K a cell (electrochemistry, from memory)."""

SIZES = (7.0, 20.0, 45.0, 90.0, 200.0)
NEW = {
    "flooded": (0.025, 0.014, 0.0095, 0.0065, 0.004),
    "agm": (0.023, 0.012, 0.0075, 0.0042, 0.0026),
    "gel": (0.025, 0.014, 0.0090, 0.0060, 0.0036),
}
"""Resistance when new and full [ohm] by ampere-hours: general published data, from memory; the
25 milliohm of a small one was also seen."""

PEUKERT = {"flooded": 1.22, "agm": 1.10, "gel": 1.13}
"""Exponents; ratings of real batteries work out at 1.10 to 1.28."""

CELL_LOST = 2.0
"""Volts that a dead cell takes away [V]; common practice."""

POLARISATION, MINUTES = 1.2, 2.5
"""Further resistance under load over that of the plates, and the minutes it takes; estimates."""


@dataclass
class Battery:
    """charge: 1 full, 0 empty, below it run down past empty; age: resistance over that of a new
    one; left: share of its capacity that it still has; link: a bad link between cells [ohm]; air
    [degC]; fresh: volts that the last charge left on the surface."""

    kind: str
    capacity: float
    charge: float = 0.95
    age: float = 1.0
    left: float = 1.0
    dead_cells: int = 0
    dead_ohms: float = 0.0
    link: float = 0.0
    reversed: bool = False
    air: float = 20.0
    fresh: float = 0.0

    def resting(self) -> float:
        """Volts with nothing drawn."""
        volts = interpolate(self.charge, CHARGES, RESTING[self.kind])
        volts += PAST_EMPTY * min(self.charge, 0.0) + PER_KELVIN * (self.air - 25) + self.fresh
        volts = max(volts - CELL_LOST * self.dead_cells, 2.0)
        return -volts if self.reversed else volts

    def ohms(self, minutes: float = 0.0) -> float:
        """Resistance after some minutes of load."""
        plates = interpolate(self.capacity, SIZES, NEW[self.kind]) * self.age * self.worse()
        sag = POLARISATION * (1 - exp(-minutes / MINUTES))
        return plates * (1 + sag) + self.dead_ohms + self.link

    def worse(self) -> float:
        """Resistance over that of a full, mild one: doubled when flat, half more at -18 degC."""
        have = max(self.charge, 0.0)
        empty = 1 + 0.02 / (have * have + 0.006) + 80 * max(-self.charge, 0.0)
        cold = 1 + 0.5 * max(25 - self.air, 0.0) / 43
        return empty * cold

    def charged_by(self, amps: float) -> float:
        """Volts a minute or two after so many amperes go in: each tenfold current stands a quarter
        of a volt higher (the form is Tafel's, the figures are estimates)."""
        share = max(amps / (self.capacity / 20), 0.05)
        return min(self.resting() + 0.75 + 0.25 * log10(share) + amps * self.ohms(2.0), 14.4)

    def hours(self, amps: float) -> float:
        """How long it gives so many amperes from full (Peukert, 20 h rating)."""
        capacity = self.capacity * self.left
        return float(20 * (capacity / (amps * 20)) ** PEUKERT[self.kind])

    def worked(self, amps: float, minutes: float) -> None:
        """Take what so many minutes of work take."""
        if amps > 0.01:
            self.charge -= minutes / 60 / self.hours(amps)
        self.fresh = 0.0
