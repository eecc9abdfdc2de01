"""One repair as a frozen record: what was found, what it came to, and what it was in the end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import fsum
from typing import Annotated, ClassVar

from diagnose.annotations import OneOf, Unsaid
from diagnose.casebook.case_fields import (
    RANGES,
    AReading,
    ARig,
    End,
    Line,
    Lines,
    Minutes,
    Moved,
    Notes,
    Share,
    Time,
    Value,
    Verdict,
    not_what_was_typed,
)
from diagnose.documents import REQUIRED, Section
from diagnose.field_types import UNREAD
from diagnose.reasoning import OTHER
from diagnose.record_reader import read_fields

SCHEMA = 1
"""Of the case files that this program writes."""

STATUSES = ("open", "closed", "reopened")
CONFIRMATIONS = ("none", "verification", "part-swapped")

LOADS = ("in-use", "shut", "still")
"""Under which load a proof is read: the pump runs with its outlet open, runs against a shut outlet,
or does not run."""

WAYS_PAST = ("skipped", "unknown")


@dataclass(frozen=True)
class SeenAt:
    """One answer to an observation.

    at: when, or None when nobody noted it; minutes: what it took; moved: bits by which the answer
    moved the ranking, or None when it was not worked out; sure: given twice, the same both times.
    """

    observation: Line
    option: Line
    at: Time | None = None
    minutes: Minutes = 0.0
    moved: Moved = None
    sure: bool = False

    ORDER: ClassVar = ("observation", "option", "minutes", "moved", "sure", "at")

    @property
    def test(self) -> str:
        return self.observation

    @property
    def answer(self) -> str:
        return self.option


@dataclass(frozen=True)
class ReadAt:
    """One reading taken; value, low and high in the reading's unit.

    low, high: the band in which sound rigs of this description read; verdict: how the value stands
    to it (catalogue.rule_records.VERDICTS); at, minutes, moved, sure as in SeenAt; typed: the value
    with the digits that were given, "" where that was not noted.
    """

    reading: AReading
    value: Value
    low: End
    high: End
    verdict: Verdict
    at: Time | None = None
    minutes: Minutes = 0.0
    moved: Moved = None
    sure: bool = False
    typed: Line = ""

    ORDER: ClassVar = (
        *("reading", "value", "low", "high", "typed", "verdict", "minutes", "moved", "sure", "at"),
    )

    def flaws(self) -> Iterator[tuple[str, str]]:
        return not_what_was_typed(self.typed, self.reading, self.value)

    @property
    def test(self) -> str:
        return str(self.reading)

    @property
    def answer(self) -> str:
        return self.verdict


Found = SeenAt | ReadAt


@dataclass(frozen=True)
class PassedOver:
    """A question that was skipped, or that nobody could answer; how: "skipped" or "unknown"."""

    test: Line
    how: Annotated[str, OneOf(WAYS_PAST)]
    at: Time | None = None
    minutes: Minutes = 0.0

    ORDER: ClassVar = ("test", "how", "minutes", "at")


@dataclass(frozen=True)
class StopAt:
    """A stop of the work; raised: when it began to stand, where that was noted; lifted: when it was
    said to be made safe, None while it stands."""

    stop: Line
    raised: Time | None = None
    lifted: Time | None = None


@dataclass(frozen=True)
class Verification:
    """The reading after the repair, and the band that proves it; all in the reading's unit.

    runs: whether the pump did its job again; load: one of LOADS, under which it was read; None and
    "" where nobody noted it; typed: the value with the digits that were given, or ""
    """

    reading: AReading
    value: Value
    low: End
    high: End
    at: Time | None = None
    runs: bool | None = None
    load: Annotated[str, OneOf(LOADS)] = ""
    typed: Line = ""

    ORDER: ClassVar = ("reading", "value", "low", "high", "typed", "within", "runs", "load", "at")

    @classmethod
    def read_from(cls, section: Section, _: object) -> Verification | None:
        """Its fields; and whether the value is `within` its band, as stated."""
        stated, found = section.flag("within"), read_fields(cls, section)
        if found is UNREAD:
            return None
        if stated != found.within:
            section.wrong("within", "does not agree with the value and the band above it")
        return found

    def flaws(self) -> Iterator[tuple[str, str]]:
        return not_what_was_typed(self.typed, self.reading, self.value)

    @property
    def within(self) -> bool:
        """Whether the value lies in its band."""
        return self.low <= self.value <= self.high

    @property
    def loaded(self) -> bool:
        """Whether it was read under the load that it needs: what is read while the pump is called
        needs the pump running, and what its water does needs the outlet open."""
        if self.reading.condition != "calling" or self.load in ("", "in-use"):
            return True
        return self.load == "shut" and self.reading.quantity == "voltage"

    @property
    def proves(self) -> bool:
        """Whether it shows that the repair has held."""
        return self.within and self.loaded and self.runs is not False


@dataclass(frozen=True)
class ComeBack:
    """The repair had not held; at: when that was known; closed: when it was thought done."""

    at: Time
    closed: Time | None = None

    ORDER: ClassVar = ("closed", "at")

    @property
    def days(self) -> int | None:
        """Whole days that the repair lasted, where that is known: not where a clock was set back
        in between."""
        if self.closed is None or self.at < self.closed:
            return None
        return (self.at - self.closed).days


@dataclass(frozen=True, kw_only=True)
class Case:
    """One repair, from the complaint to what it was in the end.

    opened, closed: times in UTC; closed is None unless the status is "closed"
    rig: as it was described, the keys that took a default in rig.assumed
    complaint: what the customer said, each a complaint of the book or words of their own
    ranking: the likeliest failure modes at the end, with probabilities; rest: of all others
    cause, repair, root_cause: what the walk ended on; root_cause may be empty; root_cause_seen:
    whether somebody looked and found it so, or else it is a question
    true_cause: what it was in the end: a failure mode, "not-in-the-book", or empty while unknown;
    true_words: the same in free words
    findings: what the answers said together, in sentences
    stops: what stopped the work, and when it was made safe
    came_back: every time that it turned out not to have held
    minutes, questions: spent on the walk; knowledge: version of the book that ranked it
    """

    id: Line
    opened: Time
    closed: Time | None = None
    status: Annotated[str, OneOf(STATUSES), Unsaid(REQUIRED)] = "open"
    confirmed_by: Annotated[str, OneOf(CONFIRMATIONS), Unsaid(REQUIRED)] = "none"
    came_back: tuple[ComeBack, ...] = ()
    true_cause: Line = ""
    true_words: Line = ""
    cause: Line
    repair: Line
    root_cause: Line = ""
    root_cause_seen: bool = False
    parts: Lines = ()
    minutes: Minutes
    questions: Annotated[int, RANGES["questions"]]
    verification: Verification | None = None
    notes: Notes = ""
    complaint: Lines = ()
    seen: tuple[SeenAt, ...] = ()
    read: tuple[ReadAt, ...] = ()
    findings: Lines = ()
    passed_over: tuple[PassedOver, ...] = ()
    stops: tuple[StopAt, ...] = ()
    ranking: tuple[tuple[Line, Share], ...]
    rest: Share
    knowledge: Line
    rig: ARig

    def flaws(self) -> Iterator[tuple[str, str]]:
        """Entries that cannot both be right."""
        whole = fsum([self.rest, *(probability for _, probability in self.ranking)])
        if abs(whole - 1) > 0.001:
            yield "ranking", f"the ranking and the rest make {whole:.3f}, not 1"
        if self.status == "closed" and self.closed is None:
            yield "status", "a closed case needs the time at which it was closed"
        if self.status == "closed" and self.closed and self.closed < self.opened:
            yield "closed", "the case was closed before it was opened"
        if self.confirmed_by != "none" and not self.true_cause:
            yield "confirmed_by", "a confirmed case needs its true_cause"
        if self.status == "reopened" and not self.came_back:
            yield "status", "a reopened case needs the time in came_back"

    @property
    def found(self) -> tuple[Found, ...]:
        """Everything seen and read."""
        return (*self.seen, *self.read)

    @property
    def looked_into(self) -> bool:
        """Whether anything was asked or read after the complaint, so that there is a diagnosis."""
        return self.questions > 0 or bool(self.read) or bool(self.true_cause)

    @property
    def standing(self) -> tuple[str, ...]:
        """The stops that nobody has said to be made safe."""
        return tuple(one.stop for one in self.stops if one.lifted is None)

    @property
    def confirmed(self) -> bool:
        """Whether the true cause is sure enough to learn from."""
        return self.status == "closed" and self.confirmed_by != "none" and bool(self.true_cause)

    @property
    def in_the_book(self) -> bool:
        """Whether the true cause is known and a failure mode of the book."""
        return self.true_cause not in ("", OTHER)
