"""What is known, as symbols: answers, verdicts on readings, rig facts and suspects."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.rule_records import Kind
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.expectations import Healthy


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
