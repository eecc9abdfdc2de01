"""How people in the trade say what they do: knowledge/drill_words.yaml as records."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diagnose.catalogue.entry_parts import words as sentences
from diagnose.documents import Section, load
from diagnose.figures import knowledge_folder

Names = Mapping[str, tuple[str, ...]]
"""An id to the phrases that mean it, its own name among them."""


@dataclass(frozen=True)
class Danger:
    """What is stopped: the phrases that ask for it, why not, and the caution that goes with it."""

    phrases: tuple[str, ...]
    say: str
    caution: str


@dataclass(frozen=True)
class Words:
    """The grammar of acts. Phrases are as `plain` leaves them.

    parts, jumpers: to the two points, red first; black: the point of the black probe when one
    point is named; minutes: by quantity, of readings that the book does not have [min]
    """

    filler: frozenset[str]
    verbs: Names
    points: Names
    black: str
    parts: Mapping[str, tuple[str, str]]
    places: Names
    states: Names
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
        """What was typed, without capitals, filler and the marks that join words."""
        return plain(text, self.filler)


def plain(text: str, filler: Iterable[str] = ()) -> str:
    """Lower case, words apart: "Fuse-holder" and "fuse.holder" are "fuse holder"; "lug-" stays."""
    apart = re.sub(r"(?<=\w)[-._](?=\w)", " ", text.lower()).replace(",", " ").replace("?", " ")
    return " ".join(word for word in apart.split() if word not in filler)


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
    filler = frozenset(document.texts("filler"))

    def names(key: str) -> Names:
        part = document.section(key)
        return {name: _phrases(name, part.texts(name), filler) for name in part}

    return Words(
        filler=filler,
        verbs=names("verbs"),
        points=names("points"),
        black=document.text("black"),
        parts={plain(name, filler): pair for name, pair in _pairs(document.section("parts"))},
        places=names("places"),
        states=names("states"),
        safe=tuple(plain(text, filler) for text in document.texts("safe")),
        asks=names("asks"),
        jumpers=dict(_pairs(document.section("jumpers"))),
        fused=tuple(plain(text, filler) for text in document.texts("fused")),
        unfused=tuple(plain(text, filler) for text in document.texts("unfused")),
        minutes=_minutes(document.section("minutes")),
        dangers=_dangers(document.section("dangers"), filler),
        senseless=sentences(document.section("senseless")),
        dangerous_rules=document.texts("dangerous_rules"),
    )


def _phrases(name: str, phrases: Iterable[str], filler: frozenset[str]) -> tuple[str, ...]:
    """The phrases as `plain` leaves them, then the name itself; each once."""
    return tuple(dict.fromkeys(plain(phrase, filler) for phrase in (*phrases, name)))


def _pairs(part: Section) -> Iterator[tuple[str, tuple[str, str]]]:
    for name in part:
        red, black = (*part.texts(name), "", "")[:2]
        yield name, (red, black)


def _minutes(part: Section) -> Mapping[str, float]:
    return {name: part.number(name, minimum=0) for name in part}


def _dangers(part: Section, filler: frozenset[str]) -> Mapping[str, Danger]:
    return {name: _danger(part.section(name), filler) for name in part}


def _danger(one: Section, filler: frozenset[str]) -> Danger:
    phrases = tuple(plain(text, filler) for text in one.texts("phrases"))
    return Danger(phrases, one.text("say").strip(), one.text("caution"))
