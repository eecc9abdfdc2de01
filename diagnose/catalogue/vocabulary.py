"""The words that the knowledge is written in, from knowledge/vocabulary.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diagnose.catalogue.entry_parts import words
from diagnose.documents import Section, load
from diagnose.errors import Place
from diagnose.figures import knowledge_folder


@dataclass(frozen=True)
class Measure:
    """What a quantity is read in, and where: `at` is empty for readings between test points."""

    unit: str
    at: tuple[str, ...]


@dataclass(frozen=True)
class Vocabulary:
    """Every word that must be there.

    test_points, conditions: name to meaning; failure_modes: group to ids; observations: id to its
    answers in their order; readings: by quantity.
    """

    test_points: Mapping[str, str]
    conditions: Mapping[str, str]
    failure_modes: Mapping[str, tuple[str, ...]]
    observations: Mapping[str, tuple[str, ...]]
    readings: Mapping[str, Measure]
    place: Place

    @property
    def group_of(self) -> Mapping[str, str]:
        """Failure mode to its group."""
        return {mode: group for group, modes in self.failure_modes.items() for mode in modes}


def load_vocabulary(file: Path) -> Vocabulary:
    """The vocabulary in a file. Raises Mistakes with every problem of it."""
    document = load(file)
    vocabulary = Vocabulary(
        words(document.section("test_points")),
        words(document.section("conditions")),
        _lists(document.section("failure_modes")),
        _lists(document.section("observations")),
        _measures(document.section("readings")),
        document.place,
    )
    document.finish()
    return vocabulary


@cache
def shipped_vocabulary() -> Vocabulary:
    """The vocabulary that comes with the program, read once."""
    return load_vocabulary(knowledge_folder() / "vocabulary.yaml")


def _lists(part: Section) -> Mapping[str, tuple[str, ...]]:
    return {name: part.texts(name) for name in part}


def _measures(part: Section) -> Mapping[str, Measure]:
    return {name: _measure(part.section(name)) for name in part}


def _measure(section: Section) -> Measure:
    return Measure(section.text("unit"), section.texts("at", default=()))
