"""Which figures of a text may be readings: what unit stands behind them, and what they are not."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnose.phrases.numbers import Figure, Word, figures_of

UNITS: Mapping[str, tuple[str, str]] = {
    **dict.fromkeys(("v", "volt", "volts", "vdc"), ("voltage", "V")),
    **dict.fromkeys(("mv", "millivolt", "millivolts"), ("voltage", "mV")),
    **dict.fromkeys(("ohm", "ohms", "\u03c9"), ("resistance", "ohm")),
    **dict.fromkeys(("k", "kohm", "kilohm", "kilohms"), ("resistance", "kohm")),
    **dict.fromkeys(("megohm", "megohms", "meg", "megs"), ("resistance", "Mohm")),
    **dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), ("current", "A")),
    **dict.fromkeys(("ma", "milliamp", "milliamps"), ("current", "mA")),
    **dict.fromkeys(("psi", "pounds"), ("pressure", "psi")),
    "bar": ("pressure", "bar"),
    "kpa": ("pressure", "kPa"),
    "gpm": ("flow-rate", "gal/min"),
    "lpm": ("flow-rate", "L/min"),
    **dict.fromkeys(("c", "celsius", "centigrade", "degc"), ("temperature", "degC")),
    **dict.fromkeys(("f", "fahrenheit", "degf"), ("temperature", "degF")),
    **dict.fromkeys(("degrees", "degree", "deg", "\u00b0"), ("temperature", "")),
}
"""How units are said behind a figure: the quantity, and the unit as it is read ("" where a
temperature may be in either)."""

USUAL_UNITS: Mapping[str, tuple[str, ...]] = {
    "voltage": ("V",),
    "resistance": ("ohm",),
    "current": ("A",),
    "peak-current": ("A",),
    "pressure": ("psi",),
    "flow-rate": ("gal/min",),
    "temperature": ("degC", "degF"),
}
"""The units that a figure without one can be in."""

NO_READING = frozenset(
    (
        "minute",
        "minutes",
        "min",
        "mins",
        "second",
        "seconds",
        "sec",
        "secs",
        "hour",
        "hours",
        "day",
        "days",
        "week",
        "weeks",
        "month",
        "months",
        "year",
        "years",
        "times",
        "time",
        "inch",
        "inches",
        "foot",
        "feet",
        "gauge",
        "awg",
        "mm",
        "percent",
        "%",
        "watt",
        "watts",
        "w",
        "ah",
        "litre",
        "litres",
        "gallon",
        "gallons",
        "click",
        "clicks",
        "am",
        "pm",
        "of",
        "or",
        "pumps",
        "batteries",
        "wires",
        "quarters",
    )
)
"""What makes a figure no reading when it follows."""

RATED = frozenset(
    (
        "fuse",
        "fuses",
        "breaker",
        "pump",
        "battery",
        "system",
        "motor",
        "relay",
        "one",
        "ones",
        "rig",
        "bulb",
        "lamp",
        "charger",
    )
)
"""Things that carry a figure with a unit as their name: "the 20 amp fuse"."""

ARTICLES = ("a", "an", "the", "that", "this", "my", "our")
"""Words before a figure in amps that is the name of a fuse: "pops the 15 amp"."""

BEFORE_A_POINT = frozenset(
    (
        "at",
        "on",
        "pin",
        "terminal",
        "relay",
        "between",
        "from",
        "to",
        "across",
        "and",
        "off",
        "ohmed",
        "number",
    )
)
ENDS = frozenset((",", ";", ".", ":", "!", "?", "but", "then", "&", "("))
NOTHING = frozenset(("nothing", "nil", "none", "dead", "nowt", "naught", "nought"))
OPEN = ("no continuity", "open circuit", "reads open", "infinite", "infinity", "overload", "ol")
SHORT = ("dead short", "short circuit", "no resistance")


@dataclass(frozen=True)
class Told:
    """A figure that may be a reading, with the pieces from first up to end.

    digits: "open" is over the range; quantity, unit: "" where not said; bare: not a figure by
    itself, such as "nothing"
    """

    digits: str
    quantity: str
    unit: str
    first: int
    end: int
    bare: bool = False


def told_in(words: Sequence[Word], points: Collection[str], lone: str = "") -> list[Told]:
    """Every figure that may be a reading, in order. points: names of test points, which may be
    numbers; lone: the quantity that a figure without a unit has."""
    pieces = [one.text for one in words]
    figures = list(figures_of(words))
    found = list(_timed(figures, pieces))
    for figure in figures:
        attached = figure.end < len(words) and words[figure.end - 1].end == words[figure.end].start
        one = _figure(figure, figures, pieces, points, lone, attached)
        if one is not None and all(one.first >= other.end for other in found):
            found.append(one)
    volts = lone == "voltage" or any(one.quantity == "voltage" for one in found)
    return sorted([*found, *_without_figure(pieces, volts)], key=lambda one: one.first)


def _timed(figures: Sequence[Figure], pieces: Sequence[str]) -> Iterator[Told]:
    """A bucket timed: "5 gallon bucket took two minutes"."""
    for volume, time in pairwise(figures):
        size, unit = _at(pieces, volume.end), _at(pieces, time.end)
        minutes = 1.0 if unit.startswith("min") else 1 / 60 if unit.startswith("sec") else 0.0
        if size[:4] in ("gall", "litr", "lite") and minutes and time.value > 0:
            rate = volume.value / (time.value * minutes)
            per_minute = "gal/min" if size[0] == "g" else "L/min"
            yield Told(f"{rate:.3g}", "flow-rate", per_minute, volume.first, time.end + 1)


def _figure(
    figure: Figure,
    figures: Sequence[Figure],
    pieces: Sequence[str],
    points: Collection[str],
    lone: str,
    attached: bool,
) -> Told | None:
    behind, then = _at(pieces, figure.end), _at(pieces, figure.end + 1)
    if behind in ("a", "p") and pieces[figure.end + 1 : figure.end + 3] == [".", "m"]:
        return None
    article = behind == "a" and not attached and then not in ("", *ENDS)
    if behind in UNITS and not article:
        amps = UNITS[behind][0] == "current"
        named = amps and _at(pieces, figure.first - 1) in ARTICLES
        return (
            None if named or _rated(pieces[figure.end + 1 :]) else _with_unit(figure, behind, then)
        )
    per = pieces[figure.end : figure.end + 3]
    if len(per) == 3 and per[0][:4] in ("gall", "litr", "lite") and per[2].startswith("min"):
        unit = "gal/min" if per[0][0] == "g" else "L/min"
        return Told(figure.digits, "flow-rate", unit, figure.first, figure.end + 3)
    count = figure.end - figure.first == 1 and pieces[figure.first] in ("one", "oh", "two", "three")
    if count or behind in NO_READING or behind in RATED:
        return None
    if _names_a_point(figure, figures, pieces, points):
        return None
    return Told(figure.digits, lone, "", figure.first, figure.end)


def _rated(behind: Sequence[str]) -> bool:
    """Whether a figure with its unit is the name of a thing: "20A main fuse"."""
    if not behind or behind[0] in BEFORE_A_POINT or behind[0] in ENDS:
        return False
    return behind[0] in RATED or (len(behind) > 1 and behind[1] in RATED)


def _with_unit(figure: Figure, behind: str, then: str) -> Told:
    quantity, unit = UNITS[behind]
    end = figure.end + 1
    if then in UNITS and UNITS[then][0] == quantity:
        unit, end = unit if behind == "k" else UNITS[then][1] or unit, end + 1
    return Told(figure.digits, quantity, unit, figure.first, end)


def _names_a_point(
    figure: Figure, figures: Sequence[Figure], pieces: Sequence[str], points: Collection[str]
) -> bool:
    """Whether a number is the name of a relay's terminal: "at 30", "30 to 87"."""
    if figure.digits not in points:
        return False
    before, behind = _at(pieces, figure.first - 1), _at(pieces, figure.end)
    others = len(figures) > 1
    joined = behind in ("to", "and") or before in points or behind in points
    return before in BEFORE_A_POINT or (others and joined)


def _without_figure(pieces: Sequence[str], volts: bool) -> Iterator[Told]:
    """What is told without a figure: nothing where volts are spoken of, open, a dead short."""
    joined = f" {' '.join(pieces)} "
    for phrases, digits in ((OPEN, "open"), (SHORT, "0")):
        for phrase in phrases:
            if f" {phrase} " in joined:
                at = len(joined[: joined.index(f" {phrase} ")].split())
                yield Told(digits, "resistance", "ohm", at, at + len(phrase.split()), bare=True)
                return
    for at, piece in enumerate(pieces):
        if volts and piece in NOTHING:
            yield Told("0", "voltage", "V", at, at + 1, bare=True)


def _at(pieces: Sequence[str], at: int) -> str:
    return pieces[at] if 0 <= at < len(pieces) else ""
