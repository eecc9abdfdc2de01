"""The words that the knowledge is written in, from knowledge/vocabulary.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diagnose.catalogue.entry_parts import Texts
from diagnose.documents import load
from diagnose.errors import Place
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read


@dataclass(frozen=True)
class Measure:
    """What a quantity is read in, and where: `at` is empty for readings between test points."""

    unit: str
    at: Texts


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
    vocabulary = read(Vocabulary, document)
    document.finish()
    return vocabulary


@cache
def shipped_vocabulary() -> Vocabulary:
    """The vocabulary that comes with the program, read once."""
    return load_vocabulary(knowledge_folder() / "vocabulary.yaml")
