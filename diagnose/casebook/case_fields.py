"""What the fields of a case can hold, each bound with its reason; texts and times as they are kept.

The bounds keep out slips of the hand and damage, not unusual repairs. The rig has bounds of its
own.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from math import isclose
from typing import TYPE_CHECKING, Annotated, Any, TypeAlias

from diagnose.annotations import By, From, In, Limits, OneOf, Unsaid
from diagnose.documents import Section
from diagnose.errors import BadDocument, BadQuantity, DiagnoseError, Place, harmless, quoted
from diagnose.field_types import UNREAD
from diagnose.record_reader import key_reader

if TYPE_CHECKING:
    from diagnose.circuit.meter import Reading
    from diagnose.circuit.rig import Rig
else:  # a list of cases has no need of the circuit
    Reading = Rig = object

RANGES = {
    "minutes": Limits(0, 525_600, "a year has no more minutes"),
    "questions": Limits(0, 10_000, "far more than the book has tests"),
    "moved": Limits(-1, 1100, "bits; the smallest share that the program can hold is 2^-1074"),
    "share": Limits(0, 1, "a probability"),
    "measured": Limits(
        -1e8, 1e8, "in the unit of the reading; the widest range is of ohms, and ends at 100 Mohm"
    ),
}
"""Of every number in a case, by what it counts."""

LONGEST_LINE, LONGEST_NOTES = 500, 20_000
"""Characters of a text on one line, and of the notes: a page of a case stays two sheets."""

EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
LATEST = datetime(2200, 12, 31, 23, 59, 59, tzinfo=UTC)
"""Times of a case. Before the one no computer's clock counts; after the other a year is a slip, or
a clock is set wrong."""

_ANY_LENGTH = 10**9

Clock = Callable[[], datetime]


def now() -> datetime:
    """This second, in UTC."""
    return datetime.now(UTC).replace(microsecond=0)


def written_time(at: datetime) -> str:
    """A time as case files have it: "2026-03-02 09:05:00 UTC"."""
    return f"{at.astimezone(UTC).replace(tzinfo=None).isoformat(' ', 'seconds')} UTC"


def time_of(text: str, place: Place | None = None) -> datetime:
    """A written time, or one in the form of ISO 8601 with its zone. Raises BadDocument."""
    wrong = "is not a time; write it as '2026-03-02 09:05:00 UTC'"
    try:
        at = datetime.fromisoformat(text.strip().replace(" UTC", "+00:00"))
        if at.tzinfo is not None and EARLIEST <= at <= LATEST:
            return at.astimezone(UTC).replace(microsecond=0)
        if at.tzinfo is not None:
            wrong = f"is not a time from {EARLIEST.year} to {LATEST.year}; mend the year"
    except (ValueError, OverflowError):
        pass
    raise BadDocument(f"{quoted(text)} {wrong}", place)


def line(text: str, longest: int = LONGEST_LINE) -> str:
    """`text` on one line, without spaces at its ends, control characters made visible."""
    return harmless(" ".join(text.split()), longest)


def paragraphs(text: str) -> str:
    """`text` with its line ends kept and everything else as in `line`, cut to LONGEST_NOTES."""
    lines = [line(part, LONGEST_NOTES) for part in text.strip().splitlines()]
    return "\n".join(lines).strip()[:LONGEST_NOTES].rstrip()


class TooLong(DiagnoseError):
    """A text that has no room in a case."""


def whole_line(text: str, what: str) -> str:
    """A line of something typed to be kept, which is never cut. Raises TooLong."""
    return _whole(line(text, _ANY_LENGTH), what, LONGEST_LINE)


def added(notes: str, more: str) -> str:
    """The notes of a case with more of them. Raises TooLong."""
    _whole(f"{notes}\n{line(more, _ANY_LENGTH)}".strip(), "all notes together", LONGEST_NOTES)
    return paragraphs(f"{notes}\n{more}")


def _whole(text: str, what: str, most: int) -> str:
    if len(text) > most:
        raise TooLong(f"{what}: {most:,} characters at most, and these are {len(text):,}; shorten")
    return text


def one_line(text: str, place: Place) -> str:
    """A text that was read, on one line; a longer one is refused, since it would be cut when the
    case is saved again. Raises BadDocument."""
    _check_length(line(text, _ANY_LENGTH), LONGEST_LINE, place)
    return line(text)


def _notes(text: str, place: Place) -> str:
    _check_length(harmless(text.replace("\n", " "), _ANY_LENGTH), LONGEST_NOTES, place)
    return paragraphs(text)


def _check_length(text: str, most: int, place: Place) -> None:
    if len(text) > most:
        said = f"is {len(text)} characters long; {most} at most, so shorten it"
        raise BadDocument(said, place)


Line: TypeAlias = Annotated[str, By(one_line, "", line)]
Lines: TypeAlias = Annotated[tuple[Line, ...], Unsaid(())]
Notes: TypeAlias = Annotated[str, By(_notes, "", paragraphs)]
Time: TypeAlias = Annotated[datetime, By(time_of, EARLIEST, written_time)]
Minutes: TypeAlias = Annotated[float, RANGES["minutes"]]
Share: TypeAlias = Annotated[float, RANGES["share"]]
Moved: TypeAlias = Annotated[float | None, RANGES["moved"]]


def _verdicts(_: str) -> Collection[str]:
    from diagnose.catalogue.rule_records import VERDICTS

    return VERDICTS


def _reading(text: str, place: Place) -> Reading:
    from diagnose.circuit.reading_words import OF_ANY_PART, reading_of

    return reading_of(text, place, OF_ANY_PART)


def _value(section: Section, got: Mapping[str, Any]) -> Any:
    """What was measured, in the unit of the reading, with that unit or without."""
    from diagnose.reasoning.evidence import value_of

    given, reading = section.raw("value"), got["reading"]
    if not isinstance(given, str | int | float) or isinstance(given, bool):
        section.text("value")  # notes what is wrong with it
        return UNREAD
    try:
        if reading is UNREAD:
            return UNREAD
        value = value_of(str(given), reading, section.place_of("value"))
    except BadQuantity as problem:
        section.problem(problem)
        return UNREAD
    if not RANGES["measured"].hold(value):
        section.wrong("value", "is no value that a meter shows")
    return value


def value_text(value: float, reading: Reading) -> str:
    """A measured value with its unit, every digit kept; ohms above the range as "OL"."""
    from diagnose.casebook.rig_text import exactly
    from diagnose.circuit.meter import LARGEST_OHMS

    over = reading.quantity == "resistance" and value >= LARGEST_OHMS
    return "OL" if over else exactly(value, reading.unit)


AReading: TypeAlias = Annotated[Reading, By(_reading)]
Value: TypeAlias = Annotated[float, From(_value, lambda one: value_text(one.value, one.reading))]
End: TypeAlias = Annotated[float, RANGES["measured"], In(of="reading.unit")]
"""An end of a band, in the unit of the reading."""
Verdict: TypeAlias = Annotated[str, OneOf(_verdicts)]


def not_what_was_typed(typed: str, reading: Reading, value: float) -> Iterator[tuple[str, str]]:
    """What was typed must be the value that stands beside it."""
    from diagnose.reasoning.evidence import value_of

    try:
        if typed and not isclose(value_of(typed, reading), value, rel_tol=1e-9):
            yield "typed", "does not agree with the value; mend both, or leave typed out"
    except BadQuantity as problem:
        yield "typed", problem.message


def _rig(section: Section, _: object) -> Rig:
    """The rig, with the keys that took a default."""
    from diagnose.circuit.rig import rig_in

    part, assumed = section.section("rig"), _ASSUMED(section)
    rig = rig_in(part)
    name = rig.name
    try:
        name = one_line(name, part.place_of("name"))
    except DiagnoseError as problem:
        part.problem(problem)
    return replace(rig, name=name, wire_gauge=line(rig.wire_gauge), assumed=assumed)


_ASSUMED = key_reader(Lines, "rig_assumed")
ARig: TypeAlias = Annotated[Rig, From(_rig)]
