"""What hangs on the pump's wires besides the pump, and what it takes from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from diagnose.circuit.kinds import Part
from diagnose.circuit.rig import Rig
from diagnose.design.loop import Loop, Stretch


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
