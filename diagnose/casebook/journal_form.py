"""The lines of a journal: steps of a walk as plain values, and back again, checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import isclose
from pathlib import Path
from typing import Annotated, Any, TypeVar

from diagnose.annotations import By, From, OneOf, Unsaid
from diagnose.bench import Bench
from diagnose.casebook.case_fields import RANGES, Lines, Minutes, Time
from diagnose.casebook.case_file import rig_yaml, values_of
from diagnose.casebook.files import ID
from diagnose.casebook.lines import read_lines
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.reading_words import OF_ANY_PART, reading_of
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import Section, mapped, parse
from diagnose.errors import (
    BadDocument,
    DiagnoseError,
    Mistakes,
    Place,
    UnknownName,
    nearest,
    quoted,
)
from diagnose.field_types import UNREAD
from diagnose.reasoning.available_tests import EVERYTHING
from diagnose.reasoning.commissioning import (
    CommissioningRecord,
    parse_date,
    parse_record_line,
    record_line,
)
from diagnose.reasoning.evidence import Evidence, Seen, check_answer, check_reading
from diagnose.record_reader import key_reader, read
from diagnose.steps import (
    ANSWERED,
    CAN,
    MADE_SAFE,
    NOTE,
    SKIPPED,
    UNKNOWN,
    VOLUNTEERED,
    Step,
)

T = TypeVar("T")

FORM = 1
"""Of the journals that this program writes and reads."""

HOW = (ANSWERED, SKIPPED, UNKNOWN, MADE_SAFE, CAN, NOTE, VOLUNTEERED)
FOUND = (ANSWERED, VOLUNTEERED)
"""Ways to deal with a question, or to say something unasked; those that have a finding."""


@dataclass(frozen=True)
class SeenLine:
    """What was seen."""

    seen: str
    option: str
    sure: bool = False


@dataclass(frozen=True)
class ReadLine:
    """What was read; value: in the unit of the reading."""

    read: str
    value: Annotated[float, RANGES["measured"]]
    typed: str = ""
    sure: bool = False


Finding = SeenLine | ReadLine


@dataclass(frozen=True)
class StepLine:
    """A step of a walk."""

    step: str
    finding: Annotated[SeenLine | ReadLine | None, Unsaid(None)]
    how: Annotated[str, OneOf(HOW, "way to deal with a question")]
    minutes: Minutes
    at: Time

    def flaws(self) -> Iterator[tuple[str, str]]:
        if (self.finding is None) == (self.how in FOUND):
            yield "", "an answer needs its finding, and nothing else has one"


@dataclass(frozen=True)
class BackLine:
    """The last step taken back."""

    back: bool

    def flaws(self) -> Iterator[tuple[str, str]]:
        if not self.back:
            yield "back", "should be true, or not there"


Entry = StepLine | BackLine


@dataclass(frozen=True)
class Day:
    """What a rig read on one day."""

    taken: Annotated[date, By(parse_date, write=date.isoformat)]
    read: tuple[str, ...]


def _id(text: str, place: Place) -> str:
    if not ID.fullmatch(text):
        raise BadDocument(f"{quoted(text)} is not the id of a walk", place)
    return text


def _rig(section: Section, _: object) -> Any:
    """The rig as its file would have it, with the keys that took a default."""
    text, assumed = section.text("rig"), _ASSUMED(section)
    if not text:
        return UNREAD
    rig = read_rig(parse(text, f"{section.place}, the rig there"))
    return replace(rig, assumed=assumed)


def _rig_text(opening: Opening) -> str:
    return rig_yaml(opening.rig)


_ASSUMED = key_reader(tuple[str, ...], "assumed")


@dataclass(frozen=True)
class Opening:
    """The first line of a journal.

    told: the findings given at the start; knowledge: version of the book that the walk began with;
    able: what whoever answers can do, in words; own: the rig's own readings of when it was new
    """

    id: Annotated[str, By(_id)]
    opened: Time
    rig: Annotated[Rig, From(_rig, _rig_text)]
    complaint: Lines
    told: tuple[Finding, ...] = ()
    knowledge: str = ""
    able: str = ""
    own: tuple[Day, ...] = ()


def opening_values(opening: Opening) -> dict[str, Any]:
    """The first line."""
    assumed = {"assumed": list(opening.rig.assumed)}
    return {"journal": FORM} | values_of(opening) | assumed


def days_of(own: CommissioningRecord | None) -> tuple[Day, ...]:
    """A rig's own readings, as lines that can be kept."""
    days = own.days if own else ()
    return tuple(Day(day.taken, tuple(map(record_line, day.read))) for day in days)


