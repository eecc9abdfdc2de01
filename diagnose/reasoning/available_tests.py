"""Which tests there are on a rig, what they cost, and what whoever answers can do of them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from diagnose.catalogue.kit import Kit
from diagnose.catalogue.records import Catalogue, Observation, ReadingEntry, holds
from diagnose.circuit.reading_words import fits
from diagnose.circuit.rig import Rig
from diagnose.errors import UnknownName, nearest
from diagnose.figures import Figures

STATES_TO_SET_UP = ("rest", "satisfied", "unplugged", "isolated")
"""States into which a rig has to be brought for a test; the others are those in which it is met."""

MISSED = 2
"""Readings with one instrument that are answered "not known", before no more are asked for."""

RIG = "rig"
"""The place where things take the time that the book says."""

WITHOUT = ("no", "not", "without", "lacks", "lost")
ONLY, ALL, NONE = "only", ("everything", "all"), ("nothing", "none")
FILLING = ("a", "an", "the", "my", "at", "on", "by", "with", "and", "have", "has", "i", "am", "is")
"""Words of what somebody says of it, beside those of the kit."""


@dataclass(frozen=True)
class Test:
    """Something that can be asked: an observation or a reading, by its id."""

    __test__ = False
    id: str
    entry: Observation | ReadingEntry

    @property
    def minutes(self) -> float:
        """Time that it takes at the rig [min]."""
        return self.entry.minutes

    @property
    def state(self) -> str:
        """State of the rig meanwhile, such as "calling" or "rest"."""
        return self.entry.state

    @property
    def rule_name(self) -> str:
        """How rules name the test: "observation flow", or a reading by its own words."""
        return f"observation {self.id}" if isinstance(self.entry, Observation) else self.id


def tests_for(catalogue: Catalogue, rig: Rig, facts: Mapping[str, str]) -> tuple[Test, ...]:
    """Everything that can be asked on this rig, in the order of the knowledge.

    facts: of the rig (design.facts.rig_facts).
    """
    observed = [
        Test(entry.id, entry)
        for entry in catalogue.observations.values()
        if holds(entry.applies, facts)
    ]
    read = [
        Test(entry.id, entry)
        for entry in catalogue.readings.values()
        if holds(entry.applies, facts) and fits(entry.reading, rig)
    ]
    return (*observed, *read)


@dataclass(frozen=True)
class Means:
    """What somebody who answers has. at: id of a place of the kit; lacks: ids of things of the kit
    that are not there.

    >>> Means("phone", frozenset({"voltmeter"})).lacks
    frozenset({'voltmeter'})
    """

    at: str = RIG
    lacks: frozenset[str] = frozenset()

    def suffice_for(self, test: Observation | ReadingEntry) -> bool:
        """Whether all is there that a test needs."""
        return self.lacks.isdisjoint(test.needs)

    def time_factor(self, test: Observation | ReadingEntry, figures: Figures) -> float:
        """What the minutes of a test are multiplied by where they are (table phone-times)."""
        if self.at == RIG:
            return 1.0
        row = figures.table("phone-times").row
        opens = isinstance(test, Observation) and test.opens
        return row(test.way)["times"] * (row("opened")["times"] if opens else 1.0)

    def asking_factor(self, figures: Figures) -> float:
        """What the time for asking is multiplied by where they are (table phone-times)."""
        return 1.0 if self.at == RIG else figures.table("phone-times").row("asking")["times"]

    def updated(self, said: str, kit: Kit) -> Means:
        """What they are after saying more: "phone", "no meter", "a clamp", "only voltmeter, lamp".

        Raises UnknownName for a word that is no thing or place of the kit.
        """
        now, taking = self, False
        for name in _names(said, kit):
            if name in kit.places:
                now, taking = _at(name, kit), False
            elif name in ALL or name in NONE or name == ONLY:
                lacks = frozenset() if name in ALL else frozenset(kit.things)
                now, taking = replace(now, lacks=lacks), False
            elif name in WITHOUT:
                taking = True
            else:
                things = _things(name, kit)
                now = replace(now, lacks=now.lacks | things if taking else now.lacks - things)
        return now


EVERYTHING = Means()
"""At the rig, with all that any test needs."""


def cost(
    test: Test, state: str, figures: Figures, fetch: bool = False, means: Means = EVERYTHING
) -> float:
    """Minutes of a test where somebody is: minutes = time there + asking + set-up + fetching.

    state: in which the rig is now, and has to be brought into that of the test; fetch: whether its
    instrument has to be fetched first.
    """
    moved = test.state != state and test.state in STATES_TO_SET_UP
    more = figures.get("asking-time", "min") * means.asking_factor(figures)
    more += figures.get("state-change-time", "min") if moved else 0.0
    more += figures.get("fetch-time", "min") if fetch else 0.0
    return test.minutes * means.time_factor(test.entry, figures) + more


def _instruments(tests: Mapping[str, Test], catalogue: Catalogue) -> dict[str, str]:
    """Each reading with its instrument."""
    return {
        name: catalogue.quantities[test.entry.reading.quantity].instrument
        for name, test in tests.items()
        if isinstance(test.entry, ReadingEntry)
    }


def unfetched_readings(
    tests: Mapping[str, Test], catalogue: Catalogue, answered: Iterable[str]
) -> frozenset[str]:
    """The readings whose instrument has not been used yet, by id.

    answered: ids of the tests that have an answer.
    """
    known = _instruments(tests, catalogue)
    at_hand = {known[name] for name in answered if name in known}
    return frozenset(name for name, one in known.items() if one not in at_hand)


def unreachable_readings(
    tests: Mapping[str, Test],
    catalogue: Catalogue,
    unfetched: frozenset[str],
    unknown: Iterable[str],
) -> frozenset[str]:
    """Of unfetched readings those whose instrument nobody seems to have: MISSED readings with it
    were answered "not known". unknown: ids of the tests that were answered so."""
    known = _instruments(tests, catalogue)
    missed = Counter(known[name] for name in unknown if name in known)
    return frozenset(name for name in unfetched if missed[known[name]] >= MISSED)


def _at(place: str, kit: Kit) -> Means:
    """Somewhere, with what is taken to be there."""
    has = kit.places[place].has
    return Means(place, frozenset() if "*" in has else frozenset(kit.things) - frozenset(has))


def _things(name: str, kit: Kit) -> frozenset[str]:
    """The things that a name stands for; "meter" stands for two."""
    return frozenset(one.id for one in kit.things.values() if name in (one.id, *one.words))


def _names(said: str, kit: Kit) -> Iterable[str]:
    """The names in a text, long ones first where they begin alike. Raises UnknownName."""
    words = re.findall(r"[^\s,;.]+", said.lower())
    known = _known(kit)
    at = 0
    while at < len(words):
        longest = (" ".join(words[at : at + size]) for size in (3, 2, 1))
        name = next((text for text in longest if text in known), None)
        if name is None and words[at] not in FILLING:
            raise UnknownName("thing or place", words[at], None, nearest(words[at], known), known)
        if name:
            yield name
        at += len(name.split()) if name else 1


def _known(kit: Kit) -> Collection[str]:
    things = (name for one in kit.things.values() for name in (one.id, *one.words))
    return tuple(dict.fromkeys([*things, *kit.places, ONLY, *ALL, *NONE, *WITHOUT]))


def means_in_words(means: Means, kit: Kit) -> str:
    """Where they are and with what, in a line."""
    place = kit.places[means.at].say
    if not means.lacks:
        return f"{place}, with all that is asked for"
    has = [name for name in kit.things if name not in means.lacks]
    lacks = [name for name in kit.things if name in means.lacks]
    if len(lacks) <= len(has):
        return f"{place}, without {_listed(lacks)}"
    return f"{place}, with {_listed(has)}" if has else f"{place}, with nothing but eyes and hands"


def _listed(names: Iterable[str]) -> str:
    return ", ".join(name.replace("-", " ") for name in names)


def needs_in_words(needs: Iterable[str], kit: Kit) -> tuple[str, ...]:
    """What a test takes, as a fitter calls it. needs: ids of things of the kit."""
    return tuple(kit.things[name].say for name in needs if name in kit.things)
