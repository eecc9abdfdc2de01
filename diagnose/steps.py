"""What a walk is made of: questions, steps that dealt with them or were said unasked, and a sink
that is told of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.circuit.meter import Reading
from diagnose.circuit.reading_words import in_words
from diagnose.errors import DiagnoseError
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.expectations import Expected

MADE_SAFE, CAN, NOTE, VOLUNTEERED = "made-safe", "can", "note", "volunteered"
"""Steps that answer no question: a stop was said to be over; what somebody can do was said; a note
was made; a finding was told unasked."""

ANSWERED, SKIPPED, UNKNOWN = "answered", "skipped", "unknown"
"""What can come of a question."""


class NoSuchStop(DiagnoseError):
    """A stop that does not stand, or that nothing said can end."""


class Contradiction(DiagnoseError):
    """An answer that cannot be together with the others; given a second time, it stands."""


@dataclass(frozen=True)
class Question:
    """One test to do. expected: the healthy band of a reading; minutes with its set-up; bits: what
    it is expected to teach; again: asked before, with an answer that does not fit the rest; takes:
    the things that it needs, as a fitter calls them."""

    test: Test
    minutes: float
    expected: Expected | None
    bits: float
    again: bool = False
    takes: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        return self.test.id

    @property
    def entry(self) -> Observation | ReadingEntry:
        return self.test.entry

    @property
    def reading(self) -> Reading | None:
        entry = self.test.entry
        return entry.reading if isinstance(entry, ReadingEntry) else None

    @property
    def sentence(self) -> str:
        """The question as it is put."""
        entry = self.test.entry
        return (
            entry.ask if isinstance(entry, Observation) else f"Measure {in_words(entry.reading)}."
        )


@dataclass(frozen=True)
class Step:
    """One question dealt with: the finding, or None when it was skipped or not known. Or something
    said unasked, by `how`: `test` is then the id of a stop, the text that was said, or the test of
    a finding."""

    test: str
    item: Evidence | None
    minutes: float
    how: str = ANSWERED

    @property
    def is_question(self) -> bool:
        return self.how in (ANSWERED, SKIPPED, UNKNOWN)

    @property
    def is_test(self) -> bool:
        """Whether `test` is the id of one."""
        return self.is_question or self.how == VOLUNTEERED


class Sink(Protocol):
    """What hears of each step before it counts. Where it raises, the walk stays as it was."""

    def keep(self, step: Step) -> None:
        """A step that is about to be the last."""
        ...

    def undo(self) -> None:
        """The last step is about to go."""
        ...
