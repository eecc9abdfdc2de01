"""Reads knowledge/plain_words.yaml; every slip of it is named with its place."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import cache
from itertools import product
from pathlib import Path

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.plain_vocabulary import (
    IT,
    OTHER,
    SMALL_WORDS,
    Answers,
    Expression,
    Phrase,
    PlainWords,
    RigThing,
    RigWords,
    Term,
    stems_of,
)
from diagnose.catalogue.probe_words import ProbeWords, probe_words
from diagnose.catalogue.records import Catalogue, Observation
from diagnose.circuit.kinds import kinds
from diagnose.circuit.parameters import PART
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, DiagnoseError, Place, UnknownName, nearest, quoted
from diagnose.figures import knowledge_folder


def load_plain_words(file: Path, catalogue: Catalogue) -> PlainWords:
    """The words in a file. Raises Mistakes with every problem of it."""
    document = load(file)
    reader = _Reader(document, catalogue)
    words = reader.words()
    document.finish()
    return words


BARE = ("yes_means", "no_means", "absent_means")
"""What is meant by no more than a yes, a no, and that there is none here."""

STATE_LISTS = ("undoing", "circumstances", "trials", "passing")
"""Lists of states that have something in common."""


@cache
def shipped_plain_words() -> PlainWords:
    """The words that come with the program, read once."""
    return load_plain_words(knowledge_folder() / "plain_words.yaml", shipped_catalogue())


class _Reader:
    """Reads the document; what is wrong in one place does not hide the rest."""

    def __init__(self, document: Section, catalogue: Catalogue) -> None:
        self.document, self.catalogue = document, catalogue
        self.first: dict[tuple[str, ...], tuple[str, Place]] = {}
        self.unused: dict[str, Place] = {}
        self.of_kind: dict[str, str] = {}
        self.spelt_out = set(self._spelt_out())

    def _spelt_out(self) -> Iterator[tuple[str, ...]]:
        """Every expression that is written without alternatives."""
        groups = [(self.document.section(key), key) for key in ("things", "states")]
        parts = [(part, name) for part, _ in groups for name in part]
        for part, name in [*parts, *((self.document, name) for name in SMALL_WORDS)]:
            for text in part.texts(name):
                if "/" not in text:
                    yield from stems_of(text)

    def words(self) -> PlainWords:
        things, states = self._groups("things", "thing"), self._groups("states", "state")
        some = self._rig_words()
        small = [one for name in SMALL_WORDS for one in self._expressions(self.document, name)]
        names = (
            {IT, *(one.name for one in things), *(one.name for one in some.things)},
            {one.name for one in (*states, *some.states)},
        )
        self.unused.pop(OTHER, None)
        words = PlainWords(
            (*things, *states, *small),
            (*self._signs(*names), *self._no_signs(*names)),
            self._either(names[0]),
            **{key: self._states(key, names[1]) for key in STATE_LISTS},
            answers=dict(self._answers()),
            replies=tuple(self._replies()),
            probes=self._probes(),
            grammar=frozenset(self.document.texts("grammar", ())),
            events=frozenset(self.document.texts("events", ())),
            outcomes=dict(self._outcomes(names[1])),
            some_rigs=some,
        )
        for name, place in self.unused.items():
            self._problem(BadDocument(f"no sign speaks of {quoted(name)}", place))
        return words

    def _groups(self, key: str, kind: str) -> tuple[Expression, ...]:
        part = self.document.section(key)
        self.unused |= {name: part.place_of(name) for name in part}
        return tuple(one for name in part for one in self._expressions(part, name, kind))

    def _rig_words(self) -> RigWords:
        """The words of things that only some rigs have, which may also stand elsewhere."""
        some = self.document.section("on-some-rigs", None)
        if some is None:
            return RigWords()
        things, states = some.section("things"), some.section("states")
        self.unused |= {name: part.place_of(name) for part in (things, states) for name in part}
        told = (one for name in states for one in self._spelt(states, name, "state", name))
        found = RigWords(
            tuple(self._rig_thing(things.section(name), name) for name in things),
            tuple(told),
            frozenset(some.texts("trials", ())),
        )
        self.of_kind = {one.kind: one.name for one in found.things if one.is_part}
        return found

    def _rig_thing(self, part: Section, name: str) -> RigThing:
        key = "beside" if "beside" in part else "part"
        kind, known = part.text(key, ""), [*kinds(), "load"]
        if kind and kind not in known:
            self._unknown("kind of part", kind, part.place_of(key), known)
        when = part.section("when", None)
        facts = {} if when is None else {fact: when.texts(fact) for fact in when}
        words = part.texts("words", ())
        spelt = tuple(self._spelt(part, "words", "thing", name)) if words else ()
        behind = part.text("behind", "")
        return RigThing(name, kind, facts, words, spelt, key == "beside", behind)

    def _expressions(self, part: Section, name: str, kind: str = "") -> Iterator[Expression]:
        """The expressions of one group; one that stands in another group too is a problem, but
        that one of several alternatives is spelt out there."""
        place = part.place_of(name)
        for text in part.texts(name):
            for stems in dict.fromkeys(stems_of(text)):
                if "/" in text and stems in self.spelt_out:
                    continue
                where, same = self.first.get(stems, ("", place))
                if stems and not where:
                    self.first[stems] = text, place
                    yield Expression(stems, kind or name, name)
                elif not stems or where == text or same != place:
                    said = f"also ({same})" if stems else "without a word in it"
                    self._problem(BadDocument(f"{quoted(text)} stands {said}", place))

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

    def _outcomes(self, states: Collection[str]) -> Iterator[tuple[str, str]]:
        part = self.document.section("outcomes", None)
        if part is not None:
            for name in self._known_keys(part, "state", states):
                yield name, part.text(name)

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
                    told = self._of_kinds(text.removesuffix("?"), book[name])
                    for thing, terms in self._phrases(told, place, things, states):
                        yield Phrase(thing, terms, name, option, text.endswith("?"))

    def _of_kinds(self, text: str, observation: Observation) -> str:
        """A phrase with the things that an observation is about in place of "part"."""
        of = [self.of_kind[one] for one in observation.applies.get(PART, ()) if one in self.of_kind]
        return " ".join("/".join(of) if word == PART and of else word for word in text.split())

    def _answers(self) -> Iterator[tuple[str, Answers]]:
        part = self.document.section("answers", None)
        for group in part or ():
            assert part is not None
            yield from self._answers_of(part.section(group))

    def _answers_of(self, group: Section) -> Iterator[tuple[str, Answers]]:
        """The answers of one group, for each observation that it is about."""
        book, options = self.catalogue.observations, group.section("options")
        for name in self._known(group, "to", "observation", book):
            known = book[name].options if name in book else ()
            found = [
                one
                for option in self._known_keys(options, f"answer to {name}", known)
                for one in self._spelt(options, option, "answer", option)
            ]
            bare = (self._option(group, key, name, known) for key in BARE)
            yield name, Answers(tuple(found), *bare)

    def _option(self, group: Section, key: str, name: str, options: Collection[str]) -> str:
        found = group.text(key, "")
        if found and found not in options:
            self._unknown(f"answer to {name}", found, group.place_of(key), options)
        return found

    def _replies(self) -> Iterator[Expression]:
        part = self.document.section("replies", None)
        for name in part or ():
            assert part is not None
            yield from self._spelt(part, name, name, name)

    def _probes(self) -> ProbeWords:
        part = self.document.section("probes", None)
        return probe_words(part) if part is not None else ProbeWords()

    def _spelt(self, part: Section, key: str, kind: str, name: str) -> Iterator[Expression]:
        """Expressions that may stand under several names."""
        for text in part.texts(key):
            for stems in stems_of(text):
                if stems:
                    yield Expression(stems, kind, name)
                else:
                    where = part.place_of(key)
                    self._problem(BadDocument(f"{quoted(text)} stands without a word in it", where))

    def _no_signs(self, things: Collection[str], states: Collection[str]) -> Iterator[Phrase]:
        """What is understood and is no sign: it keeps its words from being taken for one."""
        for text in self.document.texts("no-sign", ()):
            place = self.document.place_of("no-sign")
            for thing, terms in self._phrases(text, place, things, states):
                yield Phrase(thing, terms, "", "")

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
