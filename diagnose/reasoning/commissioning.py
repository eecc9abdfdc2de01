"""What a rig read while it was known to be sound: its commissioning record, day by day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.rig import Rig
from diagnose.errors import BadDocument, DiagnoseError, Place, quoted
from diagnose.reasoning.evidence import Measured, latest, parse_reading


class AlreadyRecorded(DiagnoseError):
    """A reading that the record of that day has already, with another value."""


@dataclass(frozen=True)
class Day:
    """The readings of one day, each once, in a fixed order."""

    taken: date
    read: tuple[Measured, ...]


@dataclass(frozen=True)
class CommissioningRecord:
    """The record of one rig. days: the earliest first."""

    days: tuple[Day, ...] = ()

    @property
    def dates(self) -> tuple[str, ...]:
        """The days as they are written, ISO 8601: 2026-05-03."""
        return tuple(day.taken.isoformat() for day in self.days)

    @property
    def count(self) -> int:
        """How many readings there are."""
        return sum(len(day.read) for day in self.days)

    def on(self, taken: date) -> tuple[Measured, ...]:
        """What was read that day."""
        return next((day.read for day in self.days if day.taken == taken), ())

    def with_day(self, taken: date, read: Iterable[Measured]) -> CommissioningRecord:
        """The same with these readings of a day added.

        Raises AlreadyRecorded where one is there already with another value, which stays.
        """
        there = {item.id: item for item in self.on(taken)}
        more = latest([*read])
        for item in more:
            assert isinstance(item, Measured)
            before = there.setdefault(item.id, item)
            if before != item:
                told = f"{item.id} is in the record of {taken} already, as {_as_typed(before)}"
                raise AlreadyRecorded(
                    f"{told}; it stays. Mend it in the file by hand if it is wrong"
                )
        day = Day(taken, tuple(there[name] for name in sorted(there)))
        others = [one for one in self.days if one.taken != taken]
        return CommissioningRecord(tuple(sorted([*others, day], key=lambda one: one.taken)))


def _as_typed(item: Measured) -> str:
    """A value as it was typed; over range is OL."""
    return item.typed or "OL"


def record_line(item: Measured) -> str:
    """A reading as a line of the record: "voltage fuse.in fuse.out calling = 0.05 V"."""
    return f"{item.id} = {_as_typed(item)}"


def parse_record_line(text: str, catalogue: Catalogue, rig: Rig, place: Place) -> Measured:
    """A line of the record again. Raises DiagnoseError."""
    return parse_reading(text, catalogue, rig, place)


def parse_date(text: str, place: Place) -> date:
    """A day as it is written. Raises BadDocument.

    >>> parse_date("2026-05-03", Place("record")).year
    2026
    """
    try:
        found = date.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.isoformat() != text:
        raise BadDocument(f"{quoted(text)} is not a day; write it like 2026-05-03", place)
    return found


def dates_in_words(record: CommissioningRecord) -> str:
    """Of which days the readings are that a rig is held against, in a line."""
    days = record.dates
    if len(days) <= 2:
        return f"Held against its own readings of {' and '.join(days)}."
    return f"Held against its own readings of {len(days)} days, {days[0]} to {days[-1]}."
