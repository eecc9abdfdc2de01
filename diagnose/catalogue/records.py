"""The knowledge as frozen records: what the YAML files say, with types and SI floats."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from diagnose.annotations import At, In, Limits, Name, Of, OneOf, Unsaid, Unwritten
from diagnose.catalogue.entry_parts import (
    WAYS,
    Amount,
    Applies,
    AReading,
    Basis,
    Cautions,
    Effect,
    Hazards,
    Minutes,
    Modes,
    NeverShows,
    Prior,
    PriorFactor,
    RootCause,
    Said,
    Share,
    Shows,
    Some,
    Sources,
    Texts,
    Things,
    Verify,
    When,
    stray_points,
)
from diagnose.catalogue.kit import Kit
from diagnose.circuit.meter import QUANTITIES
from diagnose.errors import Place

STATUSES = ("draft", "reviewed", "retired")
SOURCE_KINDS = ("standard", "regulation", "handbook", "web", "common-practice", "estimate")


@dataclass(frozen=True)
class FailureMode:
    """One way in which a part of the rig fails (IEC 60050-192: failure mode); of: the name of the
    listed part that a copy of a template is about."""

    id: str
    title: str
    group: str
    about: str
    applies: Applies
    effects: tuple[Effect, ...]
    prior: Prior
    prior_factors: Annotated[tuple[PriorFactor, ...], Unsaid(())]
    shows: Shows
    never_shows: NeverShows
    result_of: Modes
    root_causes: tuple[RootCause, ...]
    repair: str
    fix: tuple[str, ...]
    parts: Texts
    verify: Verify
    prevention: tuple[str, ...]
    cautions: Cautions
    mistaken_for: Modes
    sources: Sources
    status: Annotated[str, OneOf(STATUSES)]
    revised: str
    place: Place
    of: Annotated[str, Unwritten()] = ""

    def flaws(self) -> Iterator[tuple[str, str]]:
        return stray_points("verify.read", self.verify.reading, self.applies)


def _even(read: Mapping[str, Any]) -> Mapping[str, float]:
    """The same share for every answer."""
    return {option: 1 / len(read["options"]) for option in read["options"]}


@dataclass(frozen=True)
class Observation:
    """What a person can see, hear, feel or try; `otherwise` is how often each answer comes when
    the failure mode has no bearing on it, `wrong` the share of mistaken answers; way: one of WAYS;
    can: those of HAZARDS that it holds; needs: things of the kit that it takes; tells: what nothing
    else tells apart, "this from that"."""

    id: str
    ask: str
    how: str
    why: str
    options: Mapping[str, str]
    otherwise: Annotated[Mapping[str, Share], Unsaid(_even)]
    otherwise_basis: Annotated[Basis, Unsaid("estimate")]
    wrong: Annotated[float, Limits(0.0, 0.5)]
    minutes: Minutes
    opens: Annotated[bool, Unsaid(False)]
    state: str
    way: Annotated[str, OneOf(WAYS)]
    can: Hazards
    unsafe_when: Texts
    cautions: Cautions
    applies: Applies
    predicted: Annotated[bool, Unsaid(False)]
    place: Place
    needs: Things = ()
    of: Annotated[str, Unwritten()] = ""
    tells: str = ""


@dataclass(frozen=True)
class ReadingEntry:
    """A reading worth asking for, with how to take it; needs: things of the kit, as of its
    quantity."""

    reading: Annotated[AReading, At("read")]
    how: str
    why: str
    minutes: Minutes
    state: str
    cautions: Cautions
    applies: Applies
    place: Place
    needs: Annotated[tuple[str, ...], Unwritten()] = ()
    of: Annotated[str, Unwritten()] = ""

    def flaws(self) -> Iterator[tuple[str, str]]:
        return stray_points("read", self.reading, self.applies)

    @property
    def id(self) -> str:
        return str(self.reading)

    @property
    def way(self) -> str:
        """One of WAYS, by what is measured and in which condition."""
        if self.reading.quantity == "resistance":
            return "ohms"
        return "rest" if self.reading.condition == "rest" else "power"

    @property
    def can(self) -> tuple[str, ...]:
        """Those of HAZARDS that it holds."""
        reading = self.reading
        of = {"temperature": "burn", "pressure": "spray", "flow-rate": "spray", "resistance": ""}
        starts = reading.condition in ("calling", "satisfied")
        return tuple(filter(None, (of.get(reading.quantity, "arc"), "start" if starts else "")))


def _units(quantity: str) -> Collection[str]:
    """The unit that the meter shows a quantity in, or all that it knows."""
    return (QUANTITIES[quantity],) if quantity in QUANTITIES else tuple(QUANTITIES.values())


@dataclass(frozen=True)
class Quantity:
    """A kind of reading: unit, what it is read with, what of the kit that takes, meter error (one
    standard deviation: relative share and absolute in the unit) and the values no meter on such a
    rig can show."""

    name: Annotated[str, Name()]
    unit: Annotated[str, OneOf(_units)]
    instrument: str
    needs: Things
    about: str
    how: str
    relative: Annotated[Amount, At("meter.relative")]
    absolute: Annotated[float, At("meter.absolute"), In(of="unit")]
    basis: Annotated[Basis, At("meter.basis")]
    source: Annotated[str, At("meter.source"), Of("source")]
    impossible_above: Annotated[float, In(of="unit")]
    impossible_below: Annotated[float, In(of="unit")]
    why: str
    place: Place


@dataclass(frozen=True)
class Caution:
    """What can hurt, and how it is avoided; warns_of: those of HAZARDS that it speaks of."""

    id: Annotated[str, Name()]
    text: str
    warns_of: Hazards
    sources: Sources
    place: Place


@dataclass(frozen=True)
class Stop:
    """What stops the work.

    text: what the danger is; do: what to do now, the first thing first; may: ways of WAYS that may
    still be asked meanwhile; keep_off: tests all the same left alone, `*` for any words; until:
    what has to be done and confirmed; leave_to: whom to leave it to. A stop has one of the two:
    without `until` nothing that is said ends it.
    """

    id: str
    title: str
    text: str
    do: tuple[str, ...]
    may: Annotated[tuple[Annotated[str, OneOf(WAYS[:-1])], ...], Unsaid(())]
    keep_off: Texts
    until: Some
    leave_to: Some
    sources: Sources
    place: Place

    def flaws(self) -> Iterator[tuple[str, str]]:
        if bool(self.until) == bool(self.leave_to):
            yield "", "say how it ends: until what is done, or leave_to whom; one of the two"
        if self.may and self.leave_to:
            yield "may", "nothing may be asked under a stop that no answer ends"

    @property
    def ends(self) -> str:
        """How it ends, as one sentence."""
        until = " ".join(self.until.split())
        return f"Nothing under power until {until}." if until else " ".join(self.leave_to.split())


@dataclass(frozen=True)
class Source:
    """Where something is taken from."""

    id: Annotated[str, Name()]
    title: str
    kind: Annotated[str, OneOf(SOURCE_KINDS)]
    basis: Basis
    note: Some
    place: Place


@dataclass(frozen=True)
class Word:
    """How often something is seen of which a failure mode says so."""

    probability: Share
    basis: Basis
    why: str


@dataclass(frozen=True)
class Complaint:
    """What a customer says first, and what it means as observations; group: the heading under
    which it stands in a list; told: how readily it is told first by somebody who has noticed it,
    beside a pump that does nothing, which is 1. rather: what would be told in its place where it
    holds; even_so: how often it is told all the same, with not a word of that."""

    id: str
    say: str
    seen: Said
    group: Annotated[str, Unsaid("Other")]
    place: Place
    told: Annotated[float, Limits(0.01, 5.0)] = 1.0
    rather: Said = field(default_factory=dict)
    even_so: Annotated[float, Limits(0.01, 1.0)] = 1.0


@dataclass(frozen=True)
class Catalogue:
    """All knowledge, by id."""

    failure_modes: Mapping[str, FailureMode]
    observations: Mapping[str, Observation]
    readings: Mapping[str, ReadingEntry]
    quantities: Mapping[str, Quantity]
    words: Mapping[str, float]
    cautions: Mapping[str, Caution]
    sources: Mapping[str, Source]
    complaints: Mapping[str, Complaint] = field(default_factory=dict)
    stops: Mapping[str, Stop] = field(default_factory=dict)
    kit: Kit = field(default_factory=lambda: Kit({}, {}))
    raw: Catalogue | None = None
    """The same as written, where this one has templates as a reader is told them."""


def holds(when: When, facts: Mapping[str, str]) -> bool:
    """Whether the facts of a rig meet every condition."""
    return all(facts.get(name) in values for name, values in when.items())
