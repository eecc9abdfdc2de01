"""The ratings that fuses and breakers come in, and the one that suits a current."""

from __future__ import annotations

from diagnose.figures import Figures, shipped_figures


def fuse_ratings(figures: Figures) -> tuple[float, ...]:
    """Usual ratings of blade and bolted fuses [A], from small to large."""
    tables = ("blade-fuse-ratings", "large-fuse-ratings")
    return tuple(rating for name in tables for rating in figures.table(name).column("rating"))


def next_fuse(amps: float, figures: Figures) -> float:
    """The fuse rating at or next above `amps` [A]; the largest of the usual ones at the most."""
    ratings = fuse_ratings(figures)
    return next((rating for rating in ratings if rating >= amps - 1e-9), ratings[-1])


def least_fuse(current: float, figures: Figures) -> float:
    """Smallest fuse rating [A] for a pump that runs for minutes at a time."""
    return next_fuse(figures.get("fuse-over-running-least") * current, figures)


def usual_fuse(current: float, figures: Figures | None = None) -> float:
    """Fuse rating [A] for the same current without end."""
    figures = figures or shipped_figures()
    return next_fuse(figures.get("fuse-over-running-continuous") * current, figures)
