"""What to fit for a pump's current over a length of wire, before there is any rig."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.design.ampacity import next_fuse, smallest_for
from diagnose.design.site import Site
from diagnose.design.sizing import Choice, Size, Sizes, choose
from diagnose.design.wording import FOOT
from diagnose.figures import Figures

LENGTHS = (5, 10, 15, 20, 25, 30, 40, 50)
"""Lengths one way [ft] for which wire is listed beside the one that was asked for."""


@dataclass(frozen=True)
class Row:
    """Wire for one length: for the good drop and for the largest."""

    good: Choice
    most: Choice


@dataclass(frozen=True)
class Recommendation:
    """For one current. rows: by length, the one asked for first; fuses: least and usual rating [A];
    protected: thinnest wire that the usual fuse protects on this site, whatever the length;
    contact: rating of a relay's contact [A]."""

    current: float
    rows: tuple[Row, ...]
    fuses: tuple[float, float]
    protected: Sizes
    contact: float

    @property
    def wire(self) -> Sizes:
        """Wire for the length asked for: good for 3 %, and protected by the fuse."""
        (gauge, metric), (least_gauge, least_metric) = self.rows[0].good.sizes, self.protected
        return thicker(gauge, least_gauge), thicker(metric, least_metric)


def thicker(one: Size | None, other: Size | None) -> Size | None:
    """The thicker of two sizes; None when either could not be had."""
    return max(one, other, key=lambda size: size.area) if one and other else None


def least_fuse(current: float, figures: Figures) -> float:
    """Smallest fuse rating [A] for a pump that runs for minutes at a time."""
    return next_fuse(figures.get("fuse-over-running-least") * current, figures)


def usual_fuse(current: float, figures: Figures) -> float:
    """Fuse rating [A] for the same current without end."""
    return next_fuse(figures.get("fuse-over-running-continuous") * current, figures)


def contact_for(current: float, figures: Figures) -> float:
    """The usual contact rating [A] of a relay for this running current, with room for the start."""
    running = figures.get("relay-contact-over-running") * current
    stall = figures.get("relay-contact-over-stall") * figures.get("motor-stall-ratio") * current
    steps = figures.table("relay-contact-steps").column("rating")
    return next((one for one in steps if one >= max(running, stall)), steps[-1])


def wire_rows(
    current: float, lengths: Iterable[float], figures: Figures, nominal: float | None = None
) -> tuple[Row, ...]:
    """Wire for `current` [A] by length one way [m]; nominal: see sizing.choose."""
    good, most = figures.get("drop-critical"), figures.get("drop-largest")
    return tuple(
        Row(
            choose(current, length, good, figures, nominal),
            choose(current, length, most, figures, nominal),
        )
        for length in lengths
    )


def recommend(
    current: float, length: float, site: Site, figures: Figures, nominal: float | None = None
) -> Recommendation:
    """What to fit for `current` [A] and `length` one way [m]."""
    others = [feet * FOOT for feet in LENGTHS if abs(feet * FOOT - length) > 0.01]
    fuses = least_fuse(current, figures), usual_fuse(current, figures)
    return Recommendation(
        current=current,
        rows=wire_rows(current, [length, *others], figures, nominal),
        fuses=fuses,
        protected=smallest_for(fuses[1], site, figures),
        contact=contact_for(current, figures),
    )
