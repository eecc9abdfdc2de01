"""How people speak of a rig: groups of words, and the signs that groups stand for together.

The words live in knowledge/plain_words.yaml; FORMAT.md gives its form.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product
from pathlib import Path

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, DiagnoseError, Place, UnknownName, nearest, quoted
from diagnose.figures import knowledge_folder

NUMBER = "#"
"""Stands in an expression for any number, in figures or in words."""

IT = "it"
"""The thing spoken of when none is named."""

SMALL_WORDS = (
    "fillers",
    "places",
    "spans",
    "numbers",
    "negations",
    "conditions",
    "joins",
    "breaks",
    "hedges",
    "lookalikes",
)
"""Lists of words that carry no sign of their own."""

_WORD = re.compile(r"=?[a-z]+(?:'[a-z]+)*|#")


@dataclass(frozen=True)
class Expression:
    """One or more words, as stems, that are read as the group `name` of a kind: thing, state or
    one of SMALL_WORDS."""

    stems: tuple[str, ...]
    kind: str
    name: str


Term = tuple[str, bool]
"""A group of words, and whether it was said (True) or denied."""


@dataclass(frozen=True)
class Phrase:
    """Groups that together are a sign: one option of an observation. `thing` is "" where the
    states say it alone."""

    thing: str
    terms: frozenset[Term]
    observation: str
    option: str


@dataclass(frozen=True)
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
        singles = (one.kind for one in self.by_first.get(stem, ()) if len(one.stems) == 1)
        return next(singles, "")

    def means(self, thing: str) -> tuple[str, ...]:
        """The things that the name of one can mean."""
        return self.either.get(thing, (thing,))

    @cached_property
    def _pairs(self) -> frozenset[tuple[str, Term, bool]]:
        return frozenset(
            (one.thing, term, any(name in self.trials for name, _ in one.terms))
            for one in self.phrases
            for term in one.terms
        )

    def fits(self, thing: str, state: str, trial: bool) -> bool:
        """Whether some sign speaks of the thing and the state together, said or denied; trial:
        signs that are the outcome of a trial count too."""
        return any(
            (one, (state, said), tried) in self._pairs
            for one in self.means(thing)
            for said in (True, False)
            for tried in ([False, True] if trial else [False])
        )


def stem(word: str) -> str:
    """A word without its ending: clicks, clicked and clicking are all "click"."""
    word = word.replace("'", "")
    for ending in ("ing", "ed", "es"):
        root = word.removesuffix(ending)
        if root != word and len(root) > 3 and not root.endswith("e"):
            return _bare(root)
    if word.endswith("s") and len(word) > 3 and word[-2] not in "sui":
        return word[:-1]
    return _bare(word)


def _bare(root: str) -> str:
    """A root with a doubled last letter made single, or a silent e taken off."""
    if len(root) > 3 and root[-1] == root[-2] and root[-1] not in "sle":
        return root[:-1]
    return root[:-1] if len(root) > 4 and root.endswith("e") else root


def stems_of(text: str) -> tuple[str, ...]:
    """The words of an expression as stems; one with "=" before it is meant in just that form."""
    return tuple(w if w.startswith("=") else stem(w) for w in _WORD.findall(text.lower()))


def load_plain_words(file: Path, catalogue: Catalogue) -> PlainWords:
    """The words in a file. Raises Mistakes with every problem of it."""
    document = load(file)
    reader = _Reader(document, catalogue)
    words = reader.words()
    document.finish()
    return words


@cache
def shipped_plain_words() -> PlainWords:
    """The words that come with the program, read once."""
    return load_plain_words(knowledge_folder() / "plain_words.yaml", shipped_catalogue())


class _Reader:
    """Reads the document; what is wrong in one place does not hide the rest."""

    def __init__(self, document: Section, catalogue: Catalogue) -> None:
        self.document, self.catalogue = document, catalogue
        self.first: dict[tuple[str, ...], Place] = {}
        self.unused: dict[str, Place] = {}

    def words(self) -> PlainWords:
        things, states = self._groups("things", "thing"), self._groups("states", "state")
        small = [one for name in SMALL_WORDS for one in self._expressions(self.document, name)]
        names = {IT, *(one.name for one in things)}, {one.name for one in states}
        words = PlainWords(
            (*things, *states, *small),
            tuple(self._signs(*names)),
            self._either(names[0]),
            *(self._states(key, names[1]) for key in ("undoing", "circumstances", "trials")),
        )
        for name, place in self.unused.items():
            self._problem(BadDocument(f"no sign speaks of {quoted(name)}", place))
        return words

    def _groups(self, key: str, kind: str) -> tuple[Expression, ...]:
        part = self.document.section(key)
        self.unused |= {name: part.place_of(name) for name in part}
        return tuple(one for name in part for one in self._expressions(part, name, kind))

    def _expressions(self, part: Section, name: str, kind: str = "") -> Iterator[Expression]:
        """The expressions of one group; one that stands in another group too is a problem."""
        place = part.place_of(name)
        for text in part.texts(name):
            stems = stems_of(text)
            if not stems or stems in self.first:
                where = f"also ({self.first[stems]})" if stems else "without a word in it"
                self._problem(BadDocument(f"{quoted(text)} stands {where}", place))
                continue
            self.first[stems] = place
            yield Expression(stems, kind or name, name)

    def _either(self, things: Collection[str]) -> Mapping[str, tuple[str, ...]]:
        part = self.document.section("either")
        found = {}
        for name in self._known_keys(part, "thing", things):
            found[name] = self._known(part, name, "thing", things)
            self.unused.pop(name, None)
        return found

    def _states(self, key: str, states: Collection[str]) -> frozenset[str]:
        found = self._known(self.document, key, "state", states)
        for name in found:
            self.unused.pop(name, None)
        return frozenset(found)

    def _known(self, part: Section, key: str, kind: str, names: Collection[str]) -> tuple[str, ...]:
        found = part.texts(key)
        for name in found:
            if name not in names:
                self._unknown(kind, name, part.place_of(key), names)
        return found

    def _known_keys(self, part: Section, kind: str, names: Collection[str]) -> Iterator[str]:
        for name in part:
            if name in names:
                yield name
            else:
                self._unknown(kind, name, part.place_of(name), names)

    def _signs(self, things: Collection[str], states: Collection[str]) -> Iterator[Phrase]:
        signs, book = self.document.section("signs"), self.catalogue.observations
        for name in self._known_keys(signs, "observation", book):
            part = signs.section(name)
            for option in self._known_keys(part, f"answer to {name}", book[name].options):
                for text in part.texts(option):
                    place = part.place_of(option)
                    for thing, terms in self._phrases(text, place, things, states):
                        yield Phrase(thing, terms, name, option)

    def _phrases(
        self, text: str, place: Place, things: Collection[str], states: Collection[str]
    ) -> Iterator[tuple[str, frozenset[Term]]]:
        """A phrase such as "pump/motor not runs", once for each of its alternatives."""
        for names in product(*(word.split("/") for word in text.split())):
            said, spoken = True, []
            for name in names:
                if name == "not":
                    said = False
                    continue
                spoken.append((name, said))
                said = True
            yield self._phrase(spoken, place, things, states)

    def _phrase(
        self, spoken: list[Term], place: Place, things: Collection[str], states: Collection[str]
    ) -> tuple[str, frozenset[Term]]:
        found = [name for name, _ in spoken if name in things]
        for name, _ in spoken:
            self.unused.pop(name, None)
            if name not in things and name not in states:
                self._unknown("group of words", name, place, [*things, *states])
        if len(found) > 1:
            self._problem(BadDocument(f"speaks of two things, {' and '.join(found)}", place))
        alone = len(spoken) == 1
        terms = [(n, said) for n, said in spoken if n not in things or alone or not said]
        return next(iter(found), ""), frozenset(terms)

    def _unknown(self, kind: str, name: str, place: Place, names: Collection[str]) -> None:
        self._problem(UnknownName(kind, name, place, nearest(name, names)))

    def _problem(self, problem: DiagnoseError) -> None:
        self.document.problem(problem)
