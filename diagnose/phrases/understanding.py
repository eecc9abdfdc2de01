"""The one way in: a text, the book, a rig, and the question that was just asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from diagnose.catalogue.plain_reader import shipped_plain_words
from diagnose.catalogue.plain_vocabulary import PlainWords
from diagnose.catalogue.records import Catalogue, holds
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError
from diagnose.phrases.answers import Answered, answered
from diagnose.phrases.fuse_sizes import fuse_sizes
from diagnose.phrases.heights import HEIGHT, heights
from diagnose.phrases.likeness import Likeness, shipped_likeness
from diagnose.phrases.readings import readings_of
from diagnose.phrases.records import EITHER, LONGEST, Match, Understood
from diagnose.phrases.rig_words import words_for
from diagnose.phrases.signs import signs_of
from diagnose.phrases.text import read_items, tokens_of
from diagnose.phrases.typed import Typed
from diagnose.phrases.weighing import LIKELY, LIKELY_BESIDE, Weighing

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
    likeness: Likeness | None = None,
) -> Understood:
    """What a text says of a rig with these facts. asked: the observation or reading that was asked
    for just before, in the light of which a short answer is understood. Raises TooLong."""
    heard, exact = hear(text, book, facts, rig, asked, words)
    likeness = likeness or shipped_likeness()
    scores = likeness.scores(text)
    whole = not heard.not_understood
    weighing = Weighing(likeness, scores, heard.matches, asked or "", exact, whole)
    named = tuple(weighing.weighed())
    told_plainly = heard.cannot_tell or heard.absent or heard.readings
    if len(text.split()) < FEWEST_WORDS or told_plainly:
        return replace(heard, matches=weighing.likeliest(named))
    sure = {one.observation for one in named if one.strength != EITHER}
    told = {(one.observation, one.option) for one in named}
    possible = (
        one
        for one in possible_answers(weighing, book, facts)
        if one.observation not in sure and (one.observation, one.option) not in told
    )
    least = LIKELY_BESIDE if sure and not heard.not_understood else LIKELY
    guesses = weighing.guesses(tuple(possible), least)
    return replace(heard, matches=weighing.likeliest((*named, *guesses)))


def hear(
    text: str,
    book: Catalogue,
    facts: Mapping[str, str],
    rig: Rig,
    asked: str | None = None,
    words: PlainWords | None = None,
) -> tuple[Understood, tuple[Match, ...]]:
    """What the words of a text say, before it is held against others, and which of it is told by
    figures. Raises TooLong."""
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
    named = (*_as_sure(answer, here), *_beside(answer, here, asked), *_unless(answer, sizes))
    left = tuple(typed.left_over(signs.used | answer.used))
    return Understood(named, readings, signs.absent, left, answer.cannot_tell), sizes


def possible_answers(
    weighing: Weighing, book: Catalogue, facts: Mapping[str, str]
) -> Iterator[Match]:
    """What no words name and such sentences may mean on this rig; of the question that was asked,
    if of one."""
    for (name, option), score in weighing.scores.items():
        entry = book.observations.get(name) if score > 0 else None
        if entry is None or option not in entry.options or weighing.asked not in ("", name):
            continue
        if holds(entry.applies, facts):
            yield Match(name, option, "", EITHER)


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
            yield replace(one, strength=EITHER, doubted=True)
