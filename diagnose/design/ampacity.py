"""What a wire may carry where it lies: its table value, less for warm air and for neighbours."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from diagnose.circuit.ratings import fuse_ratings
from diagnose.circuit.rig import interpolate
from diagnose.design.site import Site
from diagnose.design.sizing import Size, Sizes, gauges, metric_sizes
from diagnose.figures import Figures, Table
from diagnose.units import read_gauge


def ampacity(area: float, figures: Figures, insulation: int = 105, metric: bool = False) -> float:
    """Current a single conductor may carry in free air at 30 degC [A].

    area [mm2]; insulation: its class [degC]; metric: whether it is sold by area. An American gauge
    follows the American table. A metric wire follows the metric one, or the American one where that
    has its class and, up to its largest size, allows less.
    Source: 33 CFR 183.425 table 5; ISO 13297 annex A (figure tables conductor-current and
    metric-conductor-current).
    """
    american = figures.table("conductor-current")
    areas = _areas(tuple(str(row[0]) for row in american.rows))
    allowed = _allowed(area, areas, american, insulation)
    if not metric:
        return allowed
    table = figures.table("metric-conductor-current")
    own = _allowed(area, table.column("area"), table, insulation)
    both = str(insulation) in american.columns and area <= areas[-1]
    return min(own, allowed) if both else own


@cache
def _areas(gauges: tuple[str, ...]) -> tuple[float, ...]:
    return tuple(read_gauge(f"{gauge} AWG") for gauge in gauges)


def _allowed(area: float, areas: Sequence[float], table: Table, insulation: int) -> float:
    """What one table allows [A], by its nearest class that is no hotter. Between sizes a straight
    line, below the smallest in proportion to the copper, above the largest no more than that."""
    classes = [int(name) for name in list(table.columns)[1:]]
    column = table.column(str(max(one for one in classes if one <= insulation)))
    return interpolate(area, areas, column) * min(area / areas[0], 1.0)


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


def largest_fuse(amps: float, figures: Figures) -> float | None:
    """The largest fuse rating that does not pass `amps` [A]; None when all do."""
    fitting = (rating for rating in fuse_ratings(figures) if rating <= amps + 1e-9)
    return max(fitting, default=None)
