"""The electrical parts of a rig: a lead-acid battery, blade fuses, the coil of a relay.

The battery has volts by charge, resistance by charge, cold and age, and sags by the minute. A fuse
is a small body that warms by the square of its current until it melts. A relay pulls in and lets go
by the temperature of its coil, and chatters, stepped in time.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import exp, inf, log, log10

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


def copper(degrees: float) -> float:
    """Resistance of copper over that at 20 degC (IEC 60028)."""
    return 1 + 0.00393 * (degrees - 20)


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


HOT = ((25.0, 1.0), (65.0, 0.9), (85.0, 0.8), (110.0, 0.7))
"""Share of its rating that it carries in hot surroundings [degC]; published curves, from memory."""


@dataclass
class Fuse:
    """least: current that melts it at last, over its rating; slow: time constant [s]."""

    rating: float
    least: float = 1.25
    slow: float = 1.6
    tired: float = 1.0
    bridged: bool = False
    open: bool = False

    @property
    def ohms(self) -> float:
        """Resistance: about 0.1 V at its rating (published cold resistances and drops)."""
        if self.open:
            return inf
        return 2e-4 if self.bridged else 0.1 / self.rating

    def seconds(self, amps: float, around: float = 25.0) -> float:
        """Time until it opens at a steady current."""
        if self.bridged:
            return inf
        melts = self.rating * self.least * self.tired * _share(around)
        share = (melts / max(abs(amps), 1e-9)) ** 2
        return -self.slow * log(1 - share) if share < 1 else inf

    def weary(self, amps: float, around: float = 25.0) -> bool:
        """Whether it works so close to its end that it tires in days."""
        melts = self.rating * self.least * self.tired * _share(around)
        return not self.bridged and abs(amps) > 0.82 * melts


def _share(around: float) -> float:
    for (low, a), (high, b) in pairwise(HOT):
        if around <= high:
            return a + (b - a) * max(around - low, 0.0) / (high - low)
    return max(0.7 - 0.008 * (around - 110), 0.3)


STEP, LAST = 0.002, 1.0
"""Step and length of the watch on a relay that cannot make up its mind [s]."""

PULLS, LETS_GO = 0.010, 0.006
"""Time for the armature to come and to go [s]; measured relays take 8 and some, common practice."""

RUN_UP = 0.06
"""Time constant in which the motor comes up to speed [s]; inrush lasts 30 to 200 ms (memory)."""


@dataclass
class Coil:
    """ohms: at 20 degC; pull, drop: volts at 20 degC; warm: rise of the coil [K]."""

    ohms: float
    pull: float
    drop: float
    warm: float = 0.0
    air: float = 20.0
    diode: bool = False
    diode_wrong: bool = False

    @property
    def hotter(self) -> float:
        return copper(self.air + self.warm)

    @property
    def now(self) -> float:
        """Resistance as warm as it is [ohm]."""
        return self.ohms * self.hotter

    @property
    def pulls_at(self) -> float:
        return self.pull * self.hotter

    @property
    def drops_at(self) -> float:
        return self.drop * self.hotter


@dataclass(frozen=True)
class Habit:
    """What a relay does: share of the time that it is in, and how often it changes a second."""

    inside: float
    changes: float

    @property
    def chatters(self) -> bool:
        return self.changes >= 4


def watch_armature(
    coil: Coil,
    out_volts: float,
    in_volts: Callable[[float], float],
    loss: Callable[[float], float],
) -> Habit:
    """Watch the armature for a second.

    in_volts: at the coil while the contact is made, by how far the motor has come up to speed (0
    standing, 1 there); loss: how that share changes a second while fed, negative when it stands.
    """
    up, t, inside, waited, changes, spent = 0.0, 0.0, False, 0.0, 0, 0.0
    while t < LAST:
        volts = abs(in_volts(up)) if inside else abs(out_volts)
        wants = volts >= (coil.drops_at if inside else coil.pulls_at)
        waited = 0.0 if wants == inside else waited + STEP
        if waited >= (LETS_GO if inside else PULLS):
            inside, waited, changes = not inside, 0.0, changes + 1
        up = up + loss(up) * STEP if inside else up * (1 - STEP / (2 * RUN_UP))
        spent += STEP * inside
        t += STEP
    return Habit(spent / LAST if changes >= 4 else float(inside), changes / LAST)
