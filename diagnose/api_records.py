"""The records that diagnose.api gives: frozen, of plain values, each unit in square brackets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.circuit.rig import Rig
from diagnose.reasoning.commissioning import CommissioningRecord


@dataclass(frozen=True)
class OpenedRig:
    """A rig, read and checked.

    name: as its file has it; in_a_line: what it is; assumed: keys of the file that nobody filled
    in, so that the usual value stands there; described: every value [SI units, see
    diagnose.circuit.rig.Rig]
    """

    name: str
    in_a_line: str
    assumed: tuple[str, ...]
    described: Rig = field(repr=False)
    _own: CommissioningRecord | None = field(repr=False, default=None)


@dataclass(frozen=True)
class RankedCause:
    """One failure mode and how likely it is now.

    failure_mode: its id, or "not-in-the-book"; title: in words; probability: 0 to 1; repair: the
    act that mends it, "" where it is nothing of the book
    """

    failure_mode: str
    title: str
    probability: float
    repair: str


@dataclass(frozen=True)
class NextTest:
    """The test that is worth most for its time now.

    name: what stands before "=" when its result is given to `rank`; kind: "seen" or "read", the
    argument that takes it; ask, how, why: in sentences; minutes: with its preparation [min]; bits:
    what it is expected to teach [bit], 0 for the first question; answers: answer to its meaning,
    empty for a reading; unit, expected: of a reading, and what a sound rig reads, low to high
    [unit]; cautions, unsafe_when: to be shown before it is done
    """

    name: str
    kind: str
    ask: str
    how: str
    why: str
    minutes: float
    bits: float
    answers: Mapping[str, str]
    unit: str
    expected: tuple[float, float] | None
    cautions: tuple[str, ...]
    unsafe_when: tuple[str, ...]


@dataclass(frozen=True)
class RaisedDanger:
    """A stop that stands: while it does, only what is safe is offered as the next test.

    name: what `made_safe` takes once it has been dealt with; until: when that is so, "" where
    nothing that is said ends it, and the rest is for `leave_to`
    """

    name: str
    text: str
    do: tuple[str, ...]
    until: str
    leave_to: str


@dataclass(frozen=True)
class Ranked:
    """What the findings come to.

    causes: every failure mode that the rig can have, and "not-in-the-book", likeliest first; their
    probabilities sum to 1; because: what speaks for the first, strongest first; contradictions:
    findings that do not go together; fits: whether the book explains them as well as it usually
    does; fix: what to do, dangers first; cautions: to be shown with it; dangers: stops that stand;
    next_test: None when nothing more is worth asking, and then why_none says why
    """

    causes: tuple[RankedCause, ...]
    because: tuple[str, ...]
    contradictions: tuple[str, ...]
    fits: bool
    fix: tuple[str, ...]
    cautions: tuple[str, ...]
    dangers: tuple[RaisedDanger, ...]
    next_test: NextTest | None
    why_none: str


@dataclass(frozen=True)
class ExpectedReading:
    """What one reading should be.

    read: the reading as `rank` takes it; unit: of all that follows; sound: middle of sound rigs;
    low, high: the band of two standard deviations of rigs and meter together; faulty: with the
    fault, None without one; differs: whether the fault shows in it
    """

    read: str
    unit: str
    sound: float
    low: float
    high: float
    faulty: float | None
    differs: bool
