"""What the rules say, worked out by trying every rule in turn until nothing is added.

It shares no line with the rule engine of the program: it is there to be compared with it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from diagnose.catalogue.rule_records import Condition, RuleRecord, ThenBlock, ThenCaution
from diagnose.reasoning.rules.conclusions import Symbols


def _known(condition: Condition, facts: Mapping[str, str], findings: Collection[str]) -> bool:
    if condition.kind == "finding":
        return condition.name in findings
    return any(condition.accepts(name, value) for name, value in facts.items())


def _fires(rule: RuleRecord, symbols: Symbols, findings: Collection[str]) -> bool:
    return all(
        _known(one, symbols.given(one.kind), findings) is not one.negated for one in rule.when
    )


def fired(rules: Iterable[RuleRecord], symbols: Symbols) -> list[RuleRecord]:
    """Every rule whose conditions hold, those on findings of other rules included."""
    rules, findings = tuple(rules), set[str]()
    while True:
        found = [rule for rule in rules if _fires(rule, symbols, findings)]
        added = {rule.finding for rule in found if rule.finding} - findings
        if not added:
            return found
        findings |= added


@dataclass(frozen=True)
class Holding:
    """What must be heeded now. cautions: rule to the caution it raises; blocked: tests."""

    cautions: Mapping[str, ThenCaution]
    blocked: tuple[str, ...]


def holding(rules: Iterable[RuleRecord], symbols: Symbols) -> Holding:
    """The cautions and the blocked tests of one situation."""
    found = fired(rules, symbols)
    return Holding(
        {rule.id: rule.then for rule in found if isinstance(rule.then, ThenCaution)},
        tuple(t for rule in found if isinstance(rule.then, ThenBlock) for t in rule.then.tests),
    )
