"""What comes out of a run of the rules: each rule that fired, and the facts that it rests on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Any, Generic, TypeVar

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
from diagnose.reasoning.rules.symbols import Symbols

C = TypeVar("C", bound=Consequence, covariant=True)
D = TypeVar("D", bound=Consequence)


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
    def drawn(cls, fired: Iterable[RuleRecord], symbols: Symbols) -> Conclusions:
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
        found: Any = tuple(one for one in self.firings if isinstance(one.then, kind))
        typed: tuple[Firing[D], ...] = found
        return typed

    def found(self) -> frozenset[str]:
        """The names of the findings."""
        return frozenset(finding.then.name for finding in self.findings)

    def blocked(self, test: str) -> Firing[ThenBlock] | None:
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
