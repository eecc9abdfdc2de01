"""Which thing is meant by what is said of it: clauses, denials, and things not named again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from diagnose.catalogue.plain_text import Item
from diagnose.catalogue.plain_vocabulary import IT, PlainWords, Term

ENDS = ("stops", "breaks", "joins", "conditions")
"""Kinds of items that end a clause and say how the next one hangs on it."""


@dataclass(frozen=True)
class Said:
    """A group of words as it was said or denied, with the tokens that say so."""

    term: Term
    used: frozenset[int]
    sure: bool


@dataclass(eq=False)
class Mention:
    """One thing spoken of, and what is said of it; `used` is empty for a thing not named."""

    thing: str
    used: frozenset[int] = frozenset()
    sure: bool = True
    said: dict[Term, Said] = field(default_factory=dict)

    def take(self, said: Said) -> None:
        """Add something said; the same said twice is one thing, as sure as the surer."""
        known = self.said.get(said.term, said)
        self.said[said.term] = Said(said.term, known.used | said.used, known.sure or said.sure)


@dataclass(frozen=True)
class _Clause:
    """Items from one end to the next; `how` it hangs on the clause before, as in ENDS."""

    how: str
    items: tuple[Item, ...]

    def of(self, kind: str) -> list[Item]:
        return [item for item in self.items if item.kind == kind]


def mentions_of(items: Iterable[Item], words: PlainWords) -> list[Mention]:
    """Every thing that is spoken of, with what is said of it, over all clauses."""
    mentions, waiting, tried = [Mention(IT)], list[Mention](), list[Mention]()
    for clause in _clauses(items):
        if clause.how == "conditions" and clause.of("thing"):
            continue
        if clause.how != "joins":
            waiting, tried = [], []
        said = _said(clause, words)
        named = [_named(item, said[item]) for item in clause.of("thing")]
        owners = _Owners(clause, named, mentions, tried, words)
        for state in clause.of("state"):
            if state in said:
                owners.hand_out(state, said[state])
                for one in waiting:
                    one.take(said[state])
        mentions += sorted(named, key=owners.only_says_where, reverse=True)
        waiting = [] if clause.of("state") else [*waiting, *named]
        if any(state.name in words.trials for state in clause.of("state")):
            tried = [one for one in mentions if _tried(one, words)]
    return mentions


def _tried(mention: Mention, words: PlainWords) -> bool:
    return any(name in words.trials for name, _ in mention.said)


def _clauses(items: Iterable[Item]) -> Iterator[_Clause]:
    """The clauses of a text. A circumstance ends where a thing follows on what was said of the
    one before: "when the tap is open | the relay chatters"."""
    how, current = "breaks", list[Item]()
    for item in items:
        told = how == "conditions" and any(one.kind == "state" for one in current)
        ends = item.kind in ENDS and not (item.kind == "joins" and _spanning(current))
        if ends or (told and item.kind == "thing"):
            yield _Clause(how, tuple(current))
            how, current = item.kind if ends else "breaks", []
        current.append(item)
    yield _Clause(how, tuple(current))


def _spanning(items: Sequence[Item]) -> bool:
    """Whether "between this" is still waiting for "and that"."""
    spans = [i for i, item in enumerate(items) if item.kind == "spans"]
    return bool(spans) and not any(one.kind == "joins" for one in items[spans[-1] :])


def _said(clause: _Clause, words: PlainWords) -> dict[Item, Said]:
    """Things and states of a clause, denied where a negation goes before: it reaches as far as
    the next thing after a denied state. What tells of a repair leaves nothing else standing."""
    undoing = any(item.name in words.undoing for item in clause.of("state"))
    sure = not clause.of("hedges")
    found: dict[Item, Said] = {}
    denial, reached = frozenset[int](), False
    for item in clause.items:
        if item.kind == "negations":
            denial, reached = item.tokens, False
        elif item.kind == "thing" and reached:
            denial = frozenset()
        if item.kind == "thing" or (item.kind == "state" and not _undone(item, undoing, words)):
            denied = denial if item.name not in words.circumstances else frozenset()
            found[item] = Said((item.name, not denied), item.tokens | denied, sure and item.exact)
        reached |= item.kind == "state"
    return found


def _undone(state: Item, undoing: bool, words: PlainWords) -> bool:
    return undoing and state.name not in words.undoing


def _named(item: Item, said: Said) -> Mention:
    return Mention(item.name, item.tokens, said.sure, {said.term: said})


@dataclass(frozen=True)
class _Owners:
    """Whose the states of a clause are: named, the things in it; mentions, those before it;
    tried, those of which a trial was told just before."""

    clause: _Clause
    named: Sequence[Mention]
    mentions: Sequence[Mention]
    tried: Sequence[Mention]
    words: PlainWords

    def hand_out(self, state: Item, said: Said) -> None:
        """Give a state to the first thing that it makes sense with. Where it may be another's as
        well, both get it, less surely: behind a full stop, where no thing is named, and between
        two things ("the relay is hot fuse holder fine")."""
        candidates = [*self.tried[-1:], *self._nearest(state)]
        if not self.named:
            candidates = list(dict.fromkeys([*candidates, *self._earlier]))
        fitting = [one for one in candidates if self._fits(one, state)]
        between = len(fitting) > 1 and self._just_behind(state) == fitting[0]
        several = fitting[:2] if between or self._new_sentence else fitting[:1]
        doubtful = between or (self._new_sentence and several != [self.mentions[0]])
        for one in several or candidates[:1]:
            one.take(replace(said, sure=said.sure and not doubtful))

    @property
    def _new_sentence(self) -> bool:
        return self.clause.how == "stops" and not self.named

    @property
    def _earlier(self) -> Sequence[Mention]:
        return self.mentions[-1], self.mentions[0]

    def _fits(self, owner: Mention, state: Item) -> bool:
        trial = owner in self.tried or state.name in self.words.trials
        return self.words.fits(owner.thing, state.name, trial)

    def _nearest(self, state: Item) -> list[Mention]:
        """The things of the clause: one right behind the state, those before it from the nearest
        on, those behind it; last those that only say where."""
        adjacent = self._just_behind(state)
        before = [one for one in self.named if max(one.used) < min(state.tokens)]
        behind = [one for one in self.named if min(one.used) > max(state.tokens)]
        ordered = [*([adjacent] if adjacent else []), *reversed(before), *behind]
        return sorted(dict.fromkeys(ordered), key=self.only_says_where)

    def _just_behind(self, state: Item) -> Mention | None:
        """The thing that follows a state, with no more than small words between."""
        small = {i for one in self.clause.of("fillers") for i in one.tokens}
        end = max(state.tokens)
        behind = (one for one in self.named if min(one.used) > end)
        return next((x for x in behind if small.issuperset(range(end + 1, min(x.used)))), None)

    def only_says_where(self, one: Mention) -> bool:
        """Whether a thing is named only for the place: "the wire at the relay"."""
        before = [item for item in self.clause.items if max(item.tokens) < min(one.used)]
        told = [item for item in before if item.kind != "fillers"]
        span = any(item.kind == "spans" for item in told)
        return span or (bool(told) and told[-1].kind == "places")
