"""From the options of the rig commands to quantities and to a Site."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.design.site import Site, site
from diagnose.errors import BadQuantity, Place, quoted
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
    wires = _between("bundle", bundle, "", 1, 1000)
    return site(
        insulation=_between("insulation", insulation, "degC", 0, 300),
        air=_between("air", air, "degC", -40, 150),
        bundle=None if wires is None else round(wires),
        duty=_between("duty", duty, "h", 0.01, 1000),
        switch_rating=_between("switch-rating", switch_rating, "A", 0.1, 1000),
        sheathed=sheathed,
    )


def _between(option: str, typed: str, unit: str, low: float, high: float) -> float | None:
    """A quantity from an option, within what makes sense; None when it was left out."""
    return within(typed, unit, low, high, f"--{option}") if typed else None


def within(typed: str, unit: str, low: float, high: float, option: str) -> float:
    """A quantity in `unit` from `low` to `high`. Raises BadQuantity."""
    value = read_quantity(typed, unit, Place(option))
    if not low <= value <= high:
        limits = f"from {low:g} to {high:g} {unit}".rstrip()
        raise BadQuantity(f"{quoted(typed)} is out of range; {limits} is possible", Place(option))
    return value


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
