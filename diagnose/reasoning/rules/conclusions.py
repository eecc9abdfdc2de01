"""What goes into a run of the rules and what comes out of it, as frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from typing import Literal

from diagnose.catalogue.rule_records import Kind, RuleRecord


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
class Firing:
    """One rule that fired, with the facts it used. on: the reading a pattern matched, if any."""

    rule: RuleRecord
    facts: tuple[UsedFact, ...]
    on: str = ""


@dataclass(frozen=True)
class Found:
    """A qualitative finding, such as "loss-on-return"."""

    name: str
    because: str
    rule: str
    facts: tuple[UsedFact, ...]


@dataclass(frozen=True)
class Block:
    """A test, or a pattern of tests, that may not be asked now."""

    test: str
    because: str
    rule: str


@dataclass(frozen=True)
class RaisedCaution:
    """A caution that holds now, by its id."""

    caution: str
    because: str
    rule: str


@dataclass(frozen=True)
class RaisedStop:
    """A stop that what is known raises; raised_by: the tests whose answers do."""

    stop: str
    because: str
    rule: str
    raised_by: tuple[str, ...]


@dataclass(frozen=True)
class Rejection:
    """An answer that is impossible or contradicts others: ask for it again."""

    kind: Literal["observation", "reading"]
    name: str
    because: str
    rule: str


@dataclass(frozen=True)
class RootCause:
    """Why a failure mode came about; measure: what to read before the new part goes in, or ""."""

    of: str
    cause: str
    mend: str
    prevention: str
    measure: str
    because: str
    rule: str


@dataclass(frozen=True)
class Conclusions:
    """All that the rules say about one set of symbols; every tuple is sorted."""

    findings: tuple[Found, ...] = ()
    blocks: tuple[Block, ...] = ()
    cautions: tuple[RaisedCaution, ...] = ()
    stops: tuple[RaisedStop, ...] = ()
    rejections: tuple[Rejection, ...] = ()
    root_causes: tuple[RootCause, ...] = ()
    firings: tuple[Firing, ...] = ()

    def found(self) -> frozenset[str]:
        """The names of the findings."""
        return frozenset(finding.name for finding in self.findings)

    def blocked(self, test: str) -> Block | None:
        """Why this test may not be asked now, or None.

        test: "observation relay-sound" or a reading's name, "voltage motor+ motor- calling".
        """
        return next((block for block in self.blocks if fnmatchcase(test, block.test)), None)

    def why(self, rule: str) -> tuple[Firing, ...]:
        """The firings of one rule, by its id."""
        return tuple(firing for firing in self.firings if firing.rule.id == rule)
