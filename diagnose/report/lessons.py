"""The circuits explained: knowledge/lessons.yaml as records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated

from diagnose.annotations import At, By
from diagnose.catalogue.entry_parts import Sources, When
from diagnose.catalogue.records import holds
from diagnose.documents import load
from diagnose.errors import Place
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read_list


def _one_line(text: str, _: Place) -> str:
    return " ".join(text.split())


@dataclass(frozen=True)
class Lesson:
    """One idea; paragraphs: its text; when: rig facts it depends on."""

    id: str
    title: str
    paragraphs: Annotated[tuple[Annotated[str, By(_one_line)], ...], At("text")]
    when: When
    sources: Sources


def load_lessons(file: Path) -> tuple[Lesson, ...]:
    """The lessons in a file, in their order. Raises Mistakes with every problem of it."""
    document = load(file)
    found = read_list(Lesson, document, "lessons")
    document.finish()
    return found


@cache
def shipped_lessons() -> tuple[Lesson, ...]:
    """Those that come with the program, read once."""
    return load_lessons(knowledge_folder() / "lessons.yaml")


def lessons_for(facts: Mapping[str, str]) -> tuple[Lesson, ...]:
    """The lessons that a rig needs."""
    return tuple(one for one in shipped_lessons() if holds(one.when, facts))
