"""Rules as data: `when`, `then` and `because` of knowledge/rules, before any engine sees them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from diagnose.circuit.kinds import kinds
from diagnose.circuit.rig import BATTERY_KINDS, CONTROLS, PUMP_KINDS, TAPS, TOPOLOGIES, USES, WATER
from diagnose.errors import Place

VERDICTS = ("nothing", "low", "within", "high", "hot", "reversed", "open")
"""What a reading can be against the band predicted for the healthy rig.

nothing: no more than the meter's noise; low, within, high: against the band; hot: a temperature
above its band and too hot to hold; reversed: the sign is wrong; open: the meter shows no
connection. What no 12 V rig can give is refused before it is judged (reasoning.evidence).
"""

STRENGTHS = ("leading", "likely")
"""How a suspect stands: first in the ranking, or among the causes close behind it."""

Kind = Literal["seen", "reading", "rig", "finding", "suspect"]
OBSERVED: tuple[Kind, ...] = ("seen", "reading", "rig")
"""Facts that are given, not concluded; only these may stand under `unless`."""

YES_NO = ("yes", "no")

RIG_FACTS: Mapping[str, tuple[str, ...]] = {
    "topology": TOPOLOGIES,
    "control": CONTROLS,
    "remote": YES_NO,
    "control-tap": TAPS,
    "switch-carries-motor": YES_NO,
    "switch-load": ("within", "doubtful", "over"),
    "fuse-over-running": ("under", "right", "over"),
    "fuse-over-wire": ("within", "over"),
    "wire-drop": ("within-3", "within-10", "over"),
    "relay-contact": ("within", "under"),
    "coil-draw": ("large", "small"),
    "battery-kind": BATTERY_KINDS,
    "battery-volts": ("12", "24"),
    "batteries-in-series": YES_NO,
    "battery-size": ("fair", "small"),
    "fuse-distance": ("near", "far"),
    "use": (*USES, "unknown"),
    "first-protection": ("fuse", "breaker", "automatic-breaker", "none"),
    "control-fuse": YES_NO,
    "master-switch": YES_NO,
    "float-closes": ("low", "high"),
    "pump-kind": PUMP_KINDS,
    "charging": ("none", "on"),
    "loads": YES_NO,
    **{
        key.replace("_", "-"): (*(words or ("yes", "no")), "unknown")
        for key, words in WATER.items()
    },
    "part": (*kinds(), "load"),
}
"""Every fact of a rig, with its possible values; design.facts works them out."""


@dataclass(frozen=True)
class RuleWords:
    """Every name that a rule may use; whatever else it says is a mistake.

    observations and rig: name to its possible values. readings: as in knowledge/readings.yaml,
    for example "voltage motor+ motor- calling". failure_modes, cautions, sources, stops: ids.
    """

    observations: Mapping[str, tuple[str, ...]]
    rig: Mapping[str, tuple[str, ...]]
    readings: Collection[str]
    failure_modes: Collection[str]
    cautions: Collection[str]
    sources: Collection[str]
    stops: Collection[str] = ()

    def names(self, kind: Kind) -> Collection[str]:
        """The names a condition of this kind may ask for; findings are checked across rules."""
        known: dict[Kind, Collection[str]] = {
            "seen": self.observations,
            "reading": self.readings,
            "rig": self.rig,
            "suspect": self.failure_modes,
        }
        return known.get(kind, ())

    def values(self, kind: Kind, name: str) -> tuple[str, ...]:
        """The values that a fact of this kind and name can have."""
        if kind == "reading":
            return VERDICTS
        if kind == "suspect":
            return STRENGTHS
        return (self.observations if kind == "seen" else self.rig).get(name, ())

    def tests(self) -> frozenset[str]:
        """Every test that may be asked for: "observation relay-sound", "resistance fuse.in ..."."""
        return frozenset(self.readings) | {f"observation {name}" for name in self.observations}


@dataclass(frozen=True)
class Condition:
    """One fact. values: any of these will do; empty means any value at all."""

    kind: Kind
    name: str
    values: tuple[str, ...] = ()

    def accepts(self, name: str, value: str) -> bool:
        """Whether the fact `name` = `value` of this kind is one that is meant here."""
        return name == self.name and (not self.values or value in self.values)


PARTS = ("supply", "feed", "motor", "return", "control", "water")
"""What a finding is about, in the order in which a fitter says it: the supply, along the copper to
the motor and back, then what controls it, then the water."""

_FIGURE = re.compile(r"\{([^{}]*)\}")
LESS = " less "
"""Between two readings of which the difference is meant."""


@dataclass(frozen=True)
class ThenFinding:
    """The rule concludes something that other rules may build on.

    says: it as a sentence, "" where it is only for other rules; part: one of PARTS that it is
    about. A reading in braces stands for its value: "{voltage motor- lug- calling} are lost", and
    "{A less B}" for the difference of two.
    """

    name: str
    part: str = ""
    says: str = ""

    @property
    def figures(self) -> tuple[tuple[str, ...], ...]:
        """The readings whose values stand in the sentence: one each, or two with "less" between."""
        return tuple(tuple(one.split(LESS)) for one in _FIGURE.findall(self.says))

    def said(self, figures: Iterable[str]) -> str:
        """The sentence with these values in it."""
        values = iter(figures)
        return _FIGURE.sub(lambda _: next(values), self.says)


@dataclass(frozen=True)
class ThenBlock:
    """Tests that may not be asked now; `*` stands for any words ("resistance *")."""

    tests: tuple[str, ...]


@dataclass(frozen=True)
class ThenCaution:
    """A caution to show."""

    caution: str


@dataclass(frozen=True)
class ThenStop:
    """A stop of the book begins to stand."""

    stop: str


@dataclass(frozen=True)
class ThenReject:
    """An answer that contradicts others: ask again."""

    kind: Literal["observation", "reading"]
    name: str


@dataclass(frozen=True)
class ThenRootCause:
    """Why a failure mode came about; measure: what to read before the new part goes in."""

    of: str
    cause: str
    mend: str
    prevention: str
    measure: str = ""


Consequence = ThenFinding | ThenBlock | ThenCaution | ThenStop | ThenReject | ThenRootCause


@dataclass(frozen=True)
class RuleRecord:
    """One rule: when all of `when` holds and nothing of `unless`, then this, because of that."""

    id: str
    title: str
    when: tuple[Condition, ...]
    unless: tuple[Condition, ...]
    then: Consequence
    because: str
    sources: tuple[str, ...]
    place: Place

    @property
    def finding(self) -> str | None:
        """The finding it concludes, if that is what it does."""
        return self.then.name if isinstance(self.then, ThenFinding) else None


KINDS: tuple[Kind, ...] = get_args(Kind)
