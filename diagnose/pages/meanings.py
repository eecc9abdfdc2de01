"""What somebody's own words may mean: heard, and what is confirmed of it as findings."""

from __future__ import annotations

import re
from collections.abc import Iterable

from diagnose.bench import Bench
from diagnose.circuit.reading_words import OF_ANY_PART, reading_of
from diagnose.errors import DiagnoseError, NotUnderstood
from diagnose.phrases import EITHER, Match, ReadingMatch, Understood, understand
from diagnose.phrases.records import CLEAR
from diagnose.reasoning.evidence import Evidence, check_answer, check_reading
from diagnose.reasoning.words import spaced

Meaning = Match | ReadingMatch
"""An observation or a reading that words may mean."""


def hear(bench: Bench, text: str, asked: str | None = None) -> Understood:
    """What a text may mean on this rig. asked: the test that was asked for just before; what says
    nothing of it may say something by itself. Raises TooLong."""
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    if exact := _as_on_the_screen(bench, text):
        return Understood(readings=(exact,))
    found = understand(text, book, facts, bench.rig, asked)
    if asked and not (all_of(found) or found.cannot_tell):
        return understand(text, book, facts, bench.rig)
    return found


_NAMED = re.compile(
    r"(?P<name>[a-z][a-z-]* \S.*?)\s*=?\s+(?P<value>(?:about |-)?[0-9][^,;]{0,20}|OL)"
)


def _as_on_the_screen(bench: Bench, text: str) -> ReadingMatch | None:
    """A reading by its name, as its id or as it stands on the screen, and what it shows; None where
    the text is anything else."""
    match = _NAMED.fullmatch(text.strip())
    if match is None:
        return None
    try:
        reading = reading_of(match["name"], points_too=OF_ANY_PART)
        check_reading(bench.shop.catalogue, bench.rig, reading, match["value"])
    except DiagnoseError:
        return None
    return ReadingMatch(str(reading), match["value"], text.strip(), CLEAR)


def all_of(found: Understood) -> tuple[Meaning, ...]:
    """Observations and readings, in the order in which they are numbered."""
    return (*found.matches, *found.readings)


def name_of(one: Meaning) -> str:
    """The id of the test."""
    return one.observation if isinstance(one, Match) else one.reading


def told_answer(one: Meaning) -> str:
    """The answer to it."""
    return one.option if isinstance(one, Match) else one.value


def is_sure(one: Meaning) -> bool:
    """Whether it would be taken without a further question."""
    return one.strength != EITHER


def findings_of(bench: Bench, chosen: Iterable[Meaning]) -> tuple[Evidence, ...]:
    """As findings, checked against the book and the rig. Raises DiagnoseError, NotUnderstood where
    two of them exclude each other."""
    told: dict[str, Meaning] = {}
    for one in chosen:
        first = told.setdefault(name_of(one), one)
        if told_answer(first) != told_answer(one):
            raise NotUnderstood(f"{spaced(name_of(one))} cannot be two things; pick one.")
    return tuple(_finding_of(bench, one) for one in told.values())


def _finding_of(bench: Bench, one: Meaning) -> Evidence:
    book = bench.shop.catalogue
    if isinstance(one, Match):
        return check_answer(book, bench.hypotheses.facts, one.observation, one.option)
    return check_reading(
        book, bench.rig, reading_of(one.reading, points_too=OF_ANY_PART), one.value
    )


def remainder(found: Understood) -> str:
    """What was said and not understood, as it was typed; "" for nothing."""
    return "; ".join(found.not_understood)


def in_full(bench: Bench, one: Meaning) -> str:
    """It in words, with those that it was taken from."""
    if not isinstance(one, Match):
        return f"{one.reading}: {one.value} ({one.words})"
    options = bench.shop.catalogue.observations[one.observation].options
    return f"{spaced(name_of(one))}: {options[one.option]} ({one.words or 'a guess'})"
