"""Rigs in list form of which only a few parts matter, and the findings of one rule on them."""

from __future__ import annotations

from diagnose.circuit.rig import Rig, read_rig
from diagnose.design.check import check_rig
from diagnose.design.finding import Finding
from diagnose.design.site import site
from diagnose.documents import parse

FUSE = "fuse: {rating: 15 A, distance: 5 in}"


def rig_of(*feed: str, current: float = 10, more: str = "", kind: str = "agm") -> Rig:
    """A rig with these parts in its feed, on 8 AWG over 6 ft."""
    return read_rig(
        parse(
            f"feed: [{', '.join(f'{{{one}}}' if ':' in one else one for one in feed)}]\n"
            f"pump: {{current: {current} A}}\nbattery: {{kind: {kind}, capacity: 100 A*h}}\n"
            f"wire: {{gauge: 8 AWG, length: 6 ft}}\n{more}\n",
            "rig",
        )
    )


def found(rig: Rig, name: str, **where: float) -> list[Finding]:
    return [one for one in check_rig(rig, site(**where)) if one.id == name]  # type: ignore[arg-type]


def one(rig: Rig, name: str, **where: float) -> Finding:
    (finding,) = found(rig, name, **where)
    return finding
