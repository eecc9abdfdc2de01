"""A plug-in relay: pull-in and release by coil temperature, and chatter, stepped in time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

COPPER = 0.00393

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
        return 1 + COPPER * (self.air + self.warm - 20)

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


def stepped(
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
