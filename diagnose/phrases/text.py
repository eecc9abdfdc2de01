"""A text as tokens, and tokens as the groups of words that they stand for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from diagnose.catalogue.plain_vocabulary import NUMBER, Expression, PlainWords, stem

_WORD = r"[^\W\d_]+(?:['\u2019][^\W\d_]+)*"
_NUMBER = r"\d+(?:[.,]\d+)*(?: ?(?:m?[av]|ah|w|psi|bar|ohms?|volts?|amps?|awg|ft)\b)?"
_SIGN = r"[.,;:!?()&+\n\u2026]|\s[-\u2013\u2014]\s"
_TOKEN = re.compile(f"{_WORD}|{_NUMBER}|{_SIGN}", re.IGNORECASE)
_DRAWN_OUT = re.compile(r"(.)\1{2,}")
"""A letter typed three times or more: "soooo", "brrrrrr"."""

_OWNS = re.compile(r"['\u2019]s$|s['\u2019]$", re.IGNORECASE)
_NOT_DOUBLED = re.compile(r"(?<=[aeiou])([bdgmnprt])(ed|ing|in|y)$")
PUNCTUATION = {",": "joins", "&": "joins", "+": "joins"}
"""What a sign does to a sentence; any that is not listed ends it."""

SHORT, LONG = 5, 9
"""Letters of a word: a shorter one than SHORT may only have exchanged two, one of LONG may have
slipped twice."""


@dataclass(frozen=True)
class Token:
    """A word, a number or a sign of punctuation, with where it stands in the text."""

    start: int
    end: int
    word: str
    stem: str
    kind: str
    owns: bool = False
    """Whether it names whose the next thing is: "the mower's"."""


@dataclass(frozen=True)
class Item:
    """Tokens read together: kind and name of an expression, both "" for a word not known, or the
    kind of a sign of punctuation. exact: spelt as it should be."""

    kind: str
    name: str
    tokens: frozenset[int]
    exact: bool = True
    owns: bool = False
    open: bool = False
    """Whether it ends with a small word, so that what comes next belongs to it: "sits like a"."""
    counts: bool = False
    """Whether it tells how many or how often."""


def tokens_of(text: str) -> list[Token]:
    """The tokens of a text in order."""
    return [
        Token(
            match.start(),
            match.end(),
            *_kind(match.group()),
            _OWNS.search(match.group()) is not None,
        )
        for match in _TOKEN.finditer(text)
    ]


def _kind(text: str) -> tuple[str, str, str]:
    """A token's word, stem and kind."""
    if text[0].isdigit():
        return text, NUMBER, "number"
    if text[0].isalpha():
        word = _DRAWN_OUT.sub(r"\1\1", text.lower().replace("\u2019", "").replace("'", ""))
        return word, stem(word), "word"
    return text, "", PUNCTUATION.get(text.strip(), "stops")


ADVERB = "ly"
"""How words end that say in what manner something is done: one not known changes nothing."""

MOST_BETWEEN = 8
"""Small words that may stand between the words of one expression; more of them say nothing."""

BEGINS = ("every", "each", "does", "do", "did")
"""Small words that begin something and are never passed over."""

COUNTS = ("once", "twice", "thrice")
OPEN_ENDS = ("a", "an", "the", "of", "as", "like", "with", "my", "your", "their")
"""Small words at the end of an expression that say that more follows."""

ABOUT = ("or", "to", "so", "odd", "and", "a", "more", "ish", "good", "whole")
"""Small words that may stand between a number and what is counted."""

SHORT_PHRASE = 2
"""Words of an expression; a longer one tells what it means whoever does it."""

PEOPLE = frozenset(("i", "we", "you", "he", "they", "ive", "weve", "somebody", "someone"))
"""Words behind which what is done is a person's doing: "when i stop"."""

PRONOUN, PERSON, ARTICLE, ASKING = "pronoun", "person", "article", "asking"
PAST, PRESENT, NOW, SUPPOSED = "past", "present", "now", "supposed"
_POINTING = {
    **dict.fromkeys(("it", "its", "itll", "she", "shes", "he", "hes", "they", "theyre"), PRONOUN),
    **dict.fromkeys(("was", "were", "had"), PAST),
    **dict.fromkeys(("is", "are", "does", "do", "can", "should", "will", "would"), ASKING),
    "still": PRESENT,
    **dict.fromkeys(("now", "today"), NOW),
    **dict.fromkeys(("if",), SUPPOSED),
    **dict.fromkeys(
        ("i", "we", "you", "ive", "weve", "youve", "im", "someone", "somebody"), PERSON
    ),
    **dict.fromkeys(("a", "an", "the", "this", "that", "some", "my", "our"), ARTICLE),
}
"""Small words that stand for what was spoken of or say when it was: the name of their items."""


def read_items(tokens: Sequence[Token], words: PlainWords) -> list[Item]:
    """Tokens as items, the longest expression first at every place."""
    spelt = [_spelt(token, words) for token in tokens]
    items: list[Item] = []
    at = 0
    while at < len(tokens):
        item = _item(at, tokens, spelt, words)
        if item.kind == "state" and _done_by_a_person(at, tokens, item, words):
            item = replace(item, kind="fillers", name="")
        if item.kind in ("fillers", "conditions") and len(item.tokens) == 1:
            item = replace(item, name=_POINTING.get(tokens[at].word, item.name))
        at = max(item.tokens) + 1
        told = item.kind != "fillers" and item.name
        if items and told and (items[-1].kind, items[-1].name) == (item.kind, item.name):
            last = items.pop()
            item = replace(item, tokens=last.tokens | item.tokens, exact=last.exact or item.exact)
        items.append(item)
    return [_alone(n, items, tokens) for n in range(len(items))]


