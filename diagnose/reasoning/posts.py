"""Readings that cannot be together, since the battery alone feeds the rig: its own posts show the
most, in whatever state the rig is (Kirchhoff's voltage law; every other part takes volts away)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import hypot

from diagnose.catalogue.records import Catalogue, Quantity
from diagnose.circuit.meter import Reading
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.evidence import Evidence, Measured, Seen

POSTS = ("battery+", "battery-")
SURE = 3.0
"""Standard deviations of both meters together that leave no doubt."""

_CHARGED = {"charging-source-effect": "not-tried", "posts-while-charging": "no-source"}
"""What is asked about a charger, and the answer by which there is none."""


def above_the_posts(
    evidence: Iterable[Evidence], catalogue: Catalogue
) -> Iterator[tuple[Measured, Measured, str]]:
    """A voltage above that of the posts in the same state, that one, and what is to be said."""
    items, volts = tuple(evidence), catalogue.quantities["voltage"]
    if any(_on_charge(item) for item in items):
        return
    read = [one for one in items if isinstance(one, Measured) and one.reading.quantity == "voltage"]
    posts = {one.reading.condition: one for one in read if _at_the_posts(one.reading)}
    for one in read:
        battery = posts.get(one.reading.condition)
        if battery and battery is not one and _more(one, battery, volts):
            yield one, battery, _said(one, battery)


def _on_charge(item: Evidence) -> bool:
    """Whether somebody has another source there, which may have fed the rig meanwhile."""
    return isinstance(item, Seen) and item.option != _CHARGED.get(item.observation, item.option)


def _at_the_posts(reading: Reading) -> bool:
    return set(reading.points) == set(POSTS)


def _more(one: Measured, battery: Measured, volts: Quantity) -> bool:
    """Whether a voltage is higher, also after rounding and by more than two meters can err."""
    a, b = abs(one.value), abs(battery.value)
    error = hypot(
        hypot(volts.absolute, volts.relative * a), hypot(volts.absolute, volts.relative * b)
    )
    return a - b - (one.resolution + battery.resolution) / 2 > SURE * error


def _said(one: Measured, battery: Measured) -> str:
    high, low = (item.typed or f"{item.value:g} V" for item in (one, battery))
    return (
        f"{in_words(one.reading)} = {high} is more than the battery's own posts show in the same "
        f"state ({low}), and nothing else feeds the rig: read both again."
    )
