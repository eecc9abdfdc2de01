"""What a wire may carry where it lies: its table value, less for warm air and for neighbours."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnose.circuit.design import ampacity
from diagnose.circuit.rig import FUSE_RATINGS
from diagnose.design.site import Site
from diagnose.design.sizing import Size, Sizes, gauges, metric_sizes
from diagnose.figures import Figures


@dataclass(frozen=True)
class Allowed:
    """table: current of a single wire in free air at 30 degC [A]; warmth, bundle: factors on it."""

    table: float
    warmth: float
    bundle: float

    @property
    def amps(self) -> float:
        """The current that the wire may carry [A]."""
        return self.table * self.warmth * self.bundle


def allowed(area: float, site: Site, figures: Figures, metric: bool = False) -> Allowed:
    """The current that wire of `area` [mm2] may carry on this site; metric: sold by its area.

    Source: 33 CFR 183.425 table 5, ISO 13297 annex A; bundle factors of UL 1426.
    """
    return Allowed(
        ampacity(area, figures, site.insulation, metric),
        warmth_factor(site.insulation, site.air, figures),
        bundle_factor(site.bundle, figures),
    )


def warmth_factor(insulation: int, air: float, figures: Figures) -> float:
    """What warm air leaves of the allowable current; 1 up to 30 degC.

    Between 30 degC and the published factor at 50 degC a straight line, which lies below the law
    of heat balance; above 50 degC that law, sqrt((class - air) / (class - 50)).
    """
    base = figures.get("usual-air", "degC")
    warm = figures.get("engine-space-air", "degC")
    table = figures.table("engine-space-factor")
    published = dict(zip(table.column("insulation"), table.column("factor"), strict=True))
    factor = published[float(insulation)]
    if air <= warm:
        return 1 - (1 - factor) * max(air - base, 0.0) / (warm - base)
    return factor * math.sqrt(max(insulation - air, 0.0) / (insulation - warm))


def bundle_factor(conductors: int, figures: Figures) -> float:
    """What a bundle of that many conductors in use leaves of the allowable current."""
    table = figures.table("bundle-factor")
    rows = zip(table.column("conductors"), table.column("factor"), strict=True)
    return min(factor for least, factor in rows if conductors >= least)


def smallest_for(amps: float, site: Site, figures: Figures) -> Sizes:
    """The thinnest sizes that may carry `amps` on this site and are no thinner than
    a single conductor should be."""
    least = figures.get("smallest-wire", "mm^2")

    def fits(size: Size) -> bool:
        may = allowed(size.area, site, figures, size.metric).amps
        return size.area >= least and may >= amps

    return next(filter(fits, gauges(figures)), None), next(
        filter(fits, metric_sizes(figures)), None
    )


def fuse_ratings(figures: Figures) -> tuple[float, ...]:
    """Usual ratings of blade and bolted fuses [A], from small to large."""
    return (*FUSE_RATINGS, *figures.table("large-fuse-ratings").column("rating"))


def largest_fuse(amps: float, figures: Figures) -> float | None:
    """The largest fuse rating that does not pass `amps` [A]; None when all do."""
    fitting = (rating for rating in fuse_ratings(figures) if rating <= amps + 1e-9)
    return max(fitting, default=None)


def next_fuse(amps: float, figures: Figures) -> float:
    """The fuse rating at or next above `amps` [A]; the largest of the usual ones at the most."""
    ratings = fuse_ratings(figures)
    return next((rating for rating in ratings if rating >= amps - 1e-9), ratings[-1])
