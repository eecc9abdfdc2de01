"""The words for one rig: with those for parts that only some rigs have, by their owner's names."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from diagnose.catalogue.part_names import copy_for, template_of
from diagnose.catalogue.plain_vocabulary import (
    OTHER,
    Answers,
    Expression,
    Phrase,
    PlainWords,
    RigThing,
    Term,
    going_before,
)
from diagnose.catalogue.records import Catalogue, holds
from diagnose.catalogue.templates import parts_with_entries
from diagnose.circuit.kinds import Part, kinds
from diagnose.circuit.parts import control_of, feed_of, protection_of
from diagnose.circuit.rig import Rig
from diagnose.phrases.rig_probes import with_parts
from diagnose.phrases.text import tokens_of

FIRST_FUSE = "main-fuse"
"""The thing that a breaker stands for where it is the first protection of a rig."""

COMMON = ("pump", "motor", "it", "water", "battery", "tank", "wire", "relay", "ground")
"""Things of so many rigs that no part is meant by their names alone."""

MAY_NAME = ("thing", "state", "fillers")
"""Kinds of words that an owner may have called a part."""

Stems = tuple[str, ...]


@dataclass(frozen=True)
class _Here:
    """A thing that a rig has, with its parts where it is one of a kind."""

    thing: RigThing
    parts: tuple[Part, ...] = ()

    @property
    def things(self) -> tuple[str, ...]:
        """What it is called among things: each of several parts by its name."""
        if len(self.parts) < 2:
            return (self.thing.name,)
        return tuple(copy_for(self.thing.name, part.name) for part in self.parts)


def words_for(words: PlainWords, book: Catalogue, rig: Rig, facts: Mapping[str, str]) -> PlainWords:
    """The words for a rig with these facts and this book, whose entries of a kind of part stand
    once for every such part."""
    here = tuple(_here(words.some_rigs.things, rig, facts))
    copies = (one for one in book.observations.values() if one.of)
    ids = tuple(sorted((template_of(one.id), one.of, one.id) for one in copies))
    first = protection_of(rig)
    kinds_here = frozenset(one.part.kind for one in (*feed_of(rig), *control_of(rig)))
    return _made(words, here, ids, first.part.name if first is not None else "", kinds_here)


def _here(things: Iterable[RigThing], rig: Rig, facts: Mapping[str, str]) -> Iterator[_Here]:
    parts = parts_with_entries(rig)
    for thing in things:
        if thing.kind:
            of_kind = tuple(part for part in parts if part.kind == thing.kind)
            if of_kind:
                yield _Here(thing, of_kind)
        elif holds({name: tuple(values) for name, values in thing.when.items()}, facts):
            yield _Here(thing)


@lru_cache(maxsize=64)
def _made(
    words: PlainWords,
    here: tuple[_Here, ...],
    ids: tuple[tuple[str, str, str], ...],
    first: str,
    kinds_here: frozenset[str],
) -> PlainWords:
    made = _Made(words, here, ids, first, kinds_here)
    own = made.expressions() if here else ()
    named = {one.thing: one.parts for one in here if one.thing.is_part}
    return replace(
        words,
        expressions=going_before(own, made.others()),
        phrases=tuple(made.phrases()),
        either=made.either(),
        answers={**words.answers, **made.answers()},
        circumstances=words.circumstances | made.trials(),
        trials=words.trials | made.trials(),
        passing=words.passing | made.trials(),
        probes=with_parts(words.probes, named, words.either),
    )


@dataclass(frozen=True)
class _Made:
    """The words of some things, from those of the knowledge. ids: template, part and id of the
    observations; first: the part that protects the rig first; kinds_here: of all parts of it."""

    words: PlainWords
    here: tuple[_Here, ...]
    ids: tuple[tuple[str, str, str], ...]
    first: str
    kinds_here: frozenset[str]

    def phrases(self) -> Iterator[Phrase]:
        """Every phrase, of a part once for each part of its kind, under that part's own ids."""
        listed = {one.name for one in self.words.some_rigs.things}
        here = {one.thing.name: one for one in self.here}
        unsaid = {one.name for one in self.words.some_rigs.states} - self._in_force
        for phrase in self.words.phrases:
            if any(name in unsaid for name, _ in phrase.terms):
                continue
            if phrase.thing in here:
                yield from self._of_parts(phrase, here[phrase.thing])
            elif phrase.thing not in listed:
                yield from self._of_any(phrase)

    def _of_parts(self, phrase: Phrase, one: _Here) -> Iterator[Phrase]:
        if not one.parts:
            yield phrase
        for part, thing in zip(one.parts, one.things, strict=False):
            if part.name == self.first and phrase.perhaps and phrase.terms in self._of_fuse:
                continue
            found = (i for name, of, i in self.ids if (name, of) == (phrase.observation, part.name))
            observation = next(found, phrase.observation)
            terms = frozenset(
                (thing if name == phrase.thing else name, said) for name, said in phrase.terms
            )
            yield replace(phrase, thing=thing, terms=terms, observation=observation)

    @cached_property
    def _of_fuse(self) -> Collection[frozenset[Term]]:
        """What is said of a main fuse, and so of the part that stands in its place."""
        return {one.terms for one in self.words.phrases if one.thing == FIRST_FUSE}

    def _of_any(self, phrase: Phrase) -> Iterator[Phrase]:
        """A phrase that names no part: of each part that its observation is about, to be asked
        which of several; what is said of the main fuse, of the breaker in its place too."""
        copies = [i for name, of, i in self.ids if name == phrase.observation]
        for name in copies or [phrase.observation]:
            doubtful = phrase.perhaps or len(copies) > 1
            yield replace(phrase, observation=name, perhaps=doubtful)
        if phrase.thing == FIRST_FUSE:
            yield from self._of_first_breaker(phrase)

    def _of_first_breaker(self, phrase: Phrase) -> Iterator[Phrase]:
        """What is said of a fuse, of the breaker that protects the rig first, where that means
        nothing else of a breaker."""
        for one in self.here:
            for part, thing in zip(one.parts, one.things, strict=False):
                same = (p for p in self.words.phrases if p.thing == one.thing.name)
                own = {p.terms for p in same if not p.perhaps}
                if one.thing.is_part and part.name == self.first and phrase.terms not in own:
                    yield replace(phrase, thing=thing)

    def either(self) -> Mapping[str, Stems]:
        """What a name may mean: any of several parts of a kind."""
        listed: dict[str, Stems] = {one.name: () for one in self.words.some_rigs.things}
        listed |= {one.thing.name: one.things for one in self.here}
        gone = {name.replace("_", "-") for name in kinds()} - listed.keys() if self.here else set()
        gone -= {name.replace("_", "-") for name in self.kinds_here}
        found = {}
        for name, things in self.words.either.items():
            meant = [one for thing in things for one in listed.get(thing, (thing,))]
            found[name] = tuple(one for one in meant if one not in gone) or tuple(meant)
        several = {one.thing.name: one.things for one in self.here if len(one.things) > 1}
        return {**several, **found}

    def answers(self) -> Mapping[str, Answers]:
        """How what is asked of a part is answered: as what is asked of its kind."""
        told = self.words.answers
        return {i: told[name] for name, _, i in self.ids if name in told}

    def expressions(self) -> tuple[Expression, ...]:
        """What the things of a rig are called: the words for their kind, and their own names,
        which mean just that part."""
        found: dict[Stems, set[str]] = {}
        general = {e.stems for one in self.here for e in one.thing.expressions}
        for one in self.here:
            singles = [e.stems[0] for e in one.thing.expressions if len(e.stems) == 1]
            for part, thing in zip(one.parts, one.things, strict=False):
                for stems in self._names(one.thing, part, singles):
                    if stems not in general or len(one.parts) == 1:
                        found.setdefault(stems, set()).add(thing)
        own = [
            Expression(stems, "thing", next(iter(things)))
            for stems, things in found.items()
            if len(things) == 1
        ]
        told = going_before(own, [e for one in self.here for e in one.thing.expressions])
        last = going_before(told, list(self._last_words()))
        return going_before(last, list(self._states()))

    def trials(self) -> frozenset[str]:
        """What is tried with the things that are here."""
        return self.words.some_rigs.trials & self._said

    def others(self) -> Sequence[Expression]:
        """The words of every rig, but those that hold both what is tried and what it is tried
        with, where that is a thing of this rig: "wiggle the plug"."""
        things = {e.stems for one in self.here for e in one.thing.expressions}
        tried = self.trials()
        return [
            one
            for one in self.words.expressions
            if not (one.name in tried and len(one.stems) > 1 and one.stems[-1:] in things)
        ]

    def _states(self) -> Iterator[Expression]:
        return (one for one in self.words.some_rigs.states if one.name in self._in_force)

    @cached_property
    def _in_force(self) -> frozenset[str]:
        """The states that can be told of this rig."""
        base = {one.name for one in self.words.expressions if one.kind == "state"}
        return self._said | base

    @cached_property
    def _said(self) -> frozenset[str]:
        """The states that are told of the things that are here, or in answer to what is asked of
        them."""
        things = {one.thing.name for one in self.here}
        about = {one.observation for one in self.words.phrases if one.thing in things}
        listed = {one.name for one in self.words.some_rigs.things} - things
        return frozenset(
            name
            for one in self.words.phrases
            if one.observation in about and one.thing not in listed
            for name, _ in one.terms
        )

    def _names(self, thing: RigThing, part: Part, singles: Sequence[str]) -> Iterator[Stems]:
        """A part by its name, by another word for its kind, and as in "the plug of the trailer"."""
        name = _stems(part.said)
        if thing.beside:
            return
        if thing.behind:
            yield (*name, *_stems(thing.behind))
            yield ("the", *name, *_stems(thing.behind))
            yield (*_stems(thing.behind), *name)
            return
        *own, last = name
        if own or not self._is_common(name):
            yield name
        if own:
            yield ("the", *name)
            for word in dict.fromkeys((last, *(singles if last in singles else ()))):
                yield (*own, word)
                yield (word, *own)
            yield ("other", last)

    def _last_words(self) -> Iterator[Expression]:
        """The last word of a name alone, where it means nothing else: "the alarm"."""
        of_kind = [one for one in self.here if one.thing.is_part]
        words = [(_stems(p.said)[-1:], one.thing.name) for one in of_kind for p in one.parts]
        things = Counter(stems for stems, _ in set(words))
        for stems, thing in dict.fromkeys(words):
            if things[stems] == 1 and self._is_free(stems):
                yield Expression(stems, "thing", thing)

    def _is_common(self, stems: Stems) -> bool:
        """Whether these words must go on meaning what they mean on every rig."""
        known = [one for one in self.words.expressions if one.stems == stems]
        return any(one.kind not in MAY_NAME or one.name in COMMON for one in known)

    def _is_free(self, stems: Stems) -> bool:
        """Whether no words of every rig mean something by these, but what is no part of one."""
        known = [one for one in self.words.expressions if one.stems == stems]
        return all(one.name == OTHER for one in known)


def _stems(name: str) -> Stems:
    """A name as the words of a text are read; a figure stands for itself."""
    told = (f"={one.word}" if one.kind == "number" else one.stem for one in tokens_of(name))
    return tuple(one for one in told if one) or (name,)
