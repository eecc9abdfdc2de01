"""The circuits explained: knowledge/lessons.yaml as records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diagnose.catalogue.entry_parts import When, when
from diagnose.catalogue.records import holds
from diagnose.documents import Section, load
from diagnose.figures import knowledge_folder


@dataclass(frozen=True)
class Lesson:
    """One idea; paragraphs: its text; when: rig facts it depends on."""

    id: str
    title: str
    paragraphs: tuple[str, ...]
    when: When
    sources: tuple[str, ...]


def load_lessons(file: Path) -> tuple[Lesson, ...]:
    """The lessons in a file, in their order. Raises Mistakes with every problem of it."""
    document = load(file)
    found = tuple(map(_lesson, document.sections("lessons")))
    document.finish()
    return found


def _lesson(one: Section) -> Lesson:
    text = tuple(" ".join(part.split()) for part in one.texts("text"))
    return Lesson(one.text("id"), one.text("title"), text, when(one, "when"), one.texts("sources"))


@cache
def shipped_lessons() -> tuple[Lesson, ...]:
    """Those that come with the program, read once."""
    return load_lessons(knowledge_folder() / "lessons.yaml")


def lessons_for(facts: Mapping[str, str]) -> tuple[Lesson, ...]:
    """The lessons that a rig needs."""
    return tuple(one for one in shipped_lessons() if holds(one.when, facts))
