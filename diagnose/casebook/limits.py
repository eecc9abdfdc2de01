"""What the fields of a case can hold, each with its reason: the one home of these bounds.

They keep out slips of the hand and damage, not unusual repairs. The rig has bounds of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime


@dataclass(frozen=True)
class Range:
    """The least and the most that a number can be; whole: without a fraction."""

    least: float
    most: float
    why: str
    whole: bool = False


RANGES = {
    "minutes": Range(0, 525_600, "a year has no more minutes"),
    "questions": Range(0, 10_000, "far more than the book has tests, and whole", whole=True),
    "moved": Range(-1, 1100, "bits; the smallest share that the program can hold is 2^-1074"),
    "share": Range(0, 1, "a probability"),
    "measured": Range(
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
