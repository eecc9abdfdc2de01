"""The fuses and breakers in the motor's line, one after another from the battery."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.circuit.fuse import BREAKER, FUSE
from diagnose.circuit.parts import Placed, feed_of
from diagnose.circuit.rig import Rig
from diagnose.design.wording import called


@dataclass(frozen=True)
class Guard:
    """One fuse or breaker. name: what it is called; rating [A]; automatic: whether it closes again
    by itself."""

    placed: Placed
    name: str
    rating: float
    automatic: bool

    @property
    def kind(self) -> str:
        """What it is, in a word."""
        return self.placed.part.kind

    @property
    def opens(self) -> str:
        """The figure table of its opening times."""
        return BREAKER if self.kind == "breaker" else FUSE


def guards(rig: Rig) -> tuple[Guard, ...]:
    """Those of a rig, the one that is nearest to the battery first."""
    return tuple(_guard(rig, one) for one in feed_of(rig) if one.kind.protects)


def _guard(rig: Rig, one: Placed) -> Guard:
    first = "main_fuse" in one.parameters
    rating = rig.main_fuse_rating if first else one.part.number("rating")
    return Guard(one, called(one), rating, dict(one.part.values).get("reset") == "automatic")


def before_first(rig: Rig) -> tuple[Placed, ...]:
    """The parts that stand ahead of the first of them, or all on a rig without any."""
    found: list[Placed] = []
    for one in feed_of(rig):
        if one.kind.protects:
            break
        found.append(one)
    return tuple(found)
