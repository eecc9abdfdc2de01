"""What somebody who answers can do: where they are, and which things of the kit they lack."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from diagnose.catalogue.records import Kit, Observation, ReadingEntry
from diagnose.errors import UnknownName, nearest
from diagnose.figures import Figures

RIG = "rig"
"""The place where things take the time that the book says."""

WITHOUT = ("no", "not", "without", "lacks", "lost")
ONLY, ALL, NONE = "only", ("everything", "all"), ("nothing", "none")
FILLING = ("a", "an", "the", "my", "at", "on", "by", "with", "and", "have", "has", "i", "am", "is")
"""Words of what somebody says of it, beside those of the kit."""


@dataclass(frozen=True)
class Means:
    """at: id of a place of the kit; lacks: ids of things that are not there."""

    at: str = RIG
    lacks: frozenset[str] = frozenset()

    def has_what(self, test: Observation | ReadingEntry) -> bool:
        """Whether all is there that a test needs."""
        return self.lacks.isdisjoint(test.needs)

    def times(self, test: Observation | ReadingEntry, figures: Figures) -> float:
        """What its minutes are multiplied by where they are (table phone-times)."""
        if self.at == RIG:
            return 1.0
        row = figures.table("phone-times").row
        opens = isinstance(test, Observation) and test.opens
        return row(test.way)["times"] * (row("opened")["times"] if opens else 1.0)

    def asking(self, figures: Figures) -> float:
        """What the time for asking is multiplied by where they are."""
        return 1.0 if self.at == RIG else figures.table("phone-times").row("asking")["times"]

    def then(self, said: str, kit: Kit) -> Means:
        """What they are after saying more: "phone", "no meter", "a clamp", "only voltmeter, lamp".
        Raises UnknownName."""
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


def in_words(means: Means, kit: Kit) -> str:
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


def said_to_need(needs: Iterable[str], kit: Kit) -> tuple[str, ...]:
    """What a test takes, as a fitter calls it."""
    return tuple(kit.things[name].say for name in needs if name in kit.things)
