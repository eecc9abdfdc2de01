"""A rig's switches: which call for the pump, which only let others call, which put all off."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from diagnose.circuit.parts import Placed, beside, control_of, feed_of, spares
from diagnose.circuit.rig import Rig


def control_switches(rig: Rig) -> tuple[str, ...]:
    """The parameters of the switches that call for the pump, in the order of the circuit. Beside
    one that calls by itself, what is worked by hand stays on; where nothing else calls, the remote
    does."""
    found, abreast = (*control_of(rig), *feed_of(rig)), beside(rig)
    called = [one for one in found if one.kind.calls or one.part.name in abreast]
    called = called or [one for one in found if one.part.kind == "remote"]
    by_itself = [one for one in called if one.kind.by_itself or one.part.name in abreast]
    return tuple(one.parameters[-1] for one in by_itself or called)


def in_the_coils_line(rig: Rig) -> tuple[Placed, ...]:
    """What stands in the coil's line, but for a switch in series at its end, which has no test
    points: it only enables the one that calls."""
    found = control_of(rig)
    return found[:-1] if enabling(rig) else found


def enabling(rig: Rig) -> bool:
    """Whether a hand switch at the coil only lets another switch call."""
    found = control_of(rig)
    last = found[-1] if found else None
    return last is not None and last.parameters == ("hand_switch",) and rig.control != "manual"


@dataclass(frozen=True)
class Worked:
    """The parameters of a rig's switches. calling: they open and close at a call; spare: those of
    them that are closed by hand only; by_hand: with these, beside the master switch, everything is
    put off, on a rig that lists its parts."""

    calling: frozenset[str]
    spare: frozenset[str]
    by_hand: frozenset[str]


@lru_cache(maxsize=256)
def worked(rig: Rig) -> Worked:
    """The switches of a rig."""
    calling = control_switches(rig)
    minus = [one.minus[2] for one in feed_of(rig) if one.minus and one.parameters[-1] in calling]
    listed = (*feed_of(rig), *(in_the_coils_line(rig) if rig.has_relay else ())) if rig.feed else ()
    by_hand = frozenset(one.parameters[-1] for one in listed if one.kind.by_hand)
    return Worked(frozenset((*calling, *minus)), spares(rig), by_hand)
