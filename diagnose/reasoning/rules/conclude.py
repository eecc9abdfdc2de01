"""From the rules that fired to sorted conclusions, each with the facts it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.catalogue.rule_records import (
    Condition,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenReject,
    ThenRootCause,
    ThenStop,
)
from diagnose.reasoning.rules.conclusions import (
    Block,
    Conclusions,
    Firing,
    Found,
    RaisedCaution,
    RaisedStop,
    Rejection,
    RootCause,
    Symbols,
    UsedFact,
)


def conclude(fired: Iterable[tuple[RuleRecord, str]], symbols: Symbols) -> Conclusions:
    """The conclusions of one run. fired: each rule with the reading its pattern matched, or ""."""
    firings = tuple(
        Firing(rule, tuple(_used(condition, on, symbols) for condition in rule.when), on)
        for rule, on in sorted(fired, key=lambda pair: (pair[0].id, pair[1]))
    )
    return Conclusions(
        findings=tuple(sorted(_findings(firings), key=lambda one: (one.name, one.rule))),
        blocks=tuple(sorted(_blocks(firings), key=lambda one: (one.test, one.rule))),
        cautions=tuple(sorted(_cautions(firings), key=lambda one: one.rule)),
        stops=tuple(sorted(_stops(firings), key=lambda one: one.rule)),
        rejections=tuple(_rejections(firings)),
        root_causes=tuple(sorted(_root_causes(firings), key=lambda one: (one.of, one.rule))),
        firings=firings,
    )


def _used(condition: Condition, on: str, symbols: Symbols) -> UsedFact:
    name = on if condition.is_pattern else condition.name
    if condition.negated:
        return UsedFact(condition.kind, name, " or ".join(condition.values), negated=True)
    return UsedFact(condition.kind, name, symbols.given(condition.kind).get(name, ""))


def _findings(firings: Iterable[Firing]) -> Iterator[Found]:
    for firing in firings:
        rule = firing.rule
        if isinstance(rule.then, ThenFinding):
            yield Found(rule.then.name, rule.because, rule.id, firing.facts)


def _blocks(firings: Iterable[Firing]) -> Iterator[Block]:
    for rule in (firing.rule for firing in firings):
        if isinstance(rule.then, ThenBlock):
            yield from (Block(test, rule.because, rule.id) for test in rule.then.tests)


def _cautions(firings: Iterable[Firing]) -> Iterator[RaisedCaution]:
    for rule in (firing.rule for firing in firings):
        if isinstance(rule.then, ThenCaution):
            yield RaisedCaution(rule.then.caution, rule.because, rule.id)


def _stops(firings: Iterable[Firing]) -> Iterator[RaisedStop]:
    for firing in firings:
        rule = firing.rule
        if isinstance(rule.then, ThenStop):
            answers = (fact for fact in firing.facts if fact.kind in ("seen", "reading"))
            tests = tuple(fact.name for fact in answers if not fact.negated)
            yield RaisedStop(rule.then.stop, rule.because, rule.id, tests)


def _rejections(firings: Iterable[Firing]) -> Iterator[Rejection]:
    for firing in firings:
        rule = firing.rule
        if isinstance(rule.then, ThenReject):
            name = firing.on or rule.then.name
            yield Rejection(rule.then.kind, name, rule.because, rule.id)


def _root_causes(firings: Iterable[Firing]) -> Iterator[RootCause]:
    for rule in (firing.rule for firing in firings):
        then = rule.then
        if isinstance(then, ThenRootCause):
            yield RootCause(
                then.of,
                then.cause,
                then.mend,
                then.prevention,
                then.measure,
                rule.because,
                rule.id,
            )
