"""The rule book: records compiled into one experta engine, run afresh on every set of symbols.

The rules are matched by forward chaining. Source: C. L. Forgy, Rete: A Fast Algorithm for the Many
Pattern/Many Object Pattern Match Problem, Artificial Intelligence, 1982 (from memory), which
experta implements.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from functools import cache
from typing import Any
from zlib import crc32

from experta import NOT, Fact, Field, KnowledgeEngine, P, Rule

from diagnose.catalogue.rule_records import (
    OBSERVED,
    STRENGTHS,
    VERDICTS,
    Condition,
    Kind,
    RuleRecord,
    ThenReject,
)
from diagnose.reasoning.rules.conclusions import Conclusions, Symbols

GIVEN: tuple[Kind, ...] = (*OBSERVED, "suspect")
"""Kinds of facts that are given before a run, in the order in which they are declared."""

SHELVES = 4
"""experta compares a fact with every name in turn; with names laid on shelves it tries the shelf
first. Four needed the fewest steps of 1 to 12 with some 180 rules, a fifth fewer than one."""


def shelf(name: str) -> int:
    """The shelf a name lies on; the same in every process."""
    return crc32(name.encode()) % SHELVES


class GivenFact(Fact):  # type: ignore[misc]
    """A fact whose every field is declared: experta itself accepts unknown fields in silence."""

    shelf = Field(int, mandatory=True)

    def validate(self) -> None:
        """Raise ValueError on a missing, unknown or ill-valued field."""
        super().validate()
        unknown = [key for key in self if not self.is_special(key) and key not in self.__fields__]
        if unknown:
            raise ValueError(f"{type(self).__name__} has no field {unknown[0]!r}")


class SeenFact(GivenFact):
    """What a person saw, heard, felt or was told."""

    observation = Field(str, mandatory=True)
    value = Field(str, mandatory=True)


class ReadFact(GivenFact):
    """A meter reading, as a verdict against the band predicted for the healthy rig."""

    reading = Field(str, mandatory=True)
    verdict = Field(lambda verdict: verdict in VERDICTS, mandatory=True)


class RigFact(GivenFact):
    """What is known of the rig before any question."""

    name = Field(str, mandatory=True)
    value = Field(str, mandatory=True)


class SuspectFact(GivenFact):
    """A failure mode that leads the ranking, or stands near its top."""

    failure_mode = Field(str, mandatory=True)
    strength = Field(lambda strength: strength in STRENGTHS, mandatory=True)


class FindingFact(GivenFact):
    """What a rule has concluded, for other rules to build on."""

    name = Field(str, mandatory=True)


class AllGiven(Fact):  # type: ignore[misc]
    """Declared last, once all that is given has been declared: what a rule with `unless` waits for.

    Without it such a rule would be put on the agenda early and taken off again, and experta finds
    an activation to take off only among the nearest of those that rest on the same facts.
    """


FIELDS: dict[Kind, tuple[type[GivenFact], str, str]] = {
    "seen": (SeenFact, "observation", "value"),
    "reading": (ReadFact, "reading", "verdict"),
    "rig": (RigFact, "name", "value"),
    "suspect": (SuspectFact, "failure_mode", "strength"),
    "finding": (FindingFact, "name", ""),
}
"""For each kind of condition: its fact class, the field that names it, the field of its value."""


class RuleBook:
    """All rules, compiled once and kept. One run at a time: the engine inside is shared.

    Every run starts from nothing, with all symbols declared before the first rule fires. Rules only
    add, and look for absence only among the given symbols, and only once these are all declared
    (AllGiven), so that the order in which experta fires them, which changes with the hash seed,
    cannot change what is concluded.
    """

    def __init__(self, rules: Collection[RuleRecord]) -> None:
        self._engine = _compile(rules)
        self._asked = _conditions_by_name(rules)
        self._last: tuple[Symbols, Conclusions] | None = None

    def run(self, symbols: Symbols) -> Conclusions:
        """What the rules say about these symbols.

        Symbols equal to those of the last run give its conclusions without another run.
        """
        if self._last is None or self._last[0] != symbols:
            self._last = symbols, self._conclude(symbols)
        return self._last[1]

    def _conclude(self, symbols: Symbols) -> Conclusions:
        self._engine.fired.clear()
        self._engine.reset()
        self._engine.declare(*self._facts(symbols), AllGiven())
        self._engine.run()
        return Conclusions.of(self._engine.fired, symbols)

    def _facts(self, symbols: Symbols) -> Iterator[GivenFact]:
        for kind in GIVEN:
            for name, value in symbols.given(kind).items():
                if self._is_asked_for(kind, name, value):
                    yield _fact(kind, name, value)

    def _is_asked_for(self, kind: Kind, name: str, value: str) -> bool:
        """Whether any rule looks for this fact: the others would only cost time."""
        return any(one.accepts(name, value) for one in self._asked.get((kind, name), ()))


def rejecting_rules(rules: Collection[RuleRecord]) -> tuple[RuleRecord, ...]:
    """The rules that reject answers, with those whose findings they build on: a small book, quick
    to run after every answer."""
    chosen = [rule for rule in rules if isinstance(rule.then, ThenReject)]
    for rule in chosen:
        wanted = {one.name for one in rule.when if one.kind == "finding"}
        chosen += [one for one in rules if one.finding in wanted and one not in chosen]
    return tuple(chosen)


def _conditions_by_name(rules: Iterable[RuleRecord]) -> dict[tuple[Kind, str], set[Condition]]:
    asked: dict[tuple[Kind, str], set[Condition]] = {}
    for condition in (one for rule in rules for one in (*rule.when, *rule.unless)):
        asked.setdefault((condition.kind, condition.name), set()).add(condition)
    return asked


def _fact(kind: Kind, name: str, value: str) -> GivenFact:
    cls, named, valued = FIELDS[kind]
    return cls(**{"shelf": shelf(name), named: name, valued: value})


class _Engine(KnowledgeEngine):  # type: ignore[misc]
    """Notes each rule that fires."""

    def __init__(self) -> None:
        self.fired: list[RuleRecord] = []
        super().__init__()


def _compile(rules: Collection[RuleRecord]) -> _Engine:
    needed = {one.name for rule in rules for one in rule.when if one.kind == "finding"}
    methods = {rule.id: _method(rule, needed) for rule in rules}
    engine: _Engine = type("Rules", (_Engine,), methods)()
    return engine


def _method(rule: RuleRecord, needed: Collection[str]) -> Any:
    """One experta rule: it notes that it fired, and declares its finding if any rule needs it."""
    finding = rule.finding if rule.finding in needed else None

    def fire(engine: _Engine) -> None:
        engine.fired.append(rule)
        if finding:
            engine.declare(FindingFact(shelf=shelf(finding), name=finding))

    absent = [NOT(_pattern(condition)) for condition in rule.unless]
    first = [AllGiven()] if absent else []
    return Rule(*first, *map(_pattern, rule.when), *absent)(fire)


def _pattern(condition: Condition) -> Any:
    cls, named, valued = FIELDS[condition.kind]
    fields: dict[str, Any] = {"shelf": shelf(condition.name), named: condition.name}
    if condition.values:
        fields[valued] = _any_of(frozenset(condition.values))
    return cls(**fields)


@cache
def _any_of(values: frozenset[str]) -> Any:
    """One predicate per set of values, so that experta can share its work between rules."""
    return P(lambda value: value in values)
