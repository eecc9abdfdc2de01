"""Words of the findings: numbers with as many digits as the sums take, and the names of parts."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.circuit.form import shipped_form
from diagnose.circuit.kinds import Part
from diagnose.circuit.parts import Placed
from diagnose.units import show_quantity

OUTPUT = {"remote": "receiver output"}
"""What is called by the part of it that stands in the circuit."""


def called(one: Placed) -> str:
    """A part's name; the first fuse, where it has no other, is the main fuse."""
    if one.part.name == "fuse" and "main_fuse" in one.parameters:
        return "main fuse"
    return named(one.part)


def named(part: Part) -> str:
    """What its owner calls it, or its kind."""
    if part.name != part.kind:
        return part.said
    return OUTPUT.get(part.kind) or shipped_form().said(part.kind)


FOOT, INCH = 0.3048, 0.0254


def n(value: float) -> str:
    """A bare number with four figures, never as a power of ten."""
    if value == 0:
        return "0"
    if abs(value) >= 1000:
        return f"{value:.0f}"
    shown = f"{value:.4g}"
    return f"{value:.7f}".rstrip("0") if "e" in shown else shown


def q(value: float, unit: str) -> str:
    """A number as `n` has it, with its unit."""
    return f"{n(value)} {unit}".rstrip()


def shown(value: float, unit: str) -> str:
    """A quantity as a meter would show it."""
    return show_quantity(value, unit)


def per_cent(share: float) -> str:
    """A share as a percentage with one decimal."""
    return f"{100 * share:.1f} %"


def length(metres: float) -> str:
    """A length of wire in feet and metres."""
    return f"{metres / FOOT:.3g} ft ({metres:.3g} m)"


def brief(value: float) -> str:
    """A bare number with three figures, for the little room in a drawing."""
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def listed(words: Iterable[str]) -> str:
    """Words one after another, the last one after "and"."""
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last
