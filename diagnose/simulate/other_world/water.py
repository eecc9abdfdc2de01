"""The water side: a diaphragm pump, its suction, its bypass, nozzle, leak and accumulator."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

WATER, GRAVITY = 998.2, 9.80665
"""Density [kg/m3] at 20 degC and gravity [m/s2]."""

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
