"""Figures in a text, in digits or in words: "12.4", "eleven and a half", "twelve point six"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

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
    if not words[at].is_figure:
        return None
    digits = words[at].text.replace(",", ".").lstrip("+")
    rest = _rest(words, at + 1)
    if "." not in digits and rest is not None:
        return Figure(digits + rest[0], at, rest[1])
    return Figure(digits, at, at + 1)


def _in_words(words: Sequence[Word], at: int) -> Figure | None:
    whole = _whole(words, at)
    if whole is None:
        return None
    number, end = whole
    rest = _rest(words, end)
    return Figure(f"{number}{rest[0]}", at, rest[1]) if rest else Figure(str(number), at, end)


def _whole(words: Sequence[Word], at: int) -> tuple[int, int] | None:
    first = words[at].text
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
