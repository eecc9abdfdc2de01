"""Rules as data: `when`, `then` and `because` of knowledge/rules, before any engine sees them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal, cast, get_args

from diagnose.annotations import At, By, Of, OneOf, Unsaid
from diagnose.catalogue.entry_parts import Some, Sources
from diagnose.circuit.kinds import kinds
from diagnose.circuit.rig import BATTERY_KINDS, CONTROLS, PUMP_KINDS, TAPS, TOPOLOGIES, USES, WATER
from diagnose.documents import Section
from diagnose.errors import Place, UnknownName, nearest
from diagnose.record_reader import read_fields

if TYPE_CHECKING:
    from diagnose.catalogue.load_rules import RuleWords

VERDICTS = ("nothing", "low", "within", "high", "hot", "reversed", "open")
"""What a reading can be against the band predicted for the healthy rig.

nothing: no more than the meter's noise; low, within, high: against the band; hot: a temperature
above its band and too hot to hold; reversed: the sign is wrong; open: the meter shows no
connection. What no 12 V rig can give is refused before it is judged (reasoning.evidence).
"""

STRENGTHS = ("leading", "likely")
"""How a suspect stands: first in the ranking, or among the causes close behind it."""

Kind = Literal["seen", "reading", "rig", "finding", "suspect"]
KINDS: tuple[Kind, ...] = get_args(Kind)
CALLED: Mapping[Kind, str] = {
    "seen": "observation",
    "reading": "reading",
    "rig": "rig fact",
    "finding": "finding",
    "suspect": "failure mode",
}
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
class Condition:
    """One fact. values: any of these will do; empty means any value at all."""

    kind: Kind
    name: str
    values: tuple[str, ...] = ()

    def accepts(self, name: str, value: str) -> bool:
        """Whether the fact `name` = `value` of this kind is one that is meant here."""
        return name == self.name and (not self.values or value in self.values)

    @classmethod
    def read_from(cls, part: Section, words: RuleWords) -> Condition | None:
        """`seen: relay-sound` with `is: [...]`, and so on."""
        kind = cast(Kind | None, part.only(KINDS))
        if kind is None:
            return None
        one = cls(kind, part.text(kind), part.texts("is", default=()))
        if kind == "finding" and one.values:
            part.wrong("is", "a finding is there or not; leave out is.")
        if kind != "finding":
            one._check(part, words)
        return one

    def _check(self, part: Section, words: RuleWords) -> None:
        """Note names and values that nobody gives."""
        names = words.names(CALLED[self.kind])
        if self.name not in names:
            _unknown(CALLED[self.kind], self.name, names, part, self.kind)
            return
        possible = words.values(self.kind, self.name)
        for value in (one for one in self.values if one not in possible):
            _unknown(f"value of {self.name}", value, possible, part, "is")


def _unknown(kind: str, name: str, names: Collection[str], part: Section, key: str) -> None:
    part.problem(UnknownName(kind, name, part.place_of(key), nearest(name, names)))


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

    name: Annotated[str, At("finding")]
    part: Annotated[str, OneOf(PARTS)] = ""
    says: Annotated[str, By(lambda text, _: " ".join(text.split()))] = ""

    @property
    def figures(self) -> tuple[tuple[str, ...], ...]:
        """The readings whose values stand in the sentence: one each, or two with "less" between."""
        return tuple(tuple(one.split(LESS)) for one in _FIGURE.findall(self.says))

    def said(self, figures: Iterable[str]) -> str:
        """The sentence with these values in it."""
        values = iter(figures)
        return _FIGURE.sub(lambda _: next(values), self.says)

    def flaws_in(self, rule: RuleRecord) -> Iterator[str]:
        """What is wrong with its sentence."""
        if bool(self.says) != bool(self.part):
            yield "says and part go together: the sentence, and what part of the rig it is about."
        if {*"{}"} & {*self.said("" for _ in self.figures)}:
            yield "says has a brace too many; a reading stands between { and }."
        for figure in self.figures:
            if len(figure) > 2:
                yield "says can take one reading from another, and no more: {A less B}."
            for name in figure:
                if not rule.asks_for("reading", name):
                    said = f"says names {name}, which is not among its conditions"
                    yield f"{said}; add it, or leave it."


@dataclass(frozen=True)
class ThenBlock:
    """Tests that may not be asked now; `*` stands for any words ("resistance *")."""

    tests: Annotated[tuple[Annotated[str, Of("test", patterns=True)], ...], At("block.tests")]


@dataclass(frozen=True)
class ThenCaution:
    """A caution to show."""

    caution: Annotated[str, At("caution.id"), Of("caution")]


@dataclass(frozen=True)
class ThenStop:
    """A stop of the book begins to stand."""

    stop: Annotated[str, Of("stop")]

    def flaws_in(self, rule: RuleRecord) -> Iterator[str]:
        """What it may not rest on."""
        if any(one.kind == "finding" for one in rule.when):
            yield "a stop is raised by what was seen, read or suspected, not by a finding."


@dataclass(frozen=True)
class ThenReject:
    """An answer that contradicts others: ask again."""

    kind: Annotated[Literal["observation", "reading"], At("reject")]
    name: str

    @classmethod
    def read_from(cls, then: Section, words: RuleWords) -> ThenReject:
        """`reject: {observation: ...}` or `reject: {reading: ...}`."""
        part = then.section("reject")
        kind = part.only(("observation", "reading")) or "reading"
        one = cls(cast(Any, kind), part.text(kind, default=""))
        if kind == "observation" and one.name not in words.observations:
            _unknown(kind, one.name, words.observations, part, kind)
        return one

    def flaws_in(self, rule: RuleRecord) -> Iterator[str]:
        """What it has to look at."""
        if not rule.asks_for("seen" if self.kind == "observation" else "reading", self.name):
            yield f"it can only reject an answer it looks at; add a condition on {self.name}."


@dataclass(frozen=True)
class ThenRootCause:
    """Why a failure mode came about; measure: what to read before the new part goes in."""

    of: Annotated[str, At("root-cause.of")]
    cause: Annotated[str, At("root-cause.cause")]
    mend: Annotated[str, At("root-cause.mend")]
    prevention: Annotated[str, At("root-cause.prevention")]
    measure: Annotated[Some, At("root-cause.measure"), Of("reading")] = ""

    def flaws_in(self, rule: RuleRecord) -> Iterator[str]:
        """What it has to suspect."""
        if not rule.asks_for("suspect", self.of):
            yield f"a root cause of {self.of} needs the condition suspect: {self.of}."


Consequence = ThenFinding | ThenBlock | ThenCaution | ThenStop | ThenReject | ThenRootCause


@dataclass(frozen=True)
class RuleRecord:
    """One rule: when all of `when` holds and nothing of `unless`, then this, because of that."""

    id: str
    title: str
    when: Annotated[tuple[Condition, ...], Unsaid(())]
    unless: Annotated[tuple[Condition, ...], Unsaid(())]
    then: Consequence
    because: str
    sources: Sources
    place: Place

    @classmethod
    def read_from(cls, section: Section, words: RuleWords) -> RuleRecord:
        """Its fields; its proof is read where it is wanted (rule_proofs.py)."""
        section.has("proof")
        return read_fields(cls, section, known=words)

    @property
    def finding(self) -> str | None:
        """The finding it concludes, if that is what it does."""
        return self.then.name if isinstance(self.then, ThenFinding) else None

    def asks_for(self, kind: Kind, name: str) -> bool:
        """Whether a condition says that it is so."""
        return any((one.kind, one.name) == (kind, name) for one in self.when)

    def flaws(self) -> Iterator[tuple[str, str]]:
        """What is wrong with the rule as a whole."""
        for number, one in enumerate(self.unless, 1):
            if one.kind not in OBSERVED:
                yield f"unless[{number}].{one.kind}", _NOT_CONCLUDED.format(one.kind)
        for said in self._flaws():
            yield "", f"rule {self.id}: {said}"

    def _flaws(self) -> Iterator[str]:
        if not re.fullmatch(r"R\d{3}", self.id):
            yield "an id is R and three digits."
        if not self.when and not (self.unless and isinstance(self.then, ThenBlock)):
            yield "when must say what is there; only a block may rest on unless alone."
        if not isinstance(self.then, ThenBlock | ThenCaution):
            yield from self.then.flaws_in(self)


_NOT_CONCLUDED = (
    "{} under unless asks whether something was not concluded, which would depend on the order of"
    " the rules; name what was seen, a reading or a rig fact."
)
