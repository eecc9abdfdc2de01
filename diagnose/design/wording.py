"""Numbers in the findings: enough digits to do the sums again, and no more."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.units import show_quantity

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
