"""How people in the trade say what they do: knowledge/drill_words.yaml as records, and the names of
points, parts, places and states in what was typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from diagnose.catalogue.entry_parts import words as sentences
from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.plain_reader import shipped_plain_words
from diagnose.catalogue.probe_words import FILLER, Names, ProbeWords, names_of, pairs_of, plain
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.network import points_on
from diagnose.circuit.parts import control_of, feed_of
from diagnose.circuit.reading_words import points_for
from diagnose.circuit.rig import Rig
from diagnose.documents import Section, load
from diagnose.errors import DiagnoseError, UnknownName, nearest
from diagnose.figures import knowledge_folder


@dataclass(frozen=True)
class Danger:
    """What is stopped: the phrases that ask for it, why not, and the caution that goes with it."""

    phrases: tuple[str, ...]
    say: str
    caution: str


@dataclass(frozen=True)
class Words:
    """The grammar of acts. Phrases are as `plain` leaves them.

    probes: what points, parts, places and states are called, here as everywhere; jumpers: to the
    two points, red first; minutes: by quantity, of readings that the book does not have [min]
    """

    verbs: Names
    probes: ProbeWords
    safe: tuple[str, ...]
    asks: Names
    jumpers: Mapping[str, tuple[str, str]]
    fused: tuple[str, ...]
    unfused: tuple[str, ...]
    minutes: Mapping[str, float]
    dangers: Mapping[str, Danger]
    senseless: Mapping[str, str]
    dangerous_rules: tuple[str, ...]

    def plain(self, text: str) -> str:
        """What was typed, without capitals, small words and the marks that join words."""
        return plain(text, FILLER)


def words_on(words: Words, book: Catalogue, rig: Rig) -> Words:
    """The grammar with the test points of a rig's own parts, by their names, and with what is asked
    of each of several parts of a kind."""
    probes = words.probes
    points = {point: (plain(point),) for point in points_on(rig) if point not in probes.points}
    parts = {}
    for one in (*feed_of(rig), *control_of(rig)):
        if one.start in points:
            parts[plain(one.part.said)] = (one.start, one.end)
        if one.minus:
            parts[f"{plain(one.part.said)} minus"] = (one.minus[1], one.minus[0])
    return replace(
        words,
        probes=replace(probes, points={**probes.points, **points}, parts={**probes.parts, **parts}),
        asks={**words.asks, **dict(_of_copies(words, book))},
    )


def _of_copies(words: Words, book: Catalogue) -> Iterator[tuple[str, tuple[str, ...]]]:
    for entry in book.observations.values():
        template = template_of(entry.id)
        if template != entry.id:
            said = plain(entry.of.replace("_", " "))
            yield entry.id, tuple(f"{ask} {said}" for ask in words.asks[template])


def load_words(file: Path) -> Words:
    """The words in a file. Raises Mistakes with every problem of it."""
    document = load(file)
    words = _words(document)
    document.finish()
    return words


@cache
def shipped_words() -> Words:
    """The words that come with the program, read once."""
    return load_words(knowledge_folder() / "drill_words.yaml")


def _words(document: Section) -> Words:
    def plainly(key: str) -> tuple[str, ...]:
        return tuple(plain(text, FILLER) for text in document.texts(key))

    return Words(
        verbs=names_of(document.section("verbs")),
        probes=shipped_plain_words().probes,
        safe=plainly("safe"),
        asks=names_of(document.section("asks")),
        jumpers=dict(pairs_of(document.section("jumpers"))),
        fused=plainly("fused"),
        unfused=plainly("unfused"),
        minutes=_minutes(document.section("minutes")),
        dangers=_dangers(document.section("dangers")),
        senseless=sentences(document.section("senseless")),
        dangerous_rules=document.texts("dangerous_rules"),
    )


def _minutes(part: Section) -> Mapping[str, float]:
    return {name: part.number(name, minimum=0) for name in part}


def _dangers(part: Section) -> Mapping[str, Danger]:
    return {name: _danger(part.section(name)) for name in part}


def _danger(one: Section) -> Danger:
    phrases = tuple(plain(text, FILLER) for text in one.texts("phrases"))
    return Danger(phrases, one.text("say").strip(), one.text("caution"))


PROBED = ("voltage", "resistance")
"""Quantities that are read between two points."""

Named = list[tuple[str, str]]
"""Kind and name: ("point", "relay.30"), ("part", "coil"), ("place", "motor"), ("state", "rest")."""


class NotAnAct(DiagnoseError):
    """What was typed is nothing that can be done at the rig."""


def meanings(quantity: str, words: Words) -> dict[str, tuple[str, str]]:
    """What a phrase may stand for behind the verb of a quantity."""
    found = _kind("state", words.probes.states)
    if quantity in PROBED:
        return found | probed(words)
    places = {name: words.probes.places[name] for name in points_for(quantity)[1]}
    return found | _kind("place", places)


def probed(words: Words) -> dict[str, tuple[str, str]]:
    """Phrases for what lies under two probes or the clips of a jumper."""
    return {name: ("part", name) for name in words.probes.parts} | _kind(
        "point", words.probes.points
    )


def _kind(kind: str, names: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, str]]:
    return {phrase: (kind, name) for name, phrases in names.items() for phrase in phrases}


def named(rest: str, known: Mapping[str, tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """The meaning of each name in a text, the longest names first. Raises UnknownName."""
    tokens = rest.split()
    longest = max((len(name.split()) for name in known), default=1)
    while tokens:
        for count in range(min(longest, len(tokens)), 0, -1):
            name = " ".join(tokens[:count])
            if name in known:
                yield known[name]
                tokens = tokens[count:]
                break
        else:
            near = nearest(tokens[0], known)
            raise UnknownName("point, part or state", tokens[0], None, near)


def points_of(quantity: str, found: Named, words: Words) -> tuple[str, ...]:
    """Red and black, or the one place. Raises NotAnAct."""
    if len(found) == 1 and found[0][0] == "part":
        return words.probes.parts[found[0][1]]
    found = [_plus_side(one, words) for one in found]
    kinds, names = [kind for kind, _ in found], tuple(name for _, name in found)
    if kinds == ["point"]:
        return names[0], words.probes.black
    if kinds in (["point", "point"], ["place"]):
        return names
    if not kinds and quantity not in PROBED and len(points_for(quantity)[1]) == 1:
        return tuple(points_for(quantity)[1])
    raise NotAnAct(f"A reading of {quantity} needs {_wanted(quantity)}.")


def _plus_side(one: tuple[str, str], words: Words) -> tuple[str, str]:
    """A part with a plus stands for it when a second point is named: "battery motor"."""
    red = words.probes.parts[one[1]][0] if one[0] == "part" else ""
    return ("point", red) if red.endswith("+") else one


def _wanted(quantity: str) -> str:
    if quantity not in PROBED:
        return f"one place: {', '.join(points_for(quantity)[1])}"
    example = "volts 30 87" if quantity == "voltage" else "ohms coil isolated"
    return f"two points or one part, such as: {example}"
