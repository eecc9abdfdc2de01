"""Wire for a current over a length: the published size formula, and the sizes to choose from.

    CM = K I L / E
    CM circular mils of copper, K 10.75 ohm circular mil per foot, I amperes, L feet out and back,
    E permitted drop in volts

Source: figure wire-size-constant (ABYC E-11's formula and constant, as quoted in public). Its
tables take the least copper that wire of a gauge may have; so does this, for metric sizes too.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from diagnose.circuit.healthy import wire_resistance
from diagnose.design.wording import FOOT
from diagnose.figures import Figures
from diagnose.units import is_metric, read_gauge

MIL = math.pi / 4 * 0.0254**2
"""One circular mil [mm2]: the area of a circle one thousandth of an inch across."""


@dataclass(frozen=True)
class Size:
    """A wire one can buy. area: nominal [mm2]; least: copper it has at the least [CM]."""

    name: str
    area: float
    least: float

    @property
    def metric(self) -> bool:
        """Whether it is sold by its area."""
        return is_metric(self.name)


Sizes: TypeAlias = tuple[Size | None, Size | None]
"""An American gauge and a metric size of which either will do; None where all are too thin."""


def either(sizes: Sizes) -> str:
    """Both in words."""
    found = " or ".join(size.name for size in sizes if size)
    return found or "more than 4/0 AWG or 120 mm2"


def circular_mils(current: float, feet: float, volts: float, constant: float) -> float:
    """Copper needed [CM] to carry `current` [A] over `feet` out and back for a drop of `volts`."""
    return constant * current * feet / volts


def gauges(figures: Figures) -> tuple[Size, ...]:
    """American gauges from thin to thick."""
    return _gauges(figures.table("wire-sizes").rows)


def metric_sizes(figures: Figures) -> tuple[Size, ...]:
    """Metric sizes from thin to thick; their least copper from the largest resistance allowed."""
    table = figures.table("metric-wire-sizes")
    rho = figures.get("copper-resistivity-20c", "ohm*mm^2/m")
    return _metric_sizes(tuple(table.columns), table.rows, rho)


@cache
def _metric_sizes(
    columns: tuple[str, ...], rows: tuple[tuple[object, ...], ...], rho: float
) -> tuple[Size, ...]:
    known = [dict(zip(columns, (float(str(cell)) for cell in row), strict=True)) for row in rows]
    return tuple(
        Size(f"{one['area']:g} mm2", one["area"], 1000 * rho / one["largest"] / MIL)
        for one in known
    )


@cache
def _gauges(rows: tuple[tuple[object, ...], ...]) -> tuple[Size, ...]:
    return tuple(
        Size(f"{name} AWG", read_gauge(f"{name} AWG"), float(str(least))) for name, least in rows
    )


def least_copper(area: float, figures: Figures) -> float:
    """Copper that wire of a nominal area [mm2] has at the least [CM]; for a size that is in no
    table, its nominal area."""
    known = (*gauges(figures), *metric_sizes(figures))
    return next((s.least for s in known if math.isclose(s.area, area, rel_tol=1e-6)), area / MIL)


def smallest(sizes: Iterable[Size], needed: float) -> Size | None:
    """The thinnest size with at least the copper `needed` [CM]; None when all are too thin."""
    return next((size for size in sizes if size.least >= needed), None)


@dataclass(frozen=True)
class Choice:
    """Wire for one length and one permitted drop.

    length: one way [m]; share: permitted drop over nominal voltage; volts: the same [V];
    needed: copper [CM]; sizes: the thinnest that have it
    """

    length: float
    share: float
    volts: float
    needed: float
    sizes: Sizes


def choose(
    current: float, length: float, share: float, figures: Figures, nominal: float | None = None
) -> Choice:
    """Wire for `current` [A] over `length` one way [m], losing at most `share` of the nominal
    voltage [V; the usual 12 V when None]."""
    volts = share * (figures.get("nominal-voltage", "V") if nominal is None else nominal)
    constant = figures.get("wire-size-constant")
    needed = circular_mils(current, 2 * length / FOOT, volts, constant)
    sizes = smallest(gauges(figures), needed), smallest(metric_sizes(figures), needed)
    return Choice(length, share, volts, needed, sizes)


def smallest_by_resistance(
    current: float, length: float, volts: float, air: float, figures: Figures
) -> Sizes:
    """The thinnest whose true copper loses at most `volts` out and back.

    length: one way [m]; air: temperature of the copper [degC].
    Source: resistance of stranded copper as in circuit.parameters.wire_resistance.
    """

    def thinnest(sizes: Sequence[Size]) -> Size | None:
        return next((size for size in sizes if drop(size) <= volts), None)

    def drop(size: Size) -> float:
        return current * wire_resistance(size.area, 2 * length, figures, air)

    return thinnest(gauges(figures)), thinnest(metric_sizes(figures))
