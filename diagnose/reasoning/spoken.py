"""What the rules have found, as sentences with the figures in them, in the order of a fitter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.catalogue.rule_records import PARTS, ThenFinding
from diagnose.reasoning.evidence import Evidence, Measured
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.rules.conclusions import Conclusions, Firing
from diagnose.reasoning.words import value

MOST = 4
"""Sentences shown beside a ranking or a result; `why` has all."""


@dataclass(frozen=True)
class Spoken:
    """One finding. rests_on: how many facts had to be there for it."""

    finding: str
    text: str
    because: str
    rule: str
    part: str
    rests_on: int


def spoken(conclusions: Conclusions, evidence: Iterable[Evidence]) -> tuple[Spoken, ...]:
    """Every finding once, by the rule that knows most of it: the supply first, then along the
    copper to the motor and back, then control and water."""
    read = {item.id: item for item in evidence if isinstance(item, Measured)}
    best: dict[str, Spoken] = {}
    for one in _said(conclusions, read):
        known = best.get(one.finding)
        if known is None or one.rests_on > known.rests_on:
            best[one.finding] = one
    return tuple(sorted(best.values(), key=lambda one: (PARTS.index(one.part), one.rule)))


def foremost(found: Sequence[Spoken], most: int = MOST) -> tuple[Spoken, ...]:
    """Those that rest on most, in their order."""
    kept = sorted(found, key=lambda one: -one.rests_on)[:most]
    return tuple(one for one in found if one in kept)


def _said(conclusions: Conclusions, read: Mapping[str, Measured]) -> Iterator[Spoken]:
    for firing in conclusions.findings:
        then, rule = firing.then, firing.rule
        text = sentence(then, read)
        if text:
            yield Spoken(then.name, text, rule.because, rule.id, then.part, _rests_on(firing))


def sentence(then: ThenFinding, read: Mapping[str, Measured]) -> str:
    """What a finding says, with the values read; "" where it says nothing, or a difference of
    which is nothing left."""
    figures = [_figure([read[name] for name in names]) for names in then.figures]
    return then.said(figures) if all(figures) else ""


def _rests_on(firing: Firing[ThenFinding]) -> int:
    return sum(not fact.negated for fact in firing.facts)


def _figure(items: Sequence[Measured]) -> str:
    """A value, or what is left of the first when the second is taken from it; "" for nothing."""
    if len(items) == 1:
        return value_words(items[0])
    first, second = items
    left = first.value - second.value
    return value(round(left, 3), first.reading) if left > 0 else ""
