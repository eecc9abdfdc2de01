"""What a sentence is compared by: the pieces of its words, their stems, the groups of words that
are heard in it, and the signs that these make."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from diagnose.catalogue.plain_reader import shipped_plain_words
from diagnose.catalogue.plain_vocabulary import PlainWords
from diagnose.phrases.clauses import Clause, clauses_of
from diagnose.phrases.mentions import mentions_of
from diagnose.phrases.text import Item, Token, read_items, tokens_of

KINDS = 4
"""Kinds of features; each counts alike, however many of it there are."""

PIECES = (3, 4, 5)
"""Letters of a piece of a word, with the gap before and behind it."""

FAR = 4
"""How far two groups of words in a clause may stand apart to be taken as a pair."""

_WORD = re.compile(r"[^\W_]+")


@lru_cache(maxsize=8192)
def features_of(text: str) -> tuple[tuple[str, ...], ...]:
    """The features of a text, each kind for itself; kept, since learning reads each often."""
    words = shipped_plain_words()
    tokens = tokens_of(text)
    items = read_items(tokens, words)
    heard = (one for clause in clauses_of(items) for one in _heard(clause, tokens))
    return tuple(_pieces(text)), tuple(_stems(tokens)), tuple(heard), _signs(items, words)


def _pieces(text: str) -> Iterator[str]:
    """Words, pairs of words that follow each other, and pieces of words."""
    words = _WORD.findall(text.lower().replace("\u2019", "").replace("'", ""))
    yield from words
    yield from _pairs(words)
    for word in words:
        spaced = f"_{word}_"
        for long in PIECES:
            for at in range(len(spaced) - long + 1):
                yield spaced[at : at + long]


def _stems(tokens: Sequence[Token]) -> Iterator[str]:
    """Stems, and pairs of them that follow each other."""
    stems = [one.stem for one in tokens if one.kind in ("word", "number")]
    yield from stems
    yield from _pairs(stems)


def _pairs(words: Sequence[str]) -> Iterator[str]:
    return (f"{first} {second}" for first, second in pairwise(words))


def _heard(clause: Clause, tokens: Sequence[Token]) -> Iterator[str]:
    """Things, states and denials of a clause and the words in it that are not known; pairs of them,
    in their order."""
    names = [clause.how] if clause.how in ("turns", "conditions") else []
    names += [name for item in clause.items for name in _names(item, tokens)]
    for at, name in enumerate(names):
        yield name
        for distance, other in enumerate(names[at + 1 : at + 1 + FAR]):
            yield f"{name}{'+' if not distance else ' .. '}{other}"


def _names(item: Item, tokens: Sequence[Token]) -> Iterator[str]:
    """What an item is called among what is heard; small words are passed over."""
    if item.kind in ("thing", "state") and item.name:
        yield item.name
    elif item.kind in ("negations", "hedges", "figure", "numbers"):
        yield item.kind
    elif item.kind == "":
        yield from (tokens[at].stem for at in sorted(item.tokens))


def _signs(items: Sequence[Item], words: PlainWords) -> tuple[str, ...]:
    """The signs that could be made of what is heard, each once."""
    found = {
        f"{phrase.observation}={phrase.option}"
        for mention in mentions_of(items, words)
        for phrase in words.phrases
        if phrase.observation
        and (not phrase.thing or phrase.thing in mention.means)
        and phrase.terms <= mention.said.keys()
    }
    return tuple(sorted(found))
