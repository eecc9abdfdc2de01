"""How far the water stands below the pump, told by a figure: "six feet down to the water"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from diagnose.phrases.figures_told import ENDS
from diagnose.phrases.numbers import Figure, Word, figures_of, words_of
from diagnose.phrases.records import CLEAR, EITHER, Match
from diagnose.units import read_quantity

HEIGHT = "supply-height"
UNITS = {
    **dict.fromkeys(("ft", "foot", "feet"), "ft"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("in", "inch", "inches"), "in"),
    **dict.fromkeys(("cm", "centimetres", "centimeters"), "cm"),
}
BELOW = ("below", "under", "down", "lift", "lifts", "beneath", "lower", "deep")
"""Words without which a length is no height, unless it was asked for."""

WATER = ("water", "tank", "pump", "well", "inlet", "lift", "lifts", "level", "surface", "sump")
_UP_TO = re.compile(r"up-to-(\d+)-ft")


def heights(text: str, asked: str, options: Mapping[str, str]) -> Iterator[Match]:
    """The answer, among these options, that a length gives; unasked only where it is told of water
    and of what lies below, and to be asked where no pump is named."""
    words = words_of(text)
    pieces = [one.text.replace("'", "") for one in words]
    told = any(one in BELOW for one in pieces) and any(one in WATER for one in pieces)
    lengths = [one for one in figures_of(words) if _unit(one, pieces)]
    if len(lengths) != 1 or not (told or asked == HEIGHT):
        return
    figure = lengths[0]
    feet = read_quantity(f"{figure.digits} {_unit(figure, pieces)}", "ft")
    option = _option(feet, options)
    if option:
        sure = asked == HEIGHT or "pump" in pieces
        yield Match(HEIGHT, option, _quoted(text, words, figure), CLEAR if sure else EITHER)


def _unit(figure: Figure, pieces: Sequence[str]) -> str:
    return UNITS.get(pieces[figure.end], "") if figure.end < len(pieces) else ""


def _option(feet: float, options: Mapping[str, str]) -> str:
    """The option with the least height that is not less; the last one above all of them."""
    limits = [(float(found[1]), name) for name in options if (found := _UP_TO.fullmatch(name))]
    fitting = sorted((limit, name) for limit, name in limits if feet <= limit)
    if feet <= 0 or not limits:
        return ""
    return fitting[0][1] if fitting else list(options)[-1]


def _quoted(text: str, words: Sequence[Word], figure: Figure) -> str:
    """The words between two signs of punctuation that have the figure."""
    signs = [n for n, one in enumerate(words) if one.text in ENDS]
    first = max((n + 1 for n in signs if n < figure.first), default=0)
    last = min((n for n in signs if n >= figure.end), default=len(words))
    return text[words[first].start : words[last - 1].end]
