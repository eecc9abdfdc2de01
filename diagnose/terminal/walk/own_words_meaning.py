"""What somebody said in their own words, as findings of a walk."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.bench import Bench
from diagnose.circuit.reading_words import OF_ANY_PART, reading_of
from diagnose.phrases import EITHER, Match, ReadingMatch, Understood, understand
from diagnose.reasoning.evidence import Evidence, check_answer, check_reading
from diagnose.reasoning.words import spaced
from diagnose.terminal.prompts import NotUnderstood

Taken = Match | ReadingMatch


def heard(bench: Bench, text: str, asked: str | None = None) -> Understood:
    """What a text may mean on this rig. asked: the test that was asked for just before; what says
    nothing of it may say something by itself. Raises TooLong."""
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    found = understand(text, book, facts, bench.rig, asked)
    if asked and not (all_of(found) or found.cannot_tell):
        return understand(text, book, facts, bench.rig)
    return found


def all_of(found: Understood) -> tuple[Taken, ...]:
    """Observations and readings, in the order in which they are numbered."""
    return (*found.matches, *found.readings)


def name_of(one: Taken) -> str:
    """The id of the test."""
    return one.observation if isinstance(one, Match) else one.reading


def answer_of(one: Taken) -> str:
    """The answer to it."""
    return one.option if isinstance(one, Match) else one.value


def is_sure(one: Taken) -> bool:
    """Whether it would be taken without a further question."""
    return one.strength != EITHER


def finding_of(bench: Bench, one: Taken) -> Evidence:
    """One of them, checked against the book and the rig. Raises DiagnoseError."""
    if isinstance(one, Match):
        return check_answer(
            bench.shop.catalogue, bench.hypotheses.facts, one.observation, one.option
        )
    return check_reading(
        bench.shop.catalogue, bench.rig, reading_of(one.reading, points_too=OF_ANY_PART), one.value
    )


def findings_of(bench: Bench, taken: Iterable[Taken]) -> tuple[Evidence, ...]:
    """As findings. Raises NotUnderstood when two of them exclude each other."""
    said: dict[str, Taken] = {}
    for one in taken:
        first = said.setdefault(name_of(one), one)
        if answer_of(first) != answer_of(one):
            raise NotUnderstood(f"{spaced(name_of(one))} cannot be two things; pick one.")
    return tuple(finding_of(bench, one) for one in said.values())


def unheard(found: Understood) -> str:
    """What was said and not understood, as it was typed; "" for nothing."""
    return "; ".join(found.not_understood)
