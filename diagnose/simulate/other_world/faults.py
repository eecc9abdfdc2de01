"""Every failure mode of the vocabulary, as the trade knows it, done to a working rig.

Each has axes of its own, and a severity of any order of size from barely noticed to the end.
"""

from __future__ import annotations

from collections.abc import Callable

from diagnose.simulate.other_world.build import Random, decades
from diagnose.simulate.other_world.parts import Loose, Works

Fault = Callable[[Works, Random], None]

FAULTS: dict[str, Fault] = {}
"""What each failure mode does, by its id; filled by the modules of the parts."""


def fault(mode: str) -> Callable[[Fault], Fault]:
    """Enter a function as what a failure mode does."""

    def enter(done: Fault) -> Fault:
        FAULTS[mode] = done
        return done

    return enter


def likely(random: Random, share: float) -> bool:
    return bool(random.random() < share)


def one_of(random: Random, names: list[str]) -> str:
    return str(random.choice(names))


POWER = (0.006, 30.0)
"""A joint under the pump's current, from barely noticed to eaten away [ohm]: 6 milliohm lose 0.1 V
at 15 A, and 30 ohm pass a meter only."""

CONTROL = (8.0, 5000.0)
"""A joint under a coil's current [ohm]: 8 ohm lose a volt, 5 kilohm pass a meter only."""


def bad_joint(works: Works, random: Random, name: str) -> None:
    """A film, a crust, a burnt face: any resistance."""
    low, high = POWER if _carries_motor(works, name) else CONTROL
    works.add(name, decades(random, low, high))


def loosened(works: Works, random: Random, name: str, quick: float = 0.5) -> None:
    """A joint that makes and breaks."""
    low, high = (0.5, 1000.0) if _carries_motor(works, name) else (40.0, 5000.0)
    bad = decades(random, low, high) if likely(random, 0.4) else float("inf")
    works.signs["time-pattern"] = {"at-random-with-movement": 0.75}
    works.loose = Loose(name, bad, float(random.uniform(0.15, 0.9)), likely(random, quick))


def _carries_motor(works: Works, name: str) -> bool:
    thin = ("tap", "control", "coil", "hand", "remote")
    if works.rig.has_relay and name in ("pswitch", "float"):
        return False
    return not name.startswith(thin)
