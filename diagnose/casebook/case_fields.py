"""The fields of a case file, one kind each: taken within their limits, or noted as a problem."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypeVar

from diagnose.casebook.case_file import time_of
from diagnose.casebook.limits import LONGEST_LINE, LONGEST_NOTES, RANGES
from diagnose.casebook.record import line, paragraphs
from diagnose.documents import REQUIRED, Section
from diagnose.errors import BadDocument, DiagnoseError, harmless

T = TypeVar("T")
R = TypeVar("R")
_NO_TIME = datetime(1970, 1, 1, tzinfo=UTC)
_ANY_LENGTH = 10**7
"""More than a document may hold: so that a text is measured before it is cut."""


def wrong(section: Section, key: str, sentence: str) -> None:
    """Note a problem with one key."""
    section.problem(BadDocument(sentence, section.place_of(key)))


def noted(section: Section, take: Callable[[], T], stand_in: R) -> T | R:
    """What `take` gives; or, with its problem noted, the stand-in."""
    try:
        return take()
    except DiagnoseError as problem:
        section.problem(problem)
        return stand_in


def number(section: Section, key: str, kind: str, default: T = REQUIRED) -> float | T:
    """A number within its range of `limits.RANGES`."""
    limit = RANGES[kind]
    value = section.number(key, default=default, minimum=limit.least, maximum=limit.most)
    if limit.whole and isinstance(value, float) and not value.is_integer():
        wrong(section, key, "should be a whole number")
        return 0.0
    return value


def quantity(section: Section, key: str, unit: str) -> float:
    """An end of a band, in `unit`."""
    limit = RANGES["measured"]
    return section.quantity(key, unit, minimum=limit.least, maximum=limit.most)


def word(section: Section, key: str, default: str = REQUIRED) -> str:
    """A text on one line."""
    return one_line(section, key, section.text(key, default=default))


def lines(section: Section, key: str) -> tuple[str, ...]:
    """Texts on a line each; none where the key is missing."""
    return tuple(one_line(section, key, text) for text in section.texts(key, default=()))


def names(section: Section) -> tuple[str, ...]:
    """The keys of a mapping that may have any, as they are written."""
    shown = [one_line(section, key, key) for key in section]
    for key, name in zip(section, shown, strict=True):
        if shown.count(name) > 1:
            wrong(section, key, "is given twice")
    return tuple(section)


def notes(section: Section, key: str) -> str:
    """A text with its paragraphs; "" where the key is missing."""
    text = section.text(key, default="")
    size = len(harmless(text.replace("\n", " "), _ANY_LENGTH))
    _check_length(section, key, size, LONGEST_NOTES)
    return paragraphs(text)


def one_line(section: Section, key: str, text: str) -> str:
    """A text that was read already, on one line."""
    _check_length(section, key, len(line(text, _ANY_LENGTH)), LONGEST_LINE)
    return line(text)


def _check_length(section: Section, key: str, size: int, most: int) -> None:
    """A longer text is refused, since it would be cut when the case is saved again."""
    if size > most:
        wrong(section, key, f"is {size} characters long; {most} at most, so shorten it")


def time(section: Section, key: str) -> datetime:
    """A time that has to be there."""
    return _time(section, key, section.text(key)) or _NO_TIME


def optional_time(section: Section, key: str) -> datetime | None:
    """A time, or None where the key is missing."""
    return _time(section, key, section.text(key, default=""))


def _time(section: Section, key: str, text: str) -> datetime | None:
    place = section.place_of(key)
    return noted(section, lambda: time_of(text, place), None) if text else None
