"""Which thing is meant by what is said of it: clauses, denials, and things not named again."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from diagnose.catalogue.plain_vocabulary import IT, OTHER, PlainWords, Term
from diagnose.phrases.text import PAST, PRESENT, PRONOUN, Item

ENDS = ("stops", "breaks", "turns", "joins", "conditions")
"""Kinds of items that end a clause and say how the next one hangs on it."""

SMELL, THERE = "smell", "smells-there"
"""A thing, and what is said of another thing that is named beside it."""


@dataclass(frozen=True)
class Said:
    """A group of words as it was said or denied, with the tokens that say so.

    sure: named in the clause and spelt right; guessed: a guess, hearsay, or of something that may
    be another; tried: said while something was tried; when: PAST or PRESENT where a word says so.
    """

    term: Term
    used: frozenset[int]
    sure: bool
    guessed: bool = False
    tried: bool = False
    when: str = ""


@dataclass(eq=False)
class Mention:
    """One thing spoken of, and what is said of it; `used` is empty for a thing not named; means:
    the things that its name can mean."""

    thing: str
    means: tuple[str, ...]
    used: frozenset[int] = frozenset()
    sure: bool = True
    said: dict[Term, Said] = field(default_factory=dict)

    def take(self, said: Said) -> None:
        """Add something said; the same said twice is one thing, as sure as the surer."""
        known = self.said.get(said.term, said)
        self.said[said.term] = Said(
            said.term,
            known.used | said.used,
            known.sure or said.sure,
            known.guessed and said.guessed,
            known.tried and said.tried,
            said.when or known.when,
        )


@dataclass(frozen=True)
class Clause:
    """Items from one end to the next; `how` it hangs on the clause before, as in ENDS."""

    how: str
    items: tuple[Item, ...]

    def of(self, kind: str) -> list[Item]:
        return [item for item in self.items if item.kind == kind]

    @cached_property
    def tokens(self) -> frozenset[int]:
        return frozenset(i for item in self.items for i in item.tokens)

    def says_where(self, at: int) -> bool:
        """Whether the item in that place only says where: "near the tank", "in the old shed"."""
        if any(one.kind == "spans" for one in self.items[:at]):
            return True
        for one in reversed(self.items[:at]):
            if one.kind == "places":
                return True
            if one.kind not in ("fillers", ""):
                return False
        return False


def mentions_of(
    items: Iterable[Item], words: PlainWords, spoken_of: Collection[str] = ()
) -> list[Mention]:
    """Every thing that is spoken of, with what is said of it, over all clauses. spoken_of: the
    things meant where none is named, those of a question just asked."""
    it = Mention(IT, tuple(spoken_of) or (IT,))
    mentions, waiting, tried = [it], list[Mention](), list[Mention]()
    for clause in clauses_of(items, words.trials):
        clause = _before_question(clause)
        if not clause.items or _only_supposed(clause, words):
            continue
        if clause.how not in ("joins", "turns"):
            waiting, tried = [], []
        said = _said(clause, words, any(_tried(one, words.altering) for one in tried))
        named = [_named(item, clause, said[item], words) for item in clause.of("thing")]
        _tell_where_it_smells(named)
        owners = _Owners(clause, named, mentions, tried, words)
        for state in clause.of("state"):
            if state in said:
                owners.hand_out(state, said[state])
                for one in waiting:
                    one.take(said[state])
        mentions += sorted(named, key=owners.only_says_where, reverse=True)
        waiting = [] if clause.of("state") else [*waiting, *named]
        if any(state.name in words.trials for state in clause.of("state")):
            tried = [one for one in mentions if _tried(one, words.trials)]
    return mentions


def _before_question(clause: Clause) -> Clause:
    """A clause without what is asked in it: "its smoking | what do i do"."""
    asked = (at for at, item in enumerate(clause.items) if item.kind == "questions")
    return replace(clause, items=clause.items[: next(asked, len(clause.items))])


def _only_supposed(clause: Clause, words: PlainWords) -> bool:
    """Whether a clause tells when or if, of a thing: it is a sign only where something is tried."""
    tried = any(one.name in words.trials for one in clause.of("state"))
    return clause.how == "conditions" and bool(clause.of("thing")) and not tried


def _tell_where_it_smells(named: Sequence[Mention]) -> None:
    """A thing named beside a smell is where it smells: "a burnt smell round the relay"."""
    for smell in named:
        said = smell.said.get((SMELL, True))
        if said is not None:
            for one in named:
                if one is not smell:
                    one.take(replace(said, term=(THERE, True)))


def _tried(mention: Mention, trials: Collection[str]) -> bool:
    return any(name in trials for name, _ in mention.said)


def clauses_of(items: Iterable[Item], trials: Collection[str] = ()) -> Iterator[Clause]:
    """The clauses of a text. A circumstance ends where a thing follows on what was said of the
    one before: "when the tap is open | the relay chatters", and an attempt with the next "it":
    "if i bridge the switch | it runs"."""
    how, current = "breaks", list[Item]()
    for item in items:
        told = how == "conditions" and any(one.kind == "state" for one in current)
        trying = told and any(one.name in trials for one in current)
        ends = item.kind in ENDS and not (item.kind == "joins" and _spanning(current))
        outcome = trying and item.name == PRONOUN and item.kind == "fillers"
        if ends or outcome or (told and not trying and item.kind == "thing"):
            yield Clause(how, tuple(current))
            how, current = item.kind if ends else "joins" if outcome else "breaks", []
        current.append(item)
    yield Clause(how, tuple(current))


def _spanning(items: Sequence[Item]) -> bool:
    """Whether "between this" is still waiting for "and that"."""
    spans = [i for i, item in enumerate(items) if item.kind == "spans"]
    return bool(spans) and not any(one.kind == "joins" for one in items[spans[-1] :])


def _said(clause: Clause, words: PlainWords, tried: bool) -> dict[Item, Said]:
    """Things and states of a clause, denied where a negation goes before: it reaches as far as
    the next thing after a denied state. What tells of a repair leaves nothing else standing."""
    states = clause.of("state")
    undoing = any(item.name in words.undoing for item in states)
    guessed = bool(clause.of("hedges"))
    tried = tried or any(item.name in words.altering for item in states)
    found: dict[Item, Said] = {}
    times = [item.name for item in clause.items if item.name in (PAST, PRESENT)]
    when = PRESENT if PRESENT in times else PAST if times else ""
    denial, reached = frozenset[int](), False
    for item in clause.items:
        if item.kind == "negations":
            denial, reached = item.tokens, False
        elif item.kind == "thing" and reached:
            denial = frozenset()
        if item.kind == "thing" or (item.kind == "state" and not _undone(item, undoing, words)):
            denied = denial if item.name not in words.circumstances else frozenset()
            term = item.name, not denied
            found[item] = Said(term, item.tokens | denied, item.exact, guessed, tried, when)
        reached |= item.kind == "state"
    return found


def _undone(state: Item, undoing: bool, words: PlainWords) -> bool:
    return undoing and state.name not in words.undoing


def _named(item: Item, clause: Clause, said: Said, words: PlainWords) -> Mention:
    """A thing as it is named; one that is a part of something else is only perhaps it: "the mower's
    relay", "the reel motor"."""
    at = clause.items.index(item)
    before = clause.items[at - 1] if at else None
    behind = clause.items[at + 1] if at + 1 < len(clause.items) else None
    means = words.means(item.name) if item.name != OTHER else ()
    if behind is not None and behind.name == OTHER and item.name != OTHER:
        means = ()
    strange = before is not None and (before.name == OTHER or before.kind == "")
    if strange and item.name not in words.tell_alone:
        said = replace(said, guessed=True)
    return Mention(item.name, means, item.tokens, said.sure, {said.term: said})


