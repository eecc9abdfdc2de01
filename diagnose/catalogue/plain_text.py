"""A text as tokens, and tokens as the groups of words that they stand for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import lru_cache

from diagnose.catalogue.plain_vocabulary import NUMBER, Expression, PlainWords, stem

_WORD = r"[^\W\d_]+(?:['\u2019][^\W\d_]+)*"
_NUMBER = r"\d+(?:[.,]\d+)*(?: ?(?:m?[av]|ah|w|psi|bar|ohms?|volts?|amps?|awg|ft)\b)?"
_SIGN = r"[.,;:!?()&+\n\u2026]|\s[-\u2013\u2014]\s"
_TOKEN = re.compile(f"{_WORD}|{_NUMBER}|{_SIGN}", re.IGNORECASE)
PUNCTUATION = {",": "joins", "&": "joins", "+": "joins"}
"""What a sign does to a sentence; any that is not listed ends it."""

ALIKE, ALIKE_SHORT = 0.82, 0.85
"""Share of letters that a misspelt word has in common with the right one: room for one slip; a
short word may have lost, gained or exchanged a letter, but not have another one in its place."""

SHORT = 5
"""Letters of a short word; one that is shorter still may only have exchanged two."""


@dataclass(frozen=True)
class Token:
    """A word, a number or a sign of punctuation, with where it stands in the text."""

    start: int
    end: int
    word: str
    stem: str
    kind: str


@dataclass(frozen=True)
class Item:
    """Tokens read together: kind and name of an expression, both "" for a word not known, or the
    kind of a sign of punctuation. exact: spelt as it should be."""

    kind: str
    name: str
    tokens: frozenset[int]
    exact: bool = True


def tokens_of(text: str) -> list[Token]:
    """The tokens of a text in order."""
    return [
        Token(match.start(), match.end(), *_kind(match.group())) for match in _TOKEN.finditer(text)
    ]


def _kind(text: str) -> tuple[str, str, str]:
    """A token's word, stem and kind."""
    if text[0].isdigit():
        return text, NUMBER, "number"
    if text[0].isalpha():
        word = text.lower().replace("\u2019", "").replace("'", "")
        return word, stem(word), "word"
    return text, "", PUNCTUATION.get(text.strip(), "stops")


def read_items(tokens: Sequence[Token], words: PlainWords) -> list[Item]:
    """Tokens as items, the longest expression first at every place."""
    spelt = [_spelt(token, words) for token in tokens]
    items: list[Item] = []
    at = 0
    while at < len(tokens):
        item = _item(at, tokens, spelt, words)
        at = max(item.tokens) + 1
        if items and item.name and (items[-1].kind, items[-1].name) == (item.kind, item.name):
            last = items.pop()
            item = replace(item, tokens=last.tokens | item.tokens, exact=last.exact or item.exact)
        items.append(item)
    return items


def _item(at: int, tokens: Sequence[Token], spelt: Sequence[str], words: PlainWords) -> Item:
    if tokens[at].kind not in ("word", "number"):
        return Item(tokens[at].kind, "", frozenset([at]))
    for one in _beginning(tokens[at], spelt[at], words):
        found = _match(one, at, tokens, spelt, words)
        if found:
            exact = all(spelt[i] == tokens[i].stem for i in found)
            return Item(one.kind, one.name, frozenset(range(at, found[-1] + 1)), exact)
    return Item("", "", frozenset([at]))


def _beginning(token: Token, stem: str, words: PlainWords) -> list[Expression]:
    """The expressions that may begin here, long ones first, those of just this form before."""
    first = [f"={token.word}", stem] + [NUMBER] * (_number(stem, words) and stem != NUMBER)
    return sorted((one for w in first for one in words.by_first.get(w, ())), key=_shortness)


def _shortness(one: Expression) -> int:
    return -len(one.stems)


def _number(word: str, words: PlainWords) -> bool:
    return word == NUMBER or words.kind_of(word) == "numbers"


def _match(
    one: Expression, at: int, tokens: Sequence[Token], spelt: Sequence[str], words: PlainWords
) -> list[int]:
    """The tokens that an expression takes up from `at` on; small words between do not count."""
    found: list[int] = []
    for wanted in one.stems:
        while found and at < len(tokens) and not _same(wanted, at, tokens, spelt, words):
            if words.kind_of(spelt[at]) not in ("fillers", "places"):
                return []
            at += 1
        if at == len(tokens) or not _same(wanted, at, tokens, spelt, words):
            return []
        found.append(at)
        at += 1
    return found


def _same(
    wanted: str, at: int, tokens: Sequence[Token], spelt: Sequence[str], words: PlainWords
) -> bool:
    if wanted == NUMBER:
        return _number(spelt[at], words)
    return wanted in (spelt[at], f"={tokens[at].word}")


def _spelt(token: Token, words: PlainWords) -> str:
    """The stem as it should have been spelt, where a known word is like it."""
    if token.kind != "word":
        return token.stem
    known = words.known.get(token.stem[0], ())
    return token.stem if token.stem in known else _nearest(token.stem, known)


@lru_cache(maxsize=4096)
def _nearest(word: str, known: tuple[str, ...]) -> str:
    """The known word most like one that is not known, the first letter being right; the word
    itself when none is near, or two are as near as each other."""
    found = sorted(_likeness(word, known), reverse=True)
    clear = found and (len(found) == 1 or found[0][0] > found[1][0])
    return found[0][1] if clear else word


def _likeness(word: str, known: Sequence[str]) -> Iterator[tuple[float, str]]:
    matcher = SequenceMatcher(b=word, autojunk=False)
    enough = ALIKE_SHORT if len(word) <= SHORT else ALIKE
    for one in known:
        matcher.set_seq1(one)
        exchanged = sorted(one) == sorted(word) and len(word) > 3
        close = abs(len(one) - len(word)) < 2 and min(len(one), len(word)) >= SHORT
        if exchanged or (close and matcher.quick_ratio() >= enough <= matcher.ratio()):
            yield matcher.ratio(), one
