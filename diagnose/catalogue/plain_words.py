"""A complaint in a person's own words, as the observations it may mean.

Nothing is guessed in silence: every match says which words made it and how surely, words that may
mean several things give all of them, and what was not understood is handed back.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.catalogue.plain_clauses import Mention, mentions_of
from diagnose.catalogue.plain_text import Item, Token, read_items, tokens_of
from diagnose.catalogue.plain_vocabulary import Phrase, PlainWords
from diagnose.catalogue.records import Catalogue, holds
from diagnose.errors import DiagnoseError

LONGEST = 2000
"""Characters that a complaint may have."""

CLEAR, NEAR, EITHER = "clear", "near", "either"
STRENGTHS = (CLEAR, NEAR, EITHER)
"""clear: said in so many words; near: by a misspelt word, a supposition or a thing named in the
sentence before; either: the words may mean one of several."""


class TooLong(DiagnoseError):
    """More text than a complaint can be."""


@dataclass(frozen=True)
class Match:
    """An observation that some words may mean; `words` as they were typed."""

    observation: str
    option: str
    words: str
    strength: str


@dataclass(frozen=True)
class PlainReading:
    """What was made of a text.

    matches: in the order of the text, to be confirmed; absent: said of things that this rig does
    not have; not_understood: pieces of the text that nothing was made of.
    """

    matches: tuple[Match, ...]
    absent: tuple[Match, ...]
    not_understood: tuple[str, ...]


def read_plain(
    text: str, vocabulary: PlainWords, catalogue: Catalogue, facts: Mapping[str, str]
) -> PlainReading:
    """What a text says of a rig with these facts. Raises TooLong."""
    if len(text) > LONGEST:
        raise TooLong(f"That is too long: say it in at most {LONGEST} characters.")
    tokens = tokens_of(text)
    items = read_items(tokens, vocabulary)
    hits = [hit for one in mentions_of(items, vocabulary) for hit in _hits(one, vocabulary)]
    here = [h for h in hits if holds(catalogue.observations[h.phrase.observation].applies, facts)]
    heard = _used(here)
    away = [hit for hit in hits if hit not in here and not hit.used <= heard]
    typed = _Typed(text, tokens, items, vocabulary)
    return PlainReading(
        typed.matches(_settled(_longest(here))),
        typed.matches(_longest(away)),
        tuple(typed.left_over(heard | _used(away))),
    )


@dataclass(frozen=True)
class _Hit:
    """A sign found, with the tokens that made it."""

    phrase: Phrase
    used: frozenset[int]
    strength: str

    @property
    def sign(self) -> tuple[str, str]:
        return self.phrase.observation, self.phrase.option

    def rivals(self, other: _Hit) -> bool:
        """Whether the same words make another sign that cannot hold beside this one."""
        same_words = self.used == other.used and self.sign != other.sign
        same_kind = self.phrase.observation == other.phrase.observation
        return same_words and (same_kind or self.phrase.thing != other.phrase.thing)


def _hits(mention: Mention, words: PlainWords) -> Iterator[_Hit]:
    """Every sign that a mention holds."""
    mended = any(name in words.undoing - words.trials for name, _ in mention.said)
    for phrase in words.phrases:
        named = phrase.thing in words.means(mention.thing)
        if (named or not phrase.thing) and phrase.terms <= mention.said.keys():
            parts = [mention.said[term] for term in phrase.terms]
            own = mention.used if named else frozenset[int]()
            sure = all(part.sure for part in parts) and (mention.sure or not named) and not mended
            yield _Hit(phrase, own.union(*(part.used for part in parts)), CLEAR if sure else NEAR)


def _used(hits: Iterable[_Hit]) -> frozenset[int]:
    return frozenset(index for hit in hits for index in hit.used)


def _longest(hits: Sequence[_Hit]) -> list[_Hit]:
    """Without those whose words are a part of what makes another."""
    return [hit for hit in hits if not any(hit.used < other.used for other in hits)]


def _settled(hits: Sequence[_Hit]) -> list[_Hit]:
    """Rivals marked as such, unless one of them is also said elsewhere, which settles it."""
    marked = [
        replace(hit, strength=EITHER) if any(hit.rivals(other) for other in hits) else hit
        for hit in hits
    ]
    certain = {hit.sign for hit in marked if hit.strength != EITHER}
    return [hit for hit in marked if not _outdone(hit, hits, certain)]


def _outdone(hit: _Hit, hits: Sequence[_Hit], certain: Collection[tuple[str, str]]) -> bool:
    rivals = {other.sign for other in hits if hit.rivals(other)}
    return bool(rivals) and hit.sign not in certain and not rivals.isdisjoint(certain)


_TELLING = ("", "lookalikes", "thing", "state", "negations")
"""Kinds of items that say something by themselves."""


@dataclass(frozen=True)
class _Typed:
    """The text, for giving pieces of it back as they were typed."""

    text: str
    tokens: Sequence[Token]
    items: Sequence[Item]
    words: PlainWords

    def matches(self, hits: Iterable[_Hit]) -> tuple[Match, ...]:
        """One match a sign, the surest of its hits, in the order of the text."""
        best: dict[tuple[str, str], _Hit] = {}
        for hit in sorted(hits, key=lambda hit: (STRENGTHS.index(hit.strength), min(hit.used))):
            best.setdefault(hit.sign, hit)
        ordered = sorted(best.values(), key=lambda hit: (min(hit.used), sorted(hit.used)))
        return tuple(Match(*hit.sign, self._quoted(hit.used), hit.strength) for hit in ordered)

    def left_over(self, heard: frozenset[int]) -> Iterator[str]:
        """Runs of tokens that no sign was made of, without small words at their ends."""
        run: list[Item] = []
        for item in self.items:
            if item.tokens <= heard or item.kind in ("stops", "joins", "breaks"):
                yield from self._told(run)
                run = []
            else:
                run.append(item)
        yield from self._told(run)

    def _told(self, run: Sequence[Item]) -> Iterator[str]:
        telling = [item for item in run if self._tells(item)]
        if any(item.kind != "negations" for item in telling):
            yield self._piece(min(telling[0].tokens), max(telling[-1].tokens))

    def _tells(self, item: Item) -> bool:
        """Whether an item says something by itself: a thing, a word not known, a state, but not
        when or how."""
        when_or_how = self.words.circumstances - self.words.trials
        return item.kind in _TELLING and item.name not in when_or_how

    def _quoted(self, used: frozenset[int]) -> str:
        """The words used, with dots for what was passed over between them."""
        small = {i for one in self.items if one.kind in ("fillers", "places") for i in one.tokens}
        pieces: list[list[int]] = []
        for index in sorted(used):
            if pieces and small.issuperset(range(pieces[-1][-1] + 1, index)):
                pieces[-1].append(index)
            else:
                pieces.append([index])
        return " \u2026 ".join(self._piece(piece[0], piece[-1]) for piece in pieces)

    def _piece(self, first: int, last: int) -> str:
        return self.text[self.tokens[first].start : self.tokens[last].end]