@dataclass(frozen=True)
class _Owners:
    """Whose the states of a clause are: named, the things in it; mentions, those before it;
    tried, those of which a trial was told just before."""

    clause: Clause
    named: Sequence[Mention]
    mentions: Sequence[Mention]
    tried: Sequence[Mention]
    words: PlainWords

    def hand_out(self, state: Item, said: Said) -> None:
        """Give a state to the first thing that it makes sense with. Where it may be another's as
        well, both get it, less surely: behind a full stop, where no thing is named, and between
        two things ("the relay is hot fuse holder fine")."""
        candidates = [*self.tried[-1:], *self._nearest(state)]
        if not self._own or not self._nearest(state):
            candidates = list(dict.fromkeys([*candidates, *self._earlier]))
        fitting = [one for one in candidates if self._fits(one, state)]
        between = len(fitting) > 1 and self._just_behind(state) == fitting[0]
        again = self.clause.how == "turns" or self._after_pronoun(state)
        apart = again and not self._own and self._of_either(fitting[:2], state)
        several = fitting[:2] if between or apart or self._new_sentence else fitting[:1]
        doubtful = between or (self._new_sentence and several != [self.mentions[0]])
        for one in several or candidates[:1]:
            guessed = said.guessed or apart or any(part.guessed for part in self._of_thing(one))
            one.take(replace(said, sure=said.sure and not doubtful, guessed=guessed))

    def _of_either(self, owners: Sequence[Mention], state: Item) -> bool:
        """Whether what is said of the thing named before is another sign than the same said of the
        rig: "the battery is new and now its dead"."""
        found = [
            {sign for thing in one.means for sign in self.words.told_of(thing, state.name)}
            for one in owners
        ]
        return len(found) > 1 and found[0].isdisjoint(found[1])

    @staticmethod
    def _of_thing(one: Mention) -> Iterator[Said]:
        return (said for (name, _), said in one.said.items() if name == one.thing)

    @property
    def _own(self) -> list[Mention]:
        """The things named in the clause, without what only says where the rig stands."""
        return [one for one in self.named if one.thing != OTHER or not self.only_says_where(one)]

    @property
    def _new_sentence(self) -> bool:
        return self.clause.how == "stops" and not self._own

    @property
    def _earlier(self) -> Sequence[Mention]:
        return self.mentions[-1], self.mentions[0]

    def _fits(self, owner: Mention, state: Item) -> bool:
        if owner.thing == OTHER:
            return True
        trial = owner in self.tried or state.name in self.words.trials
        return any(self.words.fits(thing, state.name, trial) for thing in owner.means)

    def _nearest(self, state: Item) -> list[Mention]:
        """The things of the clause: one right behind the state, those before it from the nearest
        on, those behind it; last those that only say where."""
        own = self._own
        adjacent = self._just_behind(state)
        before = [one for one in own if max(one.used) < min(state.tokens)]
        behind = [one for one in own if min(one.used) > max(state.tokens)]
        ordered = [*([adjacent] if adjacent else []), *reversed(before), *behind]
        if self._after_pronoun(state):
            ordered = [one for one in ordered if not self.only_says_where(one)]
        return sorted(dict.fromkeys(ordered), key=self.only_says_where)

    def _after_pronoun(self, state: Item) -> bool:
        """Whether a state is said of an "it": "at the pump it dribbles"."""
        before = self.clause.items[: self.clause.items.index(state)]
        said = [one for one in before if one.name == PRONOUN or one.kind != "fillers"]
        return bool(said) and said[-1].name == PRONOUN

    def _just_behind(self, state: Item) -> Mention | None:
        """The thing that follows a state, with no more than small words between."""
        small = {i for one in self.clause.of("fillers") for i in one.tokens}
        end = max(state.tokens)
        behind = (one for one in self._own if min(one.used) > end)
        return next((x for x in behind if small.issuperset(range(end + 1, min(x.used)))), None)

    def only_says_where(self, one: Mention) -> bool:
        """Whether a thing is named only for the place: "the wire at the relay"."""
        before = [item for item in self.clause.items if max(item.tokens) < min(one.used)]
        told = [item for item in before if item.kind != "fillers"]
        span = any(item.kind == "spans" for item in told)
        return span or (bool(told) and told[-1].kind == "places")
