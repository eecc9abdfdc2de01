"""A short answer in the light of the question that was just asked: "yes", "a bit warm", "the second
one"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.catalogue.plain_vocabulary import OTHER, PlainWords, stem
from diagnose.catalogue.records import Observation
from diagnose.phrases.clauses import Clause, clauses_of
from diagnose.phrases.records import CLEAR, EITHER, NEAR, Match
from diagnose.phrases.text import NOW, PAST, PRESENT, Item, Token, read_items
from diagnose.phrases.typed import MOST_OF_AN_ANSWER, Typed

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh")
_AFTER_NO = frozenset(
    [
        "it",
        "its",
        "they",
        "theyre",
        "i",
        "im",
        "he",
        "she",
        "there",
        "the",
        "that",
        "this",
        "we",
        "ive",
    ]
)
"""Words before which a "no" at the beginning answers, and denies nothing of what follows."""


_TELLING = ("", "figure", "lookalikes", "numbers", "state", "thing")
"""Kinds of items beside which a yes or a no is not alone."""


@dataclass(frozen=True)
class Answered:
    """What a short answer means: matches for the observation asked about, the tokens used, and
    whether the person cannot tell."""

    matches: tuple[Match, ...] = ()
    used: frozenset[int] = frozenset()
    cannot_tell: bool = False


@dataclass(frozen=True)
class _Heard:
    """An option that a clause names, or denies."""

    option: str
    used: frozenset[int]
    denied: bool
    strength: str
    rank: int = 0
    """Which one stands where several are named: what comes behind a "but" or is so now, before
    what was so; a "not this" says less than what it is."""


def answered(text: str, tokens: Sequence[Token], words: PlainWords, asked: Observation) -> Answered:
    """What a text answers to a question about an observation."""
    mixed = words.answering(asked.id)
    items = _without_first_no(read_items(tokens, mixed), tokens)
    typed = Typed(text, tokens, items, mixed)
    about = frozenset(mixed.things_of(asked.id))
    clauses = [one for one in clauses_of(items) if not _of_other_things(one, about)]
    heard = [one for clause in clauses for one in _heard(clause, mixed, tokens, words)]
    found = _absent(clauses, heard, words.answers[asked.id].absent)
    found = found or _settled(heard, asked, words) or _by_place(tokens, asked)
    unsure = any(clause.of("cannot-tell") for clause in clauses)
    if not found and unsure:
        return Answered(cannot_tell=True)
    found = found or _bare(tokens, words, asked) or _as_worded(items, tokens, asked)
    if not found and any(clause.of("not-there") for clause in clauses):
        return Answered(cannot_tell=True)
    doubtful = unsure or any(_tells_of_repair(one, mixed) for one in items)
    doubtful = doubtful or _goes_on(clauses_of(items))
    used = frozenset(i for some, _ in found.values() for i in some)
    unclear = doubtful or not typed.mostly(used, MOST_OF_AN_ANSWER)
    matches = tuple(
        Match(asked.id, option, typed.quoted(some), EITHER if unclear else strength, doubtful)
        for option, (some, strength) in found.items()
    )
    return Answered(matches, used)


_Found = Mapping[str, tuple[frozenset[int], str]]
"""Option: the tokens that say so, and how surely."""


def _without_first_no(items: Sequence[Item], tokens: Sequence[Token]) -> list[Item]:
    """A "no" that answers, before a sentence of its own, ends there: "no it runs"."""
    first = items[0] if items else None
    if first is None or first.kind not in ("negations", "deny", "agree"):
        return list(items)
    behind = max(first.tokens) + 1
    alone = behind == len(tokens) or tokens[behind].kind != "word"
    short = first.kind != "negations" and (len(first.tokens) == 1 or _pauses(tokens[behind - 1]))
    if alone or tokens[behind].word in _AFTER_NO or short:
        kind = "agree" if first.kind == "agree" else "deny"
        end = Item("breaks", "", frozenset())
        return [Item(kind, "", first.tokens), end, *items[1:]]
    return list(items)


def _pauses(token: Token) -> bool:
    """Whether an answer of several words ends with that one: not at "it isnt" of "it isnt hot"."""
    return not token.word.endswith(("nt", "dont", "is", "does", "was", "did", "has", "are"))


def _of_other_things(clause: Clause, about: frozenset[str]) -> bool:
    return any(one.name not in about and one.name != OTHER for one in clause.of("thing"))


def _tells_of_repair(item: Item, words: PlainWords) -> bool:
    return item.kind == "state" and item.name in words.undoing - words.trials - words.passing


def _absent(clauses: Iterable[Clause], heard: Iterable[_Heard], option: str) -> _Found:
    """What is meant where there is none of what was asked about: "theres no charger here"."""
    if not option or any(not one.denied for one in heard):
        return {}
    for clause in clauses:
        for item in clause.of("not-there"):
            return {option: (item.tokens, EITHER if clause.of("hedges") else CLEAR)}
    return {}


def _only_denies(item: Item, clause: Clause, tokens: Sequence[Token], words: PlainWords) -> bool:
    """Whether an answer is a "no" or "nothing" that denies what comes behind it in its clause."""
    word = min(item.tokens)
    denies = len(item.tokens) == 1 and words.kind_of(tokens[word].stem) == "negations"
    behind = clause.items[clause.items.index(item) + 1 :]
    return denies and any(one.kind in ("", "thing", "state", "lookalikes") for one in behind)


def _heard(
    clause: Clause, mixed: PlainWords, tokens: Sequence[Token], words: PlainWords
) -> Iterator[_Heard]:
    """The options that a clause names. A denial reaches the next one."""
    denial = frozenset[int]()
    guessed = clause.guessed(mixed.circumstances)
    if clause.of("questions"):
        return
    for item in clause.items:
        only_denies = item.kind == "answer" and _only_denies(item, clause, tokens, words)
        if item.kind in ("negations", "not-there") or only_denies:
            denial = item.tokens
        elif item.kind == "answer":
            strength = EITHER if guessed else CLEAR if item.exact else NEAR
            rank = _rank(item, clause, tokens, words)
            yield _Heard(item.name, item.tokens | denial, bool(denial), strength, rank)
            denial = item.tokens if _denies(item, tokens, words) else frozenset()


def _rank(item: Item, clause: Clause, tokens: Sequence[Token], words: PlainWords) -> int:
    times = {one.name for one in clause.items}
    behind = clause.how == "breaks" and clause.items[0].kind == "breaks"
    now = behind or bool({PRESENT, NOW} & times)
    return 2 * now - (PAST in times) - _denies(item, tokens, words)


def _denies(item: Item, tokens: Sequence[Token], words: PlainWords) -> bool:
    """Whether an answer begins with a denial, which reaches on: "no smell of burning"."""
    return words.kind_of(tokens[min(item.tokens)].stem) == "negations"


def _settled(heard: Sequence[_Heard], asked: Observation, words: PlainWords) -> _Found:
    """The options that stand. Where several are named any of them may be meant."""
    highest = max((one.rank for one in heard if not one.denied), default=0)
    standing = [one for one in heard if not one.denied and one.rank == highest]
    said = {one.option: (one.used, one.strength) for one in standing}
    denied = {one.option: one for one in heard if one.denied and one.option not in said}
    if not said:
        for one in denied.values():
            other = _opposite(one.option, asked, words)
            if other and other not in denied:
                said[other] = one.used, one.strength
    if len(said) > 1:
        return {option: (used, EITHER) for option, (used, _) in said.items()}
    return said


def _opposite(option: str, asked: Observation, words: PlainWords) -> str:
    """What is meant where an option is denied; "" where that leaves several."""
    pair = words.answers[asked.id]
    if option in (pair.yes, pair.no):
        return pair.no if option == pair.yes else pair.yes
    others = [one for one in asked.options if one != option]
    return others[0] if len(others) == 1 else ""


def _goes_on(clauses: Iterable[Clause]) -> bool:
    """Whether something that is not an answer comes behind a "but" or a "then"."""
    told = ("", "lookalikes", "state", "thing")
    for clause in clauses:
        turned = clause.how in ("turns", "conditions") or bool(clause.of("breaks"))
        turned = turned and not clause.only_when
        if turned and not clause.of("answer") and any(item.kind in told for item in clause.items):
            return True
    return False


def _bare(tokens: Sequence[Token], words: PlainWords, asked: Observation) -> _Found:
    """What yes or no alone means."""
    pair = words.answers[asked.id]
    replying = words.replying
    items = _without_first_no(read_items(tokens, replying), tokens)
    for clause in clauses_of(items):
        strange = [item for item in clause.items if item.kind in _TELLING]
        for kind, option in (("agree", pair.yes), ("deny", pair.no), ("negations", pair.no)):
            for item in clause.of(kind):
                if option and not strange:
                    guessed = bool(clause.of("hedges"))
                    return {option: (item.tokens, EITHER if guessed else CLEAR)}
    return {}


def _by_place(tokens: Sequence[Token], asked: Observation) -> _Found:
    """The option that is named by its place in the list: "the second one", "option 2"."""
    said = [token.word for token in tokens if token.kind in ("word", "number")]
    core = [
        word for word in said if word not in ("the", "one", "option", "number", "answer", "its")
    ]
    if len(core) != 1 or len(core) == len(said):
        return {}
    options = list(asked.options)
    places = {**{name: n for n, name in enumerate(ORDINALS)}, "last": len(options) - 1}
    places |= {str(n + 1): n for n in range(len(options))}
    at = places.get(core[0], len(options))
    every = frozenset(range(len(tokens)))
    return {options[at]: (every, CLEAR)} if at < len(options) else {}


def _as_worded(items: Sequence[Item], tokens: Sequence[Token], asked: Observation) -> _Found:
    """The one option whose own wording has all that the answer says."""
    telling = [
        i for one in items if one.kind in ("", "lookalikes", "state", "thing") for i in one.tokens
    ]
    said = {tokens[i].stem for i in telling}
    if not said or any(one.kind == "negations" for one in items):
        return {}
    worded = {
        option: {stem(word) for word in f"{option} {text}".replace("-", " ").lower().split()}
        for option, text in asked.options.items()
    }
    fitting = [
        option for option, stems in worded.items() if said <= {s.strip(",.;:") for s in stems}
    ]
    return {fitting[0]: (frozenset(telling), NEAR)} if len(fitting) == 1 else {}
