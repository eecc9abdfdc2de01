"""A diaphragm pump: its motor, permanent-magnet with brushes (speed by Newton's method), and its
water side: suction, bypass, nozzle, leak and accumulator.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, sqrt

from tests.study.other_world.components import copper

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
        warm = copper(self.air + self.warm)
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


LIFT = 22 * 0.3048
"""Suction lift that a good primed pump manages at sea level [m]: 22 ft (published table)."""


@dataclass
class Water:
    """SI units. stroke: volume a radian [m3]; rated: working pressure [Pa]; chambers: share of them
    at work; slip: leak back through the valves [m3/s/Pa]; bypass: pressure at which it opens, and
    bypass_wide what it then passes [m3/s/Pa]; nozzle, leak: flow over the root of pressure; drain:
    leak back to the tank when it stands; lift [m]; drag: lift that the flow costs [m/(m3/s)2];
    air: share of air in what is drawn; supply: share of what is wanted that the tank gives;
    cushion: volume that the accumulator gives back [m3]; ripple: swing of pressure, as a share;
    coupled: 0 where the drive slips on the shaft; head_air, head_leak: the same in the pump's own
    head; most: pressure about which its switch holds it [Pa]."""

    stroke: float
    rated: float
    nozzle: float
    chambers: float = 1.0
    slip: float = 0.0
    bypass: float = 1e9
    bypass_wide: float = 0.0
    leak: float = 0.0
    drain: float = 0.0
    lift: float = 0.5
    drag: float = 0.0
    air: float = 0.0
    supply: float = 1.0
    cushion: float = 1e-4
    ripple: float = 0.05
    coupled: float = 1.0
    head_air: float = 0.0
    head_leak: float = 0.0
    most: float = 1e9

    def drawn(self, speed: float) -> float:
        """Water that is really taken in [m3/s]: cavitation, air and an empty tank limit it."""
        wish = self.stroke * speed * self.chambers * self.coupled
        air = self.air + self.head_air
        wish *= 1.0 - air if air < 0.8 else 0.0
        head = max(LIFT - self.lift, 0.0)
        most = sqrt(head / self.drag) if self.drag > 0 else wish
        return min(wish, most) * self.supply

    def pressure(self, speed: float, opened: bool) -> float:
        """Pressure at which what comes in goes out again [Pa]."""
        flow = self.drawn(speed)
        out = (self.nozzle if opened else 0.0) + self.leak + self.head_leak
        s = _root(self.slip, out, flow)
        if s * s > self.bypass:
            more = self.bypass_wide
            s = _root(self.slip + more, out, flow + more * self.bypass)
        return min(s * s, 4 * self.rated, self.most)

    def flow(self, pressure: float) -> float:
        """What comes out at the open outlet [m3/s] (square-root law)."""
        return self.nozzle * sqrt(max(pressure, 0.0))

    def seconds_to_restart(self, high: float, low: float) -> float:
        """Time from stop to start with the outlet shut [s]; infinite when nothing leaks."""
        middle = (high + low) / 2
        lost = (self.leak + self.head_leak) * sqrt(middle) + self.drain * middle
        given = self.cushion * (high - low) / self.rated + 2e-6
        return given / lost if lost > 1e-12 else float("inf")


def _root(a: float, b: float, c: float) -> float:
    """The s above zero with a s^2 + b s = c."""
    if a <= 0:
        return c / b if b > 0 else 1e6
    return (sqrt(b * b + 4 * a * c) - b) / (2 * a)
