"""What the rules say, read plainly: every rule tried in turn until nothing is added.

It shares no line with the rule engine of the program: it is there to be compared with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.catalogue.rule_records import (
    Condition,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenStop,
)
from diagnose.reasoning.rules.conclusions import Symbols


def holds(condition: Condition, symbols: Symbols, found: set[str]) -> bool:
    """Whether a condition is met, straight from its meaning."""
    if condition.kind == "finding":
        return condition.name in found
    given = symbols.given(condition.kind).items()
    return any(condition.accepts(name, value) for name, value in given)


def fired_by_reading(rules: Iterable[RuleRecord], symbols: Symbols) -> set[str]:
    """What must fire, without any engine: read all rules again until nothing new is found."""
    found: set[str] = set()
    while True:
        fired = {
            rule.id
            for rule in rules
            if all(holds(one, symbols, found) for one in rule.when)
            and not any(holds(one, symbols, found) for one in rule.unless)
        }
        named = {rule.finding for rule in rules if rule.finding and rule.id in fired}
        if named <= found:
            return fired
        found |= named


@dataclass(frozen=True)
class Holding:
    """What must be heeded now. cautions: rule to the caution it raises; blocked: tests; stops: each
    stop that is raised, with the answers of each rule that raises it."""

    cautions: Mapping[str, ThenCaution]
    blocked: tuple[str, ...]
    stops: tuple[tuple[str, tuple[str, ...]], ...]

    def standing(self, steps: Sequence[tuple[str, bool]]) -> set[str]:
        """The stops that stand after these steps: each a test that was answered, or a stop
        that was made safe (True).

        What was made safe stays so until something that raises it is answered once more.
        """
        return {stop for stop, answers in self.stops if not _is_over(stop, answers, steps)}


def _is_over(stop: str, answers: Iterable[str], steps: Sequence[tuple[str, bool]]) -> bool:
    if (stop, True) not in steps:
        return False
    since = steps[::-1][: steps[::-1].index((stop, True))]
    return not any((answer, False) in since for answer in answers)


def holding(rules: Iterable[RuleRecord], symbols: Symbols) -> Holding:
    """The cautions, the stops and the blocked tests of one situation."""
    known = {rule.id: rule for rule in rules}
    found = [known[name] for name in sorted(fired_by_reading(known.values(), symbols))]
    return Holding(
        {rule.id: rule.then for rule in found if isinstance(rule.then, ThenCaution)},
        tuple(t for rule in found if isinstance(rule.then, ThenBlock) for t in rule.then.tests),
        tuple((one.then.stop, _answers(one)) for one in found if isinstance(one.then, ThenStop)),
    )


def _answers(rule: RuleRecord) -> tuple[str, ...]:
    """The answers that a rule looks at."""
    return tuple(one.name for one in rule.when if one.kind in ("seen", "reading"))
