"""Pieces of a text given back as they were typed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.catalogue.plain_vocabulary import IT, OTHER, PlainWords
from diagnose.phrases.clauses import Clause, clauses_of
from diagnose.phrases.text import Item, Token

_TELLING = ("", "figure", "lookalikes", "thing", "state", "negations")
"""Kinds of items that say something by themselves."""

MOST, MOST_OF_AN_ANSWER = 0.4, 0.3
"""Share of what is said that has to be understood for anything of it to be taken without asking; of
an answer less, since the question says what it is about. Choices: in a long story with one familiar
word, that word is seldom what the story is about."""

PUMPS = ("pump", "motor")
"""What is meant where no thing is named."""


@dataclass(frozen=True)
class Typed:
    """A text with what it was cut into."""

    text: str
    tokens: Sequence[Token]
    items: Sequence[Item]
    words: PlainWords
    gone: frozenset[int] = frozenset()
    """Tokens that were made something of elsewhere."""

    def left_over(self, heard: frozenset[int]) -> Iterator[str]:
        """Runs of tokens that nothing was made of, without small words at their ends."""
        run: list[Item] = []
        for item in self.items:
            if item.tokens <= heard or item.kind in ("stops", "joins", "breaks", "turns"):
                yield from self._told(run)
                run = []
            else:
                run.append(item)
        yield from self._told(run)

    def strange(self, clause: Clause, heard: frozenset[int], named: bool) -> bool:
        """Whether a clause says something that nothing was made of, beside where and when. Where a
        sign's own thing is not named, another that is there counts too."""
        if clause.only_when:
            return False
        return any(
            self._says(item)
            and not item.tokens <= heard
            and not clause.says_where(at)
            and not (item.kind == "" and clause.describes(at))
            and (item.kind != "thing" or item.name == OTHER or not (named or item.name in PUMPS))
            for at, item in enumerate(clause.items)
        )

    def mostly(
        self, heard: frozenset[int], share: float = MOST, near: frozenset[int] | None = None
    ) -> bool:
        """Whether that share of what the text says was understood; near: only the sentences that
        have these tokens."""
        every = [i for one in self._sentences if not near or near & one for i in one]
        told = [i for i in every if i in heard or self._carries_meaning(i)]
        return sum(i in heard for i in told) >= share * len(told)

    def says_more(self, used: frozenset[int], heard: frozenset[int]) -> bool:
        """Whether the sentence that has these tokens tells before them of another thing, or
        something that nothing was made of."""
        near = frozenset[int]().union(*(one for one in self._sentences if one & used))
        when_or_how = self.words.circumstances | self.words.passing
        return any(
            item.kind in ("thing", "state", "lookalikes")
            and item.name not in when_or_how | {*PUMPS, IT}
            and item.tokens <= near
            and not item.tokens & used
            and (item.kind == "thing" or not item.tokens <= heard)
            and min(item.tokens) < max(used)
            for item in self.items
        )

    @cached_property
    def _sentences(self) -> Sequence[frozenset[int]]:
        """The tokens of each sentence."""
        ends = [i for i, token in enumerate(self.tokens) if token.kind == "stops"]
        starts = [0, *(i + 1 for i in ends)]
        return [
            frozenset(range(start, end))
            for start, end in zip(starts, [*ends, len(self.tokens)], strict=True)
        ]

    def _carries_meaning(self, at: int) -> bool:
        token = self.tokens[at]
        return token.kind == "word" and not (token.word in self.words.grammar or at in self._aside)

    @cached_property
    def _aside(self) -> frozenset[int]:
        """Tokens that only say where, small words, what is told of something that is no part of a
        rig, and what was read elsewhere."""
        where = (
            item.tokens
            for clause in clauses_of(self.items)
            for at, item in enumerate(clause.items)
            if clause.says_where(at) or (item.kind == "" and clause.describes(at))
        )
        small = (one.tokens for one in self.items if one.kind == "fillers")
        other = (clause.tokens for clause in clauses_of(self.items) if _of_another(clause))
        return self.gone.union(*where, *small, *other)

    def _says(self, item: Item) -> bool:
        passing = item.name in self.words.passing | self.words.undoing
        return item.kind in ("", "lookalikes", "thing", "state", "negations") and not passing

    def _told(self, run: Sequence[Item]) -> Iterator[str]:
        telling = [item for item in run if self._tells(item)]
        if any(item.kind != "negations" for item in telling):
            yield self._piece(min(telling[0].tokens), max(telling[-1].tokens))

    def _tells(self, item: Item) -> bool:
        """Whether an item says something by itself: a thing, a word not known, a state, but not
        when or how."""
        when_or_how = self.words.circumstances - self.words.trials
        return item.kind in _TELLING and item.name not in when_or_how

    def without(self, stretches: Sequence[tuple[int, int]]) -> Typed:
        """The same with nothing said any more in some stretches, which tell of something else."""
        if not stretches:
            return self
        gone = frozenset(
            i
            for i, token in enumerate(self.tokens)
            if any(start <= token.start and token.end <= end for start, end in stretches)
        )
        small = ("stops", "joins", "breaks", "turns")
        items = [
            replace(one, kind="fillers", name="")
            if one.tokens & gone and one.kind not in small
            else one
            for one in self.items
        ]
        return replace(self, items=items, gone=gone)

    def quoted(self, used: frozenset[int]) -> str:
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


def _of_another(clause: Clause) -> bool:
    """Whether a clause tells only of something that is no part of a rig."""
    things = clause.of("thing")
    return bool(things) and all(one.name == OTHER for one in things)
