"""What to fit for a pump's current over a length of wire, before there is any rig."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.circuit.ratings import least_fuse, usual_fuse
from diagnose.design.ampacity import smallest_for
from diagnose.design.site import Site
from diagnose.design.sizing import Choice, Size, Sizes, choose
from diagnose.design.wording import FOOT, brief
from diagnose.figures import Figures

LENGTHS = (5, 10, 15, 20, 25, 30, 40, 50)
"""Lengths one way [ft] for which wire is listed beside the one that was asked for."""


@dataclass(frozen=True)
class Row:
    """Wire for one length: for the good drop and for the largest. protected: the thinnest that its
    fuse protects, whatever the length."""

    good: Choice
    most: Choice
    protected: Sizes

    def offered(self, choice: Choice) -> Sizes:
        """The thinnest with copper enough for the drop that the fuse protects too."""
        return both(choice.sizes, self.protected)


@dataclass(frozen=True)
class Recommendation:
    """For one current. rows: by length, the one asked for first; fuses: least and usual rating [A];
    contact: rating of a relay's contact [A]."""

    current: float
    rows: tuple[Row, ...]
    fuses: tuple[float, float]
    contact: float

    @property
    def protected(self) -> Sizes:
        """The thinnest wire that the usual fuse protects on this site, whatever the length."""
        return self.rows[0].protected

    @property
    def wire(self) -> Sizes:
        """Wire for the length asked for: good for 3 %, and protected by the fuse."""
        return self.rows[0].offered(self.rows[0].good)

    @property
    def missing(self) -> str:
        """Why there is no wire for it and what to change; empty when there is some."""
        if any(self.wire):
            return ""
        if not any(self.protected):
            return (
                f"No wire of the tables may carry what a {brief(self.fuses[1])} A fuse lets pass, "
                "as it lies here. Take insulation of a higher class, lay it where the air is "
                "cooler, or with fewer others in its bundle; or share the load between two pumps, "
                "each with its own wire and fuse."
            )
        return (
            "No wire of the tables keeps this length within 3 %. Shorten the way, or bring a "
            "battery nearer to the pump."
        )


def both(some: Sizes, others: Sizes) -> Sizes:
    """Of either kind the size that does for both."""
    return thicker(some[0], others[0]), thicker(some[1], others[1])


def thicker(one: Size | None, other: Size | None) -> Size | None:
    """The thicker of two sizes; None when either could not be had."""
    return max(one, other, key=lambda size: size.area) if one and other else None


def contact_for(current: float, figures: Figures) -> float:
    """The usual contact rating [A] of a relay for this running current, with room for the start."""
    running = figures.get("relay-contact-over-running") * current
    stall = figures.get("relay-contact-over-stall") * figures.get("motor-stall-ratio") * current
    steps = figures.table("relay-contact-steps").column("rating")
    return next((one for one in steps if one >= max(running, stall)), steps[-1])


def wire_rows(
    current: float,
    lengths: Iterable[float],
    protected: Sizes,
    figures: Figures,
    nominal: float | None = None,
) -> tuple[Row, ...]:
    """Wire for `current` [A] by length one way [m], none thinner than what is protected by its
    fuse; nominal: see sizing.choose."""
    good, most = figures.get("drop-critical"), figures.get("drop-largest")
    return tuple(
        Row(
            choose(current, length, good, figures, nominal),
            choose(current, length, most, figures, nominal),
            protected,
        )
        for length in lengths
    )


def recommend(
    current: float, length: float, site: Site, figures: Figures, nominal: float | None = None
) -> Recommendation:
    """What to fit for `current` [A] and `length` one way [m]."""
    others = [feet * FOOT for feet in LENGTHS if abs(feet * FOOT - length) > 0.01]
    fuses = least_fuse(current, figures), usual_fuse(current, figures)
    protected = smallest_for(fuses[1], site, figures)
    return Recommendation(
        current=current,
        rows=wire_rows(current, [length, *others], protected, figures, nominal),
        fuses=fuses,
        contact=contact_for(current, figures),
    )
