"""The rule book: records compiled into one experta engine, run afresh on every set of symbols."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from functools import cache
from typing import Any

from experta import NOT, KnowledgeEngine, P, Rule

from diagnose.catalogue.rule_records import OBSERVED, Condition, Kind, RuleRecord, ThenReject
from diagnose.reasoning.rules.conclusions import Conclusions
from diagnose.reasoning.rules.facts import FIELDS, AllGiven, Finding, Symbol, shelf
from diagnose.reasoning.rules.symbols import Symbols

GIVEN: tuple[Kind, ...] = (*OBSERVED, "suspect")


class RuleBook:
    """All rules, compiled once and kept. One run at a time: the engine inside is shared.

    Every run starts from nothing, with all symbols declared before the first rule fires. Rules only
    add, and look for absence only among the given symbols, and only once these are all declared
    (AllGiven), so that the order in which experta fires them, which changes with the hash seed,
    cannot change what is concluded.
    """

    def __init__(self, rules: Collection[RuleRecord]) -> None:
        self._engine = _compile(rules)
        self._asked = _asked(rules)
        self._last: tuple[Symbols, Conclusions] | None = None

    def run(self, symbols: Symbols) -> Conclusions:
        """What the rules say about these symbols; asked the same again, the same."""
        if self._last is None or self._last[0] != symbols:
            self._last = symbols, self._concluded(symbols)
        return self._last[1]

    def _concluded(self, symbols: Symbols) -> Conclusions:
        self._engine.fired.clear()
        self._engine.reset()
        self._engine.declare(*self._facts(symbols), AllGiven())
        self._engine.run()
        return Conclusions.drawn(self._engine.fired, symbols)

    def _facts(self, symbols: Symbols) -> Iterator[Symbol]:
        for kind in GIVEN:
            for name, value in symbols.given(kind).items():
                if self._is_asked_for(kind, name, value):
                    yield _fact(kind, name, value)

    def _is_asked_for(self, kind: Kind, name: str, value: str) -> bool:
        """Whether any rule looks for this fact: the others would only cost time."""
        return any(one.accepts(name, value) for one in self._asked.get((kind, name), ()))


def refusing(rules: Collection[RuleRecord]) -> tuple[RuleRecord, ...]:
    """The rules that reject answers, with those whose findings they build on: a small book, quick
    to run after every answer."""
    chosen = [rule for rule in rules if isinstance(rule.then, ThenReject)]
    for rule in chosen:
        wanted = {one.name for one in rule.when if one.kind == "finding"}
        chosen += [one for one in rules if one.finding in wanted and one not in chosen]
    return tuple(chosen)


def _asked(rules: Iterable[RuleRecord]) -> dict[tuple[Kind, str], set[Condition]]:
    asked: dict[tuple[Kind, str], set[Condition]] = {}
    for condition in (one for rule in rules for one in (*rule.when, *rule.unless)):
        asked.setdefault((condition.kind, condition.name), set()).add(condition)
    return asked


def _fact(kind: Kind, name: str, value: str) -> Symbol:
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
            engine.declare(Finding(shelf=shelf(finding), name=finding))

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