ENDS = ("stops", "joins", "breaks", "turns")
POINTS = (PRONOUN, PERSON)
"""What comes behind a "no" that denies nothing of it: "no its stopped"."""

DENY = "deny"
"""The kind of a "no" that answers, and of the replies that do."""

DOES_NOT, STANDS = ("doesnt", "dont", "wont", "didnt", "wouldnt"), "not-turning"
"""Words that end a clause about a thing that stands, and its state: "lights work, pump doesnt"."""

NOTHING, NOTHING_YET = ("nothing", "nowt"), "nothing-yet"
"""Words that alone in a clause are an outcome, and the state that they are then."""


def _alone(at: int, items: Sequence[Item], tokens: Sequence[Token]) -> Item:
    """An item, as an outcome where it is a "nothing" that stands alone: "tapped it, nothing", or a
    "doesnt" that ends what is said of a thing; a "no" before a sentence denies nothing of it."""
    item = items[at]
    if item.kind != "negations" or len(item.tokens) > 1:
        return item
    word = tokens[min(item.tokens)].word
    behind = items[at + 1] if at + 1 < len(items) else None
    if at == 0:
        points = word == "no" and behind is not None and behind.name in POINTS
        return replace(item, kind=DENY) if points else item
    ends = behind is None or behind.kind in ENDS
    if word in NOTHING and ends and items[at - 1].kind in ENDS:
        return replace(item, kind="state", name=NOTHING_YET)
    if word == "no" and behind is not None and behind.name in POINTS:
        return replace(item, kind="fillers", name="")
    before = [one for one in items[:at] if one.kind != "fillers"]
    if word in DOES_NOT and ends and before and before[-1].kind == "thing":
        return replace(item, kind="state", name=STANDS)
    return item


def _done_by_a_person(at: int, tokens: Sequence[Token], item: Item, words: PlainWords) -> bool:
    own = words.trials | words.undoing | words.circumstances
    doing = at > 0 and tokens[at - 1].word in PEOPLE and item.name not in own
    return doing and len(item.tokens) <= SHORT_PHRASE


def _item(at: int, tokens: Sequence[Token], spelt: Sequence[str], words: PlainWords) -> Item:
    if tokens[at].kind not in ("word", "number"):
        return Item(tokens[at].kind, tokens[at].word, frozenset([at]))
    ahead = _ahead(at, tokens, spelt)
    for one in _beginning(tokens[at], spelt[at], words):
        if len(one.stems) > 1 and one.stems[1] != NUMBER and one.stems[1] not in ahead:
            continue
        found = _match(one, at, tokens, spelt, words)
        if found:
            exact = all(spelt[i] == tokens[i].stem for i in found)
            open_end = len(found) > 1 and tokens[found[-1]].word in OPEN_ENDS
            used = frozenset(range(at, found[-1] + 1))
            counts = any(_number(spelt[i], words) or tokens[i].word in COUNTS for i in found)
            return Item(one.kind, one.name, used, exact, open=open_end, counts=counts)
    if tokens[at].word.endswith(ADVERB) and len(tokens[at].word) > len(ADVERB) + 2:
        return Item("fillers", "", frozenset([at]), exact=False)
    kind = "figure" if tokens[at].kind == "number" else ""
    return Item(kind, "", frozenset([at]), owns=tokens[at].owns)


def _ahead(at: int, tokens: Sequence[Token], spelt: Sequence[str]) -> set[str]:
    """The words among which the second one of an expression that begins here has to be."""
    near = range(at + 1, min(at + 2 + MOST_BETWEEN, len(tokens)))
    return {spelt[n] for n in near} | {f"={tokens[n].word}" for n in near}


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
    """The tokens that an expression takes up from `at` on; a few small words between do not
    count."""
    found: list[int] = []
    last = at + len(one.stems) + MOST_BETWEEN
    for wanted in one.stems:
        while found and at < len(tokens) and not _same(wanted, at, tokens, spelt, words):
            if words.kind_of(spelt[at]) not in ("fillers", "places") or tokens[at].word in BEGINS:
                return []
            if one.stems[len(found) - 1] == NUMBER and tokens[at].word not in ABOUT:
                return []
            at += 1
            if at > last:
                return []
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
    meant = (stem(word) for word in _other_spellings(token.word))
    found = next((one for one in (token.stem, *meant) if one in known), "")
    return found or _nearest(token.stem, known)


def _other_spellings(word: str) -> Iterator[str]:
    """A word without its g, or with a consonant that was not doubled: "hummin", "cloged"."""
    if word.endswith("in"):
        yield f"{word}g"
    doubled = _NOT_DOUBLED.sub(r"\1\1\2", word)
    if doubled != word:
        yield doubled


@lru_cache(maxsize=4096)
def _nearest(word: str, known: tuple[str, ...]) -> str:
    """The known word that one slip of the keys away is, the first letter being right: a letter too
    many or too few, another one in its place, or two exchanged. The word itself when none is near,
    or two are as near as each other."""
    from rapidfuzz.distance import OSA

    room = 1 + (len(word) >= LONG)
    slips = [(OSA.distance(word, one, score_cutoff=room), one) for one in known]
    found = sorted(pair for pair in slips if pair[0] <= room and _close(word, pair[1]))
    clear = found and (len(found) == 1 or found[0][0] < found[1][0])
    return found[0][1] if clear else word


def _close(word: str, known: str) -> bool:
    """Whether one may be the other misspelt: in a short word only letters lost, doubled or
    exchanged, since another letter in its place makes another word."""
    shorter = min(len(word), len(known))
    exchanged = sorted(word) == sorted(known) and shorter > 3
    return exchanged or shorter > SHORT or (shorter == SHORT and len(word) != len(known))
