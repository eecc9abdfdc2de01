"""The things that a text speaks of, with what it says of each: denials, guesses, trials."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from diagnose.catalogue.plain_vocabulary import IT, OTHER, PlainWords
from diagnose.phrases.clauses import Clause, clauses_of
from diagnose.phrases.owners import Owners
from diagnose.phrases.said import Mention, Said
from diagnose.phrases.text import NOW, PAST, PRESENT, Item

SMELL, THERE = "smell", "smells-there"
"""A thing, and what is said of another thing that is named beside it."""


def mentions_of(
    items: Iterable[Item], words: PlainWords, spoken_of: Collection[str] = ()
) -> list[Mention]:
    """Every thing that is spoken of, with what is said of it, over all clauses. spoken_of: the
    things meant where none is named, those of a question just asked."""
    it = Mention(IT, tuple(spoken_of) or (IT,))
    mentions, waiting, tried = [it], list[Mention](), list[Mention]()
    for clause in clauses_of(items, words.trials):
        clause = _before_question(clause)
        if not clause.items or clause.asked or _only_supposed(clause, words):
            continue
        if clause.how not in ("joins", "turns"):
            waiting, tried = [], []
        said = _said(clause, words, any(_tried(one, words.altering) for one in tried))
        named = [_named(item, clause, said[item], words) for item in clause.of("thing")]
        _tell_where_it_smells(named)
        owners = Owners(clause, named, mentions, tried, words)
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


def _said(clause: Clause, words: PlainWords, tried: bool) -> dict[Item, Said]:
    """Things and states of a clause, denied where a negation goes before: it reaches as far as
    the next thing after a denied state. What tells of a repair leaves nothing else standing."""
    outcome = tried or any(item.name in words.trials for item in clause.of("state"))
    meant = words.outcomes if outcome else {}
    states = [replace(item, name=meant.get(item.name, item.name)) for item in clause.of("state")]
    undoing = any(item.name in words.undoing for item in states)
    guessed = clause.guessed(words.circumstances)
    tried = tried or any(item.name in words.altering for item in states)
    found: dict[Item, Said] = {}
    times = [item.name for item in clause.items if item.name in (PAST, PRESENT, NOW)]
    when = PAST if times else ""
    when = PRESENT if {PRESENT, NOW} & set(times) else when
    denial, reached = frozenset[int](), False
    for item in clause.items:
        if item.kind == "negations":
            denial, reached = item.tokens, False
        elif item.kind == "thing" and reached:
            denial = frozenset()
        name = meant.get(item.name, item.name)
        if item.kind == "thing" or (item.kind == "state" and not _undone(name, undoing, words)):
            denied = denial if name not in words.circumstances else frozenset()
            term = name, not denied
            found[item] = Said(term, item.tokens | denied, item.exact, guessed, tried, when)
        reached |= item.kind == "state"
    return found


def _undone(state: str, undoing: bool, words: PlainWords) -> bool:
    return undoing and state not in words.undoing


def _named(item: Item, clause: Clause, said: Said, words: PlainWords) -> Mention:
    """A thing as it is named; one that is a part of something else is only perhaps it: "the mower's
    relay", "the reel motor"."""
    at = clause.items.index(item)
    before = clause.items[at - 1] if at else None
    behind = clause.items[at + 1] if at + 1 < len(clause.items) else None
    means = words.means(item.name) if item.name != OTHER else ()
    if behind is not None and behind.name == OTHER and item.name != OTHER:
        means = ()
    strange = before is not None and (before.name == OTHER or before.owns)
    if strange and item.name not in words.tell_alone:
        said = replace(said, guessed=True)
    return Mention(item.name, means, item.tokens, said.sure, {said.term: said})
