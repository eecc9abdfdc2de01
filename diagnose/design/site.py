"""What a rig file does not say: how the wires lie, and how the pump is used."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.errors import BadQuantity
from diagnose.figures import Figures, shipped_figures


@dataclass(frozen=True)
class Site:
    """Insulation class [degC], air round the wires [degC], conductors that carry current in one
    bundle, pumping between two charges [h], rating printed on the switch that calls [A; None when
    nobody knows], whether the battery's wire lies in a sheath up to the fuse.

    assumed: which of them nobody has stated
    """

    insulation: int
    air: float
    bundle: int
    duty: float
    switch_rating: float | None = None
    sheathed: bool = False
    assumed: tuple[str, ...] = ()


def site(
    insulation: float | None = None,
    air: float | None = None,
    bundle: int | None = None,
    duty: float | None = None,
    switch_rating: float | None = None,
    sheathed: bool = False,
    figures: Figures | None = None,
) -> Site:
    """A Site with the usual values where nothing is stated. Raises BadQuantity for a class of
    insulation that the table does not have, or no air that a wire can lie in."""
    figures = figures or shipped_figures()
    stated = {"insulation": insulation, "air": air, "bundle": bundle, "duty": duty}
    insulation = figures.get("usual-insulation", "degC") if insulation is None else insulation
    classes = insulation_classes(figures)
    if round(insulation) not in classes:
        known = ", ".join(map(str, classes))
        raise BadQuantity(
            f"there is no insulation class of {insulation:g} degC; take one of {known}"
        )
    air = figures.get("usual-air", "degC") if air is None else air
    if not -40 <= air < insulation:
        raise BadQuantity(f"air of {air:g} degC is no place for {insulation:g} degC insulation")
    return Site(
        insulation=round(insulation),
        air=air,
        bundle=2 if bundle is None else bundle,
        duty=figures.get("usual-duty", "h") if duty is None else duty,
        switch_rating=switch_rating,
        sheathed=sheathed,
        assumed=tuple(name for name, value in stated.items() if value is None),
    )


def insulation_classes(figures: Figures) -> tuple[int, ...]:
    """The classes of insulation that a table of allowable currents knows [degC]."""
    tables = map(figures.table, ("conductor-current", "metric-conductor-current"))
    return tuple(sorted({int(name) for table in tables for name in list(table.columns)[1:]}))
