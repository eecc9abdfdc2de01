"""How people speak of a rig: groups of words, and the signs that groups stand for together.

The words live in knowledge/plain_words.yaml; FORMAT.md gives its form.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, lru_cache
from itertools import product
from typing import Any

from diagnose.catalogue.probe_words import ProbeWords

NUMBER = "#"
"""Stands in an expression for any number, in figures or in words."""

IT = "it"
"""The thing spoken of when none is named."""

OTHER = "other"
"""The thing that stands for all that is no part of a rig: what is said of it is no sign."""

SMALL_WORDS = (
    "fillers",
    "places",
    "spans",
    "numbers",
    "negations",
    "conditions",
    "joins",
    "breaks",
    "turns",
    "hedges",
    "questions",
    "lookalikes",
)
"""Lists of words that carry no sign of their own."""

_WORD = re.compile(r"=?[a-z]+(?:'[a-z]+)*(?:/=?[a-z]+(?:'[a-z]+)*)*|#(?:/[a-z]+)*")


@dataclass(frozen=True)
class Expression:
    """One or more words, as stems, that are read as the group `name` of a kind: thing, state or
    one of SMALL_WORDS."""

    stems: tuple[str, ...]
    kind: str
    name: str


@dataclass(frozen=True, eq=False)
class RigThing:
    """A thing that only some rigs have: a part of a kind, or what the facts of a rig tell of.
    words: what it is called; beside: it is no such part itself, but goes with it; behind: what
    follows its name where it is a piece of the part, as "holder"."""

    name: str
    kind: str
    when: Mapping[str, tuple[str, ...]]
    words: tuple[str, ...]
    expressions: tuple[Expression, ...]
    beside: bool = False
    behind: str = ""

    @property
    def is_part(self) -> bool:
        """Whether it is a part of a kind itself."""
        return bool(self.kind) and not self.beside and not self.behind


@dataclass(frozen=True)
class RigWords:
    """Words that hold only on rigs that have one of these things; there they go before others.
    trials: states that are tried on such a rig."""

    things: tuple[RigThing, ...] = ()
    states: tuple[Expression, ...] = ()
    trials: frozenset[str] = frozenset()


Term = tuple[str, bool]
"""A group of words, and whether it was said (True) or denied."""


@dataclass(frozen=True)
class Phrase:
    """Groups that together are a sign: one option of an observation, or "" where they are none.
    `thing` is "" where the states say it alone; perhaps: it is only likely."""

    thing: str
    terms: frozenset[Term]
    observation: str
    option: str
    perhaps: bool = False


@dataclass(frozen=True)
class Answers:
    """How a question about one observation is answered in few words: expressions, each named after
    its option; what a bare yes and no mean, and that there is none of it here, "" where they mean
    nothing."""

    expressions: tuple[Expression, ...]
    yes: str = ""
    no: str = ""
    absent: str = ""


@dataclass(frozen=True, eq=False)
class PlainWords:
    """Everything in plain_words.yaml.

    either: things whose name may mean any of several others; undoing: states that speak of what
    has been put right, so that nothing else in their clause is a sign; circumstances: states that
    say when or how, which a denial passes by; trials: those of them whose outcome is told next.
    """

    expressions: tuple[Expression, ...]
    phrases: tuple[Phrase, ...]
    either: Mapping[str, tuple[str, ...]]
    undoing: frozenset[str]
    circumstances: frozenset[str]
    trials: frozenset[str]
    passing: frozenset[str]
    answers: Mapping[str, Answers] = field(default_factory=dict)
    replies: tuple[Expression, ...] = ()
    probes: ProbeWords = field(default_factory=ProbeWords)
    grammar: frozenset[str] = frozenset()
    events: frozenset[str] = frozenset()
    """States that happen at a moment: what is told to come then does not take them back."""
    outcomes: Mapping[str, str] = field(default_factory=dict)
    """What a state that is told of the past means as the outcome of a trial."""
    some_rigs: RigWords = RigWords()

    @cached_property
    def by_first(self) -> Mapping[str, tuple[Expression, ...]]:
        """Expressions by their first stem, long ones first."""
        found: dict[str, list[Expression]] = {}
        for one in sorted(self.expressions, key=lambda one: -len(one.stems)):
            found.setdefault(one.stems[0], []).append(one)
        return {stem: tuple(ones) for stem, ones in found.items()}

    @cached_property
    def known(self) -> Mapping[str, tuple[str, ...]]:
        """Every stem that a misspelt word may be meant for, by its first letter: a negation must
        be right, since what it turns round is the whole meaning."""
        told = [one for one in self.expressions if one.kind != "negations"]
        every = {word for one in told for word in one.stems}
        stems = sorted(every | {stem(word[1:]) for word in every if word[0] == "="})
        return {first: tuple(s for s in stems if s[0] == first) for first in {s[0] for s in stems}}

    def kind_of(self, stem: str) -> str:
        """The kind of a single word; "" for one that stands only in longer expressions."""
        return self._singles.get(stem, "")

    @cached_property
    def _singles(self) -> Mapping[str, str]:
        """Kind of each single word, the first that names it."""
        found: dict[str, str] = {}
        for stem, ones in self.by_first.items():
            kinds = (one.kind for one in ones if len(one.stems) == 1)
            found[stem] = next(kinds, "")
        return found

    def means(self, thing: str) -> tuple[str, ...]:
        """The things that the name of one can mean."""
        return self.either.get(thing, (thing,))

    def things_of(self, observation: str) -> tuple[str, ...]:
        """The things that the signs of an observation speak of."""
        ones = (one.thing for one in self.phrases if one.observation == observation)
        return tuple(dict.fromkeys(filter(None, ones)))

    @cache  # noqa: B019 - the words of the program live as long as it does
    def answering(self, observation: str) -> PlainWords:
        """These words with those of the answers to a question about an observation before them."""
        short = ("agree", "deny")
        singles = (one for one in self.replies if len(one.stems) == 1 or one.kind not in short)
        explicit = self.answers[observation].expressions
        told = {one.stems for one in explicit}
        means = self._said_alone(observation)
        derived = (
            replace(one, kind="answer", name=means[one.name])
            for one in self.expressions
            if one.kind == "state" and one.name in means and one.stems not in told
        )
        return self._before((*explicit, *derived, *singles))

    def _said_alone(self, observation: str) -> Mapping[str, str]:
        """States that are a sign of just one answer: by themselves, as the outcome of a trial, or
        beside others that go with any answer."""
        alone: dict[str, set[str]] = {}
        beside: dict[str, set[str]] = {}
        for one in self.phrases:
            if one.observation == observation and not one.perhaps:
                telling = [term for term in one.terms if term[0] not in self.trials]
                for name, said in telling:
                    beside.setdefault(name, set()).add(one.option)
                    if said and len(telling) == 1:
                        alone.setdefault(name, set()).add(one.option)
        circumstances = {n: found for n, found in beside.items() if n in self.circumstances}
        return {
            name: next(iter(options))
            for name, options in {**circumstances, **alone}.items()
            if len(options) == 1
        }

    @cache  # noqa: B019 - the words of the program live as long as it does
    def is_trial(self, observation: str) -> bool:
        """Whether every sign of an observation is the outcome of something tried."""
        ones = [one for one in self.phrases if one.observation == observation]
        return bool(ones) and all(any(name in self.trials for name, _ in one.terms) for one in ones)

    @cached_property
    def replying(self) -> PlainWords:
        """These words with the replies before them."""
        return self._before(self.replies)

    def _before(self, first: Sequence[Expression]) -> PlainWords:
        return replace(self, expressions=going_before(first, self.expressions))

    @cached_property
    def altering(self) -> frozenset[str]:
        """The trials that leave the rig other than it is used: what it does then is not what it
        does."""
        return self.trials - self.undoing

    @cached_property
    def tell_alone(self) -> frozenset[str]:
        """The things that are a sign by being there, or by not being there."""
        return frozenset(
            one.thing for one in self.phrases for name, _ in one.terms if name == one.thing
        )

    @cached_property
    def _pairs(self) -> frozenset[tuple[str, Term, bool]]:
        return frozenset(
            (one.thing, term, any(name in self.trials for name, _ in one.terms))
            for one in self.phrases
            for term in one.terms
        )

    @cache  # noqa: B019 - the words of the program live as long as it does
    def told_of(self, thing: str, state: str) -> frozenset[str]:
        """The observations with a sign that speaks of the thing and of the state."""
        return frozenset(
            one.observation
            for one in self.phrases
            if one.thing == thing and any(name == state for name, _ in one.terms)
        )

    def fits(self, thing: str, state: str, trial: bool) -> bool:
        """Whether some sign speaks of the thing and the state together, said or denied; trial:
        signs that are the outcome of a trial count too."""
        return any(
            (thing, (state, said), tried) in self._pairs
            for said in (True, False)
            for tried in ([False, True] if trial else [False])
        )


def going_before(
    first: Sequence[Expression], others: Sequence[Expression]
) -> tuple[Expression, ...]:
    """Expressions, those that come first in place of others that are said alike."""
    taken = {one.stems for one in first}
    return (*first, *(one for one in others if one.stems not in taken))


@lru_cache(maxsize=8192)
def stem(word: str) -> str:
    """A word without its ending: clicks, clicked and clicking are all "click"."""
    found: str = _stemmer().stemWord(word.replace("'", ""))
    return found


@cache
def _stemmer() -> Any:
    """Porter's second stemmer for English, loaded when the first word is read."""
    from snowballstemmer import stemmer

    return stemmer("english")


def stems_of(text: str) -> Iterator[tuple[str, ...]]:
    """The words of an expression as stems, once for each of its alternatives: "after/within #
    minutes". One with "=" before it is meant in just that form."""
    words = [word.split("/") for word in _WORD.findall(text.lower())]
    for chosen in product(*words):
        yield tuple(w if w.startswith("=") else stem(w) for w in chosen)
