"""Readings that a sound rig might show, and that this very rig did not when it was new."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.evidence import Evidence, Measured
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.spoken import Spoken
from diagnose.reasoning.words import band

DRIFTED = "has-drifted"
"""The finding, as other programs get it."""

BECAUSE = (
    "The reading lies among those of sound rigs, and beyond what this rig read when it was new "
    "and what changes from day to day."
)


def drifted(evidence: Iterable[Evidence], healthy: Healthy) -> Iterator[Spoken]:
    """A sentence for each reading that has drifted since the rig's own readings were taken."""
    for item in evidence:
        if isinstance(item, Measured) and healthy.drifted(item):
            own = healthy.expected(item.reading)
            sound = band(own.low, own.high, item.reading)
            name = in_words(item.reading)
            text = f"{name} has drifted: {value_words(item)}; well, this rig reads {sound}."
            yield Spoken(DRIFTED, text, BECAUSE, f"{DRIFTED} {item.id}", "", 2)
