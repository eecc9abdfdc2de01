"""One repair as a frozen record: what was found, what it came to, and what it was in the end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from diagnose.casebook.limits import LONGEST_LINE, LONGEST_NOTES
from diagnose.errors import DiagnoseError, harmless
from diagnose.reasoning import OTHER

if TYPE_CHECKING:  # a list of cases has no need of the circuit
    from diagnose.circuit.meter import Reading
    from diagnose.circuit.rig import Rig

SCHEMA = 1
"""Of the case files that this program writes."""

STATUSES = ("open", "closed", "reopened")
CONFIRMATIONS = ("none", "verification", "part-swapped")

LOADS = ("in-use", "shut", "still")
"""Under which load a proof is read: the pump runs with its outlet open, runs against a shut outlet,
or does not run."""

Clock = Callable[[], datetime]


def now() -> datetime:
    """This second, in UTC."""
    return datetime.now(UTC).replace(microsecond=0)


@dataclass(frozen=True)
class SeenAt:
    """One answer to an observation.

    at: when, or None when nobody noted it; minutes: what it took; moved: bits by which the answer
    moved the ranking, or None when it was not worked out; sure: given twice, the same both times.
    """

    observation: str
    option: str
    at: datetime | None = None
    minutes: float = 0.0
    moved: float | None = None
    sure: bool = False

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

    reading: Reading
    value: float
    low: float
    high: float
    verdict: str
    at: datetime | None = None
    minutes: float = 0.0
    moved: float | None = None
    sure: bool = False
    typed: str = ""

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

    test: str
    how: str
    at: datetime | None = None
    minutes: float = 0.0


@dataclass(frozen=True)
class StopAt:
    """A stop of the work; raised: when it began to stand, where that was noted; lifted: when it was
    said to be made safe, None while it stands."""

    stop: str
    raised: datetime | None = None
    lifted: datetime | None = None


@dataclass(frozen=True)
class Verification:
    """The reading after the repair, and the band that proves it; all in the reading's unit.

    runs: whether the pump did its job again; load: one of LOADS, under which it was read; None and
    "" where nobody noted it; typed: the value with the digits that were given, or ""
    """

    reading: Reading
    value: float
    low: float
    high: float
    at: datetime | None = None
    runs: bool | None = None
    load: str = ""
    typed: str = ""

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

    at: datetime
    closed: datetime | None = None

    @property
    def days(self) -> int | None:
        """Whole days that the repair lasted, where that is known: not where a clock was set back
        in between."""
        if self.closed is None or self.at < self.closed:
            return None
        return (self.at - self.closed).days


@dataclass(frozen=True)
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

    id: str
    opened: datetime
    rig: Rig
    ranking: tuple[tuple[str, float], ...]
    rest: float
    cause: str
    repair: str
    minutes: float
    questions: int
    knowledge: str
    closed: datetime | None = None
    complaint: tuple[str, ...] = ()
    seen: tuple[SeenAt, ...] = ()
    read: tuple[ReadAt, ...] = ()
    passed_over: tuple[PassedOver, ...] = ()
    stops: tuple[StopAt, ...] = ()
    root_cause: str = ""
    root_cause_seen: bool = False
    findings: tuple[str, ...] = ()
    status: str = "open"
    confirmed_by: str = "none"
    true_cause: str = ""
    true_words: str = ""
    verification: Verification | None = None
    came_back: tuple[ComeBack, ...] = ()
    parts: tuple[str, ...] = ()
    notes: str = ""

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


def line(text: str, longest: int = LONGEST_LINE) -> str:
    """`text` on one line, without spaces at its ends, control characters made visible."""
    return harmless(" ".join(text.split()), longest)


def whole_line(text: str, what: str) -> str:
    """The same of something typed to be kept, which is never cut. Raises TooLong."""
    return _whole(line(text, _ANY_LENGTH), what, LONGEST_LINE)


def added(notes: str, more: str) -> str:
    """The notes of a case with more of them. Raises TooLong."""
    _whole(f"{notes}\n{line(more, _ANY_LENGTH)}".strip(), "all notes together", LONGEST_NOTES)
    return paragraphs(f"{notes}\n{more}")


class TooLong(DiagnoseError):
    """A text that has no room in a case."""


def _whole(text: str, what: str, most: int) -> str:
    if len(text) > most:
        raise TooLong(f"{what}: {most:,} characters at most, and these are {len(text):,}; shorten")
    return text


_ANY_LENGTH = 10**9


def paragraphs(text: str) -> str:
    """`text` with its line ends kept and everything else as in `line`, cut to LONGEST_NOTES."""
    lines = [line(part, LONGEST_NOTES) for part in text.strip().splitlines()]
    return "\n".join(lines).strip()[:LONGEST_NOTES].rstrip()
