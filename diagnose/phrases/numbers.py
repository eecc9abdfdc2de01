"""Figures in a text, in digits or in words: "12.4", "eleven and a half", "twelve point six"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.units import read_quantity

_UP_TO_NINETEEN = (
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
)
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
ONES: Mapping[str, int] = {word: n for n, word in enumerate(_UP_TO_NINETEEN)} | {"oh": 0}
TENS: Mapping[str, int] = {word: 10 * n for n, word in enumerate(_TENS, 2)}
NEGATIVE = ("minus", "negative")
NAMES_A_POINT = ("to", "and", "plus", "the", "battery", "motor", "pump")
"""Words before a "minus" that is no sign of a figure: "plus to minus 8.4"."""

PARTS: Mapping[str, str] = {"half": ".5", "quarter": ".25"}

_TOKEN = re.compile(
    r"87a\b|[-+]?\d+(?:[.,]\d+)?(?![.,]?\d)|[a-z\u00b5\u03bc\u03a9\u00b0%]+(?:['\u2019][a-z]+)?"
    r"(?:[+-](?![\w]))?|[,;.:!?&/()]",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Word:
    """A piece of a text: word, figure or sign, lower case, with where it stands."""

    text: str
    start: int
    end: int

    @property
    def is_figure(self) -> bool:
        return self.text[-1].isdigit()


def words_of(text: str) -> list[Word]:
    """The pieces of a text; "12 v" and "12v" are two pieces, "lug-" is one."""
    return [
        Word(found.group().lower().replace("\u2019", "'"), found.start(), found.end())
        for found in _TOKEN.finditer(text)
    ]


@dataclass(frozen=True)
class Figure:
    """A number said: its digits, and the pieces from first up to end."""

    digits: str
    first: int
    end: int

    @property
    def value(self) -> float:
        """Raises BadQuantity for more digits than a number has."""
        return read_quantity(self.digits, "")


def figures_of(words: Sequence[Word]) -> Iterator[Figure]:
    """Every number in a text, in order."""
    at = 0
    while at < len(words):
        found = _in_digits(words, at) or _in_words(words, at)
        if found is None:
            at += 1
            continue
        yield found
        at = found.end


def _in_digits(words: Sequence[Word], at: int) -> Figure | None:
    if at == len(words) or not words[at].is_figure:
        return None
    digits = words[at].text.replace(",", ".").lstrip("+")
    rest = _rest(words, at + 1)
    if "." not in digits and rest is not None:
        return Figure(digits + rest[0], at, rest[1])
    return Figure(digits, at, at + 1)


def _in_words(words: Sequence[Word], at: int) -> Figure | None:
    if _text(words, at) in NEGATIVE and not (at and words[at - 1].text in NAMES_A_POINT):
        found = _in_digits(words, at + 1) or _in_words(words, at + 1)
        return Figure(f"-{found.digits}", at, found.end) if found else None
    whole = _whole(words, at)
    if whole is None:
        begun = _rest(words, at) if _text(words, at) == "point" else None
        return Figure(f"0{begun[0]}", at, begun[1]) if begun else None
    number, end = whole
    rest = _rest(words, end) or _digit(number, words, end)
    return Figure(f"{number}{rest[0]}", at, rest[1]) if rest else Figure(str(number), at, end)


def _digit(number: int, words: Sequence[Word], at: int) -> tuple[str, int] | None:
    """A decimal said as no more than a digit: "twelve six"."""
    digit = ONES.get(_text(words, at), 10)
    return (f".{digit}", at + 1) if 10 <= number < 20 and digit < 10 else None


def _whole(words: Sequence[Word], at: int) -> tuple[int, int] | None:
    hundreds = _hundreds(words, at)
    if hundreds is None:
        return _below_hundred(words, at)
    number, end = hundreds
    behind = end + (_text(words, end) == "and")
    more = _below_hundred(words, behind)
    return (number + more[0], more[1]) if more else hundreds


def _hundreds(words: Sequence[Word], at: int) -> tuple[int, int] | None:
    """ "a hundred", "two hundred"."""
    if _text(words, at) == "hundred":
        return 100, at + 1
    count = ONES.get(_text(words, at), 1 if _text(words, at) == "a" else 0)
    return (100 * count, at + 2) if count and _text(words, at + 1) == "hundred" else None


def _below_hundred(words: Sequence[Word], at: int) -> tuple[int, int] | None:
    first = _text(words, at)
    if first in TENS:
        unit = ONES.get(_text(words, at + 1), 0)
        return (TENS[first] + unit, at + 2) if 0 < unit < 10 else (TENS[first], at + 1)
    return (ONES[first], at + 1) if first in ONES else None


def _rest(words: Sequence[Word], at: int) -> tuple[str, int] | None:
    """What follows a whole number: "point four", "and a half", and where it ends."""
    if _text(words, at) == "point":
        digits = ""
        end = at + 1
        while _text(words, end) in ONES or (_text(words, end).isdigit() and not digits):
            digits += str(ONES.get(_text(words, end), _text(words, end)))
            end += 1
        return (f".{digits}", end) if digits else None
    if [_text(words, at), _text(words, at + 1)] == ["and", "a"] and _text(words, at + 2) in PARTS:
        return PARTS[_text(words, at + 2)], at + 3
    return None


def _text(words: Sequence[Word], at: int) -> str:
    return words[at].text if at < len(words) else ""
