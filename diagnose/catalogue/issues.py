"""What is wrong with the knowledge, and the checks that find it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from diagnose.catalogue.knowledge import Knowledge
from diagnose.errors import Place


class Severity(StrEnum):
    """How bad an issue is; `meaning` says what that means."""

    MUST_FIX = "must-fix"
    SHOULD_FIX = "should-fix"
    NOTE = "note"

    @property
    def meaning(self) -> str:
        return _MEANING[self]


_MEANING = {
    Severity.MUST_FIX: "the program cannot use this, or would answer wrongly with it",
    Severity.SHOULD_FIX: "the program can use this, but it is incomplete or will mislead somebody",
    Severity.NOTE: "worth a look; it may be meant so",
}


@dataclass(frozen=True)
class Issue:
    """One thing that is wrong. code: of the check that found it."""

    code: str
    severity: Severity
    place: Place | None
    text: str

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        return f"{self.severity} {self.code}: {where}{self.text}"


Found: TypeAlias = Iterator[tuple[Place, str]]
"""What a check yields: where, and one sentence on what is wrong there."""


@dataclass(frozen=True)
class Check:
    """One check. meaning: what holds when it finds nothing, in one line."""

    code: str
    severity: Severity
    meaning: str
    find: Callable[[Knowledge], Found]

    def __call__(self, knowledge: Knowledge) -> Iterator[Issue]:
        """Every issue of this kind, with the line where the key stands."""
        for place, text in self.find(knowledge):
            yield Issue(self.code, self.severity, knowledge.written.located(place), text)


def check(code: str, severity: Severity) -> Callable[[Callable[[Knowledge], Found]], Check]:
    """Make a check of a generator function, whose docstring is its meaning."""

    def make(find: Callable[[Knowledge], Found]) -> Check:
        return Check(code, severity, (find.__doc__ or "").strip(), find)

    return make
