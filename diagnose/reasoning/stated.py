"""How exactly a reading was stated: its last digit says so, and so does "about"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnose.errors import Place
from diagnose.units import read_quantity

_ABOUT = re.compile(
    r"\s*(?:~|≈|(?:about|approximately|approx\.?|around|roughly|circa|ca\.?)(?![a-z]))\s*", re.I
)
_NUMBER = re.compile(
    r"\s*(?P<whole>[-+−]?[0-9]*)(?:[.,](?P<after>[0-9]+))?(?:[eE](?P<power>[-+]?[0-9]+))?"
    r"(?P<unit>.*)",
    re.DOTALL,
)


@dataclass(frozen=True)
class Stated:
    """A value as it was stated, in the unit wanted. resolution: width of what it may stand for,
    the step of its last digit: "12" is anything from 11.5 to 12.5; typed: as it is shown."""

    value: float
    resolution: float
    typed: str


def stated(text: str, unit: str, place: Place | None = None) -> Stated:
    """What was typed, and how exactly. Raises BadQuantity.

    "about" adds a whole step of the last digit on top of its rounding: "about 12" may be anything
    from 11 to 13.
    """
    hedge = _ABOUT.match(text)
    number = text[hedge.end() :] if hedge else text
    value = read_quantity(number, unit, place)
    resolution = _step(number, unit) * (2 if hedge else 1)
    return Stated(value, resolution, f"{'about ' if hedge else ''}{_tidy(number, unit)}")


def _step(number: str, unit: str) -> float:
    """One step of the last digit that was given, in the unit wanted."""
    found = _NUMBER.fullmatch(number)
    assert found is not None  # read_quantity took it
    power = int(found["power"] or 0) - len(found["after"] or "")
    ends = (read_quantity(f"{size}{found['unit']}", unit) for size in ("0", f"1e{power}"))
    none, one = ends
    return one - none


def _tidy(number: str, unit: str) -> str:
    """The number with the digits given, and its unit in one spelling."""
    found = _NUMBER.fullmatch(number)
    assert found is not None
    written = found["unit"].strip()
    same = not written or read_quantity(f"1 {written}", unit) == 1.0
    digits = number[: found.start("unit")].strip().replace(",", ".")
    return f"{digits} {unit if same else written}".strip()
