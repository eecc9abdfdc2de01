"""What goes into a run of the rules, as symbols, and what comes out: the rules that fired."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from typing import Generic, TypeVar, cast

from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.rule_records import (
    Consequence,
    Kind,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenReject,
    ThenRootCause,
    ThenStop,
)
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.expectations import Healthy

C = TypeVar("C", bound=Consequence, covariant=True)
D = TypeVar("D", bound=Consequence)


@dataclass(frozen=True)
class Symbols:
    """All that is known when the rules run; an answer withdrawn is simply not in here.

    seen: observation to answer. read: reading, named as in knowledge/readings.yaml, to its
    verdict. rig: rig fact to value. suspects: failure mode to "leading" or "likely".
    """

    seen: Mapping[str, str] = field(default_factory=dict)
    read: Mapping[str, str] = field(default_factory=dict)
    rig: Mapping[str, str] = field(default_factory=dict)
    suspects: Mapping[str, str] = field(default_factory=dict)

    def given(self, kind: Kind) -> Mapping[str, str]:
        """The observed facts of one kind, name to value."""
        kinds: dict[Kind, Mapping[str, str]] = {
            "seen": self.seen,
            "reading": self.read,
            "rig": self.rig,
            "suspect": self.suspects,
        }
        return kinds.get(kind, {})


def symbols_of(
    evidence: Iterable[Evidence],
    healthy: Healthy,
    facts: Mapping[str, str],
    suspects: Mapping[str, str],
) -> Symbols:
    """What was found on a rig, as the rules read it. facts: of the rig (design.facts)."""
    items = tuple(evidence)
    return Symbols(
        seen=_seen(items, healthy),
        read={item.id: healthy.verdict(item) for item in items if isinstance(item, Measured)},
        rig=facts,
        suspects=suspects,
    )


def _seen(items: Iterable[Evidence], healthy: Healthy) -> dict[str, str]:
    """Answers by observation. Of several parts of a kind, of which rules speak alike, that of the
    worst: options stand from what is sound to what is not."""
    book, found = healthy.catalogue.observations, dict[str, str]()
    for item in items:
        if isinstance(item, Seen):
            name, options = template_of(item.observation), [*book[item.observation].options]
            found[name] = max(found.get(name, item.option), item.option, key=options.index)
    return found


@dataclass(frozen=True)
class UsedFact:
    """One fact a rule rested on; negated: one that had to be absent, with the values meant."""

    kind: Kind
    name: str
    value: str = ""
    negated: bool = False

    def __str__(self) -> str:
        text = f"{self.kind} {self.name}" + (f" = {self.value}" if self.value else "")
        return f"not {text}" if self.negated else text


@dataclass(frozen=True)
class Firing(Generic[C]):
    """One rule that fired: what it concludes, and the facts that it rests on."""

    rule: RuleRecord
    then: C
    facts: tuple[UsedFact, ...]

    @property
    def because(self) -> str:
        """The rule's reason, in one sentence."""
        return self.rule.because

    @property
    def raised_by(self) -> tuple[str, ...]:
        """The tests whose answers it rests on: observations and readings by their ids."""
        answers = (fact for fact in self.facts if fact.kind in ("seen", "reading"))
        return tuple(fact.name for fact in answers if not fact.negated)


@dataclass(frozen=True)
class Conclusions:
    """All that the rules say about one set of symbols: the rules that fired, by id."""

    firings: tuple[Firing[Consequence], ...] = ()

    @classmethod
    def of(cls, fired: Iterable[RuleRecord], symbols: Symbols) -> Conclusions:
        """What these rules say, whose conditions hold under these symbols."""
        ordered = sorted(fired, key=lambda rule: rule.id)
        return cls(tuple(Firing(one, one.then, tuple(_used(one, symbols))) for one in ordered))

    @property
    def findings(self) -> tuple[Firing[ThenFinding], ...]:
        """Qualitative findings, such as "loss-on-return"."""
        return self._that(ThenFinding)

    @property
    def blocks(self) -> tuple[Firing[ThenBlock], ...]:
        """Tests, or patterns of tests, that may not be asked now."""
        return self._that(ThenBlock)

    @property
    def cautions(self) -> tuple[Firing[ThenCaution], ...]:
        """Cautions that hold now, by their ids."""
        return self._that(ThenCaution)

    @property
    def stops(self) -> tuple[Firing[ThenStop], ...]:
        """Stops that what is known raises, by their ids."""
        return self._that(ThenStop)

    @property
    def rejections(self) -> tuple[Firing[ThenReject], ...]:
        """Answers that contradict others, and are asked for again."""
        return self._that(ThenReject)

    @property
    def root_causes(self) -> tuple[Firing[ThenRootCause], ...]:
        """Why failure modes came about."""
        return self._that(ThenRootCause)

    def _that(self, kind: type[D]) -> tuple[Firing[D], ...]:
        found = (one for one in self.firings if isinstance(one.then, kind))
        return tuple(cast("Firing[D]", one) for one in found)

    def finding_names(self) -> frozenset[str]:
        """The names of the findings."""
        return frozenset(finding.then.name for finding in self.findings)

    def block_on(self, test: str) -> Firing[ThenBlock] | None:
        """Why this test may not be asked now, or None.

        test: "observation relay-sound" or a reading's name, "voltage motor+ motor- calling".
        """
        patterns = sorted(
            (pattern, number)
            for number, block in enumerate(self.blocks)
            for pattern in block.then.tests
        )
        meant = (number for pattern, number in patterns if fnmatchcase(test, pattern))
        first = next(meant, None)
        return None if first is None else self.blocks[first]

    def why(self, rule: str) -> Firing[Consequence] | None:
        """The firing of one rule, by its id; None where it did not fire."""
        return next((firing for firing in self.firings if firing.rule.id == rule), None)


def _used(rule: RuleRecord, symbols: Symbols) -> Iterable[UsedFact]:
    """The facts under which a rule fired, and those whose absence it needed."""
    for one in rule.when:
        yield UsedFact(one.kind, one.name, symbols.given(one.kind).get(one.name, ""))
    for one in rule.unless:
        yield UsedFact(one.kind, one.name, " or ".join(one.values), negated=True)
