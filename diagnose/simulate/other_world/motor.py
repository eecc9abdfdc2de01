"""A permanent-magnet motor with brushes, driving a pump: speed by Newton's method."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from diagnose.simulate.other_world.water import Water

COPPER = 0.00393
"""Rise of copper's resistance [1/K] (IEC 60028)."""

FERRITE = 0.002
"""Loss of a ferrite magnet's strength [1/K]; electrical machines texts, from memory."""

STEPS, CLOSE = 60, 1e-9

BREAKAWAY = 1.4
"""Friction at rest over friction while it turns; estimate."""


@dataclass
class Motor:
    """k: volts a rad/s, and newton metres an ampere; winding: ohm at 20 degC; brush: volts lost in
    the brushes at full current, bend: amperes at which they come to two thirds of it; film: ohms of
    brushes and commutator; rub, drag: friction [N m] and its rise with speed [N m s/rad]; push:
    torque a pascal [N m/Pa]; warm: rise of the winding [K]; dead_spot: it stands where no current
    gets in; shorted: share of its turns that are; backwards: what is left of the work that way."""

    k: float
    winding: float
    brush: float
    bend: float
    rub: float
    drag: float
    push: float
    film: float = 0.0
    warm: float = 20.0
    air: float = 20.0
    locked: bool = False
    open: bool = False
    dead_spot: bool = False
    shorted: float = 0.0
    backwards: float = 1.0

    @property
    def strength(self) -> float:
        return self.k * (1 - self.shorted) * (1 - FERRITE * self.warm)

    @property
    def ohms(self) -> float:
        """Winding as warm as it is, and film."""
        warm = 1 + COPPER * (self.air + self.warm - 20)
        return self.winding * (1 - 0.8 * self.shorted) * warm + self.film

    @property
    def braking(self) -> float:
        """Drag of turns that are shorted in themselves [N m s/rad]."""
        return self.k**2 * self.shorted / self.winding

    def brushes(self, amps: float) -> float:
        return self.brush * (1 - exp(-amps / self.bend))

    def amps(self, volts: float, outside: float, speed: float) -> float:
        """Current from so many volts behind so many ohms, at a speed (Newton)."""
        left = volts - self.strength * speed
        if left <= 0 or self.open or self.dead_spot:
            return 0.0
        ohms = self.ohms + outside
        i = left / (ohms + self.brush / self.bend)
        for _ in range(STEPS):
            slope = ohms + self.brush / self.bend * exp(-i / self.bend)
            step = (left - i * ohms - self.brushes(i)) / slope
            i = max(i + step, 0.0)
            if abs(step) < CLOSE:
                break
        return i

    def load(self, speed: float, water: Water, opened: bool) -> float:
        """Torque that friction and water ask for [N m]."""
        held = (self.drag + self.braking) * speed
        return self.rub + held + self.push * water.coupled * water.pressure(speed, opened)

    def starts(self, volts: float, outside: float, against: float) -> bool:
        """Whether it breaks away against a pressure that stands in the hose [Pa]."""
        if self.locked:
            return False
        return self.strength * self.amps(volts, outside, 0.0) > (
            BREAKAWAY * self.rub + 0.5 * self.push * against
        )

    def runs(self, volts: float, outside: float, water: Water, opened: bool) -> float:
        """Speed at which torque and load agree [rad/s]; 0 when it cannot turn (Newton, fenced)."""
        low, high = 0.0, max(volts, 0.0) / self.strength
        speed = 0.8 * high

        def spare(w: float) -> float:
            return self.strength * self.amps(volts, outside, w) - self.load(w, water, opened)

        if self.locked or high <= 0 or spare(0.0) <= 0:
            return 0.0
        for _ in range(STEPS):
            now = spare(speed)
            low, high = (speed, high) if now > 0 else (low, speed)
            if high - low < CLOSE * (1 + high) or abs(now) < 1e-12:
                break
            nudge = 1e-6 * (1 + speed)
            slope = (spare(speed + nudge) - now) / nudge
            step = speed - now / slope if slope < 0 else low
            speed = step if low < step < high else (low + high) / 2
        return speed