def own_of(opening: Opening, place: Place) -> CommissioningRecord | None:
    """They again, checked against today's book and the rig; None without any. Raises
    DiagnoseError."""
    found, book = CommissioningRecord(), shipped_catalogue()
    for day in opening.own:
        read = [parse_record_line(one, book, opening.rig, place) for one in day.read]
        found = found.with_day(day.taken, read)
    return found if opening.own else None


def finding_line(item: Evidence) -> Finding:
    """A finding; a reading's value in its own unit."""
    if isinstance(item, Seen):
        return SeenLine(item.observation, item.option, item.sure)
    return ReadLine(str(item.reading), item.value, item.typed, item.sure)


def step_values(step: Step, at: datetime) -> dict[str, Any]:
    """The line of one step."""
    finding = finding_line(step.item) if step.item else None
    return values_of(StepLine(step.test, finding, step.how, step.minutes, at))


def read_journal(path: Path) -> tuple[Opening, list[tuple[int, Entry]]]:
    """The opening of a journal, and its other lines with their numbers. Raises DiagnoseError for a
    line that is not understood, which stays where it is."""
    lines = read_lines(path)
    place = Place(str(path), 1)
    if not lines:
        raise BadDocument("is empty; nothing was written here yet", place)
    first = mapped(lines[0][1], place)
    if first.raw("journal") != FORM:
        raise BadDocument("is no journal of this version of the program", place)
    rest = ((n, mapped(entry, Place(str(path), n))) for n, entry in lines[1:])
    return _record(Opening, first), [(n, _record(_kind(line), line)) for n, line in rest]


def _kind(line: Section) -> type[Entry]:
    return BackLine if "back" in line else StepLine


def _record(kind: type[T], line: Section) -> T:
    """What a line says. Raises BadDocument with the first that is wrong in it."""
    try:
        found = read(kind, line)
        line.finish()
    except DiagnoseError as problem:
        problems = problem.problems if isinstance(problem, Mistakes) else (problem,)
        one = next((one for one in problems if isinstance(one, UnknownName)), problems[0])
        raise BadDocument(f"{_DAMAGED}: {one.message}", one.place) from None
    return found


_DAMAGED = "the file was changed or damaged here"


def finding_of(bench: Bench, line: Finding, place: Place) -> Evidence:
    """A finding again, checked against today's book and the rig. Raises DiagnoseError."""
    catalogue = bench.shop.catalogue
    if isinstance(line, SeenLine):
        item: Evidence = check_answer(
            catalogue, bench.hypotheses.facts, line.seen, line.option, place
        )
        return replace(item, sure=line.sure)
    reading = reading_of(line.read, place, OF_ANY_PART)
    item = check_reading(catalogue, bench.rig, reading, line.typed or line.value, place)
    if not isclose(item.value, line.value, rel_tol=1e-9):
        raise BadDocument("the value is not what was typed; the file was changed here", place)
    return replace(item, sure=line.sure)


def step_of(bench: Bench, line: StepLine, place: Place) -> tuple[Step, datetime]:
    """A step again, and when it was taken. Raises DiagnoseError."""
    item = finding_of(bench, line.finding, place) if line.finding else None
    _check_named(bench, line, place)
    if item is not None and item.id != line.step:
        raise BadDocument(f"the finding is not of {quoted(line.step)}", place)
    return Step(line.step, item, line.minutes, line.how), line.at


def _check_named(bench: Bench, line: StepLine, place: Place) -> None:
    """Whether there is what a step without a finding speaks of. Raises UnknownName."""
    if line.how == CAN:
        EVERYTHING.updated(line.step, bench.shop.catalogue.kit)
    known = bench.shop.catalogue.stops if line.how == MADE_SAFE else bench.tests
    if line.how not in (CAN, NOTE, *FOUND) and line.step not in known:
        near = nearest(line.step, known)
        raise UnknownName("test or stop", line.step, place, near)
