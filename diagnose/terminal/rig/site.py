"""From the options of the rig commands to quantities and to a Site."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagnose.circuit.bounds import bounds
from diagnose.design.site import Site, site
from diagnose.errors import BadQuantity, Place, every, quoted
from diagnose.units import read_quantity


def site_from(
    insulation: str = "",
    air: str = "",
    bundle: str = "",
    duty: str = "",
    switch_rating: str = "",
    sheathed: bool = False,
) -> Site:
    """A Site from options as typed, empty where nothing was said. Raises BadQuantity."""
    heat, warm, wires, hours, rating = every(
        (
            lambda: _option("insulation", insulation, "degC"),
            lambda: _option("air", air, "degC"),
            lambda: _option("bundle", bundle, ""),
            lambda: _option("duty", duty, "h"),
            lambda: _option("switch-rating", switch_rating, "A", "switch.contact"),
        )
    )
    return site(
        insulation=heat,
        air=warm,
        bundle=None if wires is None else math.ceil(wires),
        duty=hours,
        switch_rating=rating,
        sheathed=sheathed,
    )


def _option(name: str, typed: str, unit: str, key: str = "") -> float | None:
    """A quantity from an option, within its bounds; None when it was left out."""
    return within(typed, key or name, unit, f"--{name}") if typed else None


def within(typed: str, key: str, unit: str, place: str) -> float:
    """A quantity in `unit` within the bounds of `key`. Raises BadQuantity."""
    return bounds()[key].read(typed, unit, Place(place))


def with_units(typed: Sequence[tuple[str, str]], words: Sequence[str]) -> list[str]:
    """Values with the units that stood outside quotes on the command line: of --current 14 A
    the shell makes an option `14` and a word `A`.

    typed: each value as typed, with the unit that it can be had in. Raises BadQuantity for a word
    that is the unit of none of them.
    """
    values = [value for value, _ in typed]
    for word in words:
        fitting = (i for i, (_, unit) in enumerate(typed) if _completes(values[i], word, unit))
        place = next(fitting, None)
        if place is None:
            raise BadQuantity(f"{quoted(word)} is neither an option nor a unit that is missing")
        values[place] += f" {word}"
    return values


def _completes(value: str, word: str, unit: str) -> bool:
    """Whether a bare number and a word make a quantity of this kind."""
    try:
        float(value)
        read_quantity(f"{value} {word}", unit)
    except ValueError:
        return False
    return True
