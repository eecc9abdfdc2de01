"""The knowledge as frozen records: what the YAML files say, with types and SI floats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.circuit.meter import Reading
from diagnose.errors import Place

When = Mapping[str, tuple[str, ...]]
"""Rig facts that must hold: name to the values allowed."""

WAYS = ("told", "look", "hands", "ohms", "rest", "power")
"""How a test is done: told by somebody; looked at with the rig off; done by hand with the rig off;
ohms with the battery off; a meter at the battery with everything off; or under power: the rig, a
charger or an engine is on."""

HAZARDS = ("arc", "burn", "spray", "start")
"""What a test can do to a person: live metal arcs, something hot burns, what holds pressure or a
chemical sprays, the pump starts."""


@dataclass(frozen=True)
class Change:
    """What an effect does to one circuit parameter: operation add, times or set, from mild to
    severe, in the parameter's unit (circuit.parameters.unit_of). axis: changes on one axis grow
    worse together; bounded: it never goes further than severe, and not to the physical end."""

    parameter: str
    operation: str
    mild: float
    severe: float
    axis: str = "a"
    bounded: bool = False

    @property
    def has_range(self) -> bool:
        return self.mild != self.severe


@dataclass(frozen=True)
class Effect:
    """One way in which a failure mode changes the circuit; `share` of its cases."""

    name: str
    share: float
    changes: tuple[Change, ...]
    basis: str
    why: str
    shows: Mapping[str, Mapping[str, str]]


@dataclass(frozen=True)
class Prior:
    """Cases per 1000 on rigs where the failure mode applies, estimated; counted: what recorded
    cases make of the estimate, times (base_rates.py)."""

    weight: float
    basis: str
    why: str
    counted: float = 1.0


@dataclass(frozen=True)
class PriorFactor:
    """What multiplies the prior on rigs where `when` holds."""

    when: When
    times: float
    because: str


@dataclass(frozen=True)
class RootCause:
    """Why the failure mode came about, and what mends that; `when` rig facts it depends on."""

    cause: str
    mend: str
    when: When


@dataclass(frozen=True)
class Verify:
    """The reading that proves the fix. below, above: limits in the reading's unit, or None for
    the healthy band of the rig."""

    reading: Reading
    below: float | None
    above: float | None
    why: str


@dataclass(frozen=True)
class FailureMode:
    """One way in which a part of the rig fails (IEC 60050-192: failure mode); of: the name of the
    listed part that a copy of a template is about."""

    id: str
    title: str
    group: str
    about: str
    applies: When
    effects: tuple[Effect, ...]
    prior: Prior
    prior_factors: tuple[PriorFactor, ...]
    shows: Mapping[str, Mapping[str, str]]
    never_shows: Mapping[str, Mapping[str, str]]
    result_of: tuple[str, ...]
    root_causes: tuple[RootCause, ...]
    repair: str
    fix: tuple[str, ...]
    parts: tuple[str, ...]
    verify: Verify
    prevention: tuple[str, ...]
    cautions: tuple[str, ...]
    mistaken_for: tuple[str, ...]
    sources: tuple[str, ...]
    status: str
    revised: str
    place: Place
    of: str = ""


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
    otherwise: Mapping[str, float]
    otherwise_basis: str
    wrong: float
    minutes: float
    opens: bool
    state: str
    way: str
    can: tuple[str, ...]
    unsafe_when: tuple[str, ...]
    cautions: tuple[str, ...]
    applies: When
    predicted: bool
    place: Place
    needs: tuple[str, ...] = ()
    of: str = ""
    tells: str = ""


@dataclass(frozen=True)
class ReadingEntry:
    """A reading worth asking for, with how to take it; needs: things of the kit, as of its
    quantity."""

    reading: Reading
    how: str
    why: str
    minutes: float
    state: str
    cautions: tuple[str, ...]
    applies: When
    place: Place
    needs: tuple[str, ...] = ()
    of: str = ""

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


@dataclass(frozen=True)
class Quantity:
    """A kind of reading: unit, what it is read with, what of the kit that takes, meter error (one
    standard deviation: relative share and absolute in the unit) and the values no meter on such a
    rig can show."""

    name: str
    unit: str
    instrument: str
    needs: tuple[str, ...]
    about: str
    how: str
    relative: float
    absolute: float
    basis: str
    source: str
    impossible_above: float
    impossible_below: float
    why: str
    place: Place


@dataclass(frozen=True)
class Caution:
    """What can hurt, and how it is avoided; warns_of: those of HAZARDS that it speaks of."""

    id: str
    text: str
    warns_of: tuple[str, ...]
    sources: tuple[str, ...]
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
    may: tuple[str, ...]
    keep_off: tuple[str, ...]
    until: str
    leave_to: str
    sources: tuple[str, ...]
    place: Place

    @property
    def ends(self) -> str:
        """How it ends, as one sentence."""
        until = " ".join(self.until.split())
        return f"Nothing under power until {until}." if until else " ".join(self.leave_to.split())


@dataclass(frozen=True)
class Source:
    """Where something is taken from."""

    id: str
    title: str
    kind: str
    basis: str
    note: str
    place: Place


@dataclass(frozen=True)
class Complaint:
    """What a customer says first, and what it means as observations; group: the heading under
    which it stands in a list; told: how readily it is told first by somebody who has noticed it,
    beside a pump that does nothing, which is 1. rather: what would be told in its place where it
    holds; even_so: how often it is told all the same, with not a word of that."""

    id: str
    say: str
    seen: Mapping[str, str]
    group: str
    place: Place
    told: float = 1.0
    rather: Mapping[str, str] = field(default_factory=dict)
    even_so: float = 1.0


@dataclass(frozen=True)
class Thing:
    """Something that a test may need; say: what it is; words: further ways to call it."""

    id: str
    say: str
    words: tuple[str, ...]
    place: Place


@dataclass(frozen=True)
class Whereabouts:
    """Where somebody who answers may be; has: things taken to be there, `*` for all."""

    id: str
    say: str
    has: tuple[str, ...]
    place: Place


@dataclass(frozen=True)
class Kit:
    """Things by id, and places to be at by id."""

    things: Mapping[str, Thing] = field(default_factory=dict)
    places: Mapping[str, Whereabouts] = field(default_factory=dict)


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
    kit: Kit = field(default_factory=Kit)
    raw: Catalogue | None = None
    """The same as written, where this one has templates as a reader is told them."""


def holds(when: When, facts: Mapping[str, str]) -> bool:
    """Whether the facts of a rig meet every condition."""
    return all(facts.get(name) in values for name, values in when.items())
