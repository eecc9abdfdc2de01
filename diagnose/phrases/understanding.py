"""The one way in: a text, the book, a rig, and the question that was just asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from diagnose.catalogue.plain_reader import shipped_plain_words
from diagnose.catalogue.plain_vocabulary import PlainWords
from diagnose.catalogue.records import Catalogue, holds
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError
from diagnose.phrases.answers import Answered, answered
from diagnose.phrases.fuse_sizes import fuse_sizes
from diagnose.phrases.heights import HEIGHT, heights
from diagnose.phrases.likeness import Meaning, shipped_likeness
from diagnose.phrases.readings import readings_of
from diagnose.phrases.records import EITHER, LONGEST, Match, Understood
from diagnose.phrases.rig_words import words_for
from diagnose.phrases.signs import signs_of
from diagnose.phrases.text import read_items, tokens_of
from diagnose.phrases.typed import Typed

AGREES = 0.1
"""Likeness below which what the words say is asked first: sentences that mean it are otherwise."""

ENOUGH = 8
"""Sentences from which likeness knows a meaning well enough to doubt the words."""

LIKELY = 0.15
"""Likeness from which an answer is asked for that no words name."""

MOST_GUESSES = 3
MOST_ASKED = 5
"""Answers that are asked for at once: a list that is read to its end."""

FEWEST_WORDS = 3
"""Words of a text about which a guess is made."""


class TooLong(DiagnoseError):
    """More text than can be taken at once."""


def understand(
    text: str,
    book: Catalogue,
    facts: Mapping[str, str],
    rig: Rig,
    asked: str | None = None,
    words: PlainWords | None = None,
) -> Understood:
    """What a text says of a rig with these facts. asked: the observation or reading that was asked
    for just before, in the light of which a short answer is understood. Raises TooLong."""
    if len(text) > LONGEST:
        raise TooLong(f"That is too long: say it in at most {LONGEST} characters.")
    words, asked = words_for(words or shipped_plain_words(), book, rig, facts), asked or ""
    tokens = tokens_of(text)
    told = readings_of(text, words.probes, book, rig, asked)
    readings = told.matches
    if words.is_trial(asked):
        readings = tuple(replace(one, strength=EITHER) for one in readings)
    lengths = tuple(_heights(text, asked, book, facts))
    typed = Typed(text, tokens, read_items(tokens, words), words)
    typed = typed.without((*told.stretches, *(_stretch(text, one) for one in lengths)))
    signs = signs_of(typed, book, facts, asked)
    answer = Answered()
    if asked in words.answers and asked in book.observations:
        answer = answered(text, tokens, words, book.observations[asked])
    sizes = (*fuse_sizes(text, asked), *lengths)
    here = _without(signs.here, sizes)
    likeness = shipped_likeness().scores(text) if len(text.split()) >= FEWEST_WORDS else {}
    beside = _asked_first(_beside(answer, here, asked), likeness)
    named = (*_as_sure(answer, here), *beside, *_unless(answer, sizes))
    told_of = {one.observation for one in (*named, *signs.absent)}
    left = tuple(typed.left_over(signs.used | answer.used))
    is_clear = any(one.strength != EITHER for one in named) and not left
    no_guess = is_clear or answer.cannot_tell or signs.absent
    guesses = () if no_guess else _guesses(likeness, book, facts, asked)
    offered = (*named, *(one for one in guesses if one.observation not in told_of))
    return Understood(
        _likeliest(offered, likeness),
        readings,
        signs.absent,
        left,
        answer.cannot_tell,
    )


def _heights(text: str, asked: str, book: Catalogue, facts: Mapping[str, str]) -> Iterator[Match]:
    """How far the water stands below the pump, on a rig where that is asked for."""
    entry = book.observations.get(HEIGHT)
    if entry is not None and holds(entry.applies, facts):
        yield from heights(text, asked, entry.options)


def _stretch(text: str, told: Match) -> tuple[int, int]:
    """Where a match stands in a text."""
    first = text.index(told.words)
    return first, first + len(told.words)


def _without(signs: Sequence[Match], sizes: Sequence[Match]) -> tuple[Match, ...]:
    """What is told in words, without what two figures tell of the same."""
    told = {one.observation for one in sizes}
    return tuple(one for one in signs if one.observation not in told)


def _unless(answer: Answered, sizes: Sequence[Match]) -> Iterator[Match]:
    """What two figures tell, unless it was answered in words."""
    given = {(one.observation, one.option) for one in answer.matches}
    return (one for one in sizes if (one.observation, one.option) not in given)


def _as_sure(answer: Answered, signs: Sequence[Match]) -> Iterator[Match]:
    """The answer; to be asked first where another one to the same question is told beside it."""
    told = {(one.observation, one.option) for one in signs if one.strength != EITHER}
    for one in answer.matches:
        others = {option for name, option in told if name == one.observation}
        yield replace(one, strength=EITHER) if others - {one.option} else one


def _beside(answer: Answered, signs: Sequence[Match], asked: str) -> Iterator[Match]:
    """What is told beside an answer: to be asked first, since it may be a part of the answer."""
    given = {one.option for one in answer.matches}
    for one in signs:
        if not answer.matches:
            yield one
        elif one.observation != asked or one.option not in given:
            yield replace(one, strength=EITHER)


def _asked_first(matches: Iterable[Match], likeness: Mapping[Meaning, float]) -> Iterator[Match]:
    """What the words say, asked for where sentences that mean it are quite otherwise."""
    known = shipped_likeness().meanings
    for one in matches:
        meaning = one.observation, one.option
        doubted = known.get(meaning, 0) >= ENOUGH and likeness.get(meaning, AGREES) < AGREES
        yield replace(one, strength=EITHER) if doubted else one


def _likeliest(matches: Sequence[Match], likeness: Mapping[Meaning, float]) -> tuple[Match, ...]:
    """What is sure, as it was said, then what words name and what is guessed, likeliest first."""
    sure = [one for one in matches if one.strength != EITHER]
    unsure = [one for one in matches if one.strength == EITHER]
    unsure.sort(
        key=lambda one: (
            not one.words,
            -likeness.get((one.observation, one.option), AGREES),
        )
    )
    return (*sure, *unsure[:MOST_ASKED])


def _guesses(
    likeness: Mapping[Meaning, float], book: Catalogue, facts: Mapping[str, str], asked: str
) -> tuple[Match, ...]:
    """What such sentences have meant, to be asked; of the question that was asked, if of one."""
    found = [
        Match(name, option, "", EITHER)
        for (name, option), score in likeness.items()
        if score >= LIKELY and name in book.observations and asked in ("", name)
        if option in book.observations[name].options
        if holds(book.observations[name].applies, facts)
    ]
    return tuple(found[:MOST_GUESSES])
