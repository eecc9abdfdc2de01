"""What readings are taken with, what of it is at hand, and what nobody seems to have."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from diagnose.catalogue.records import Catalogue, ReadingEntry
from diagnose.reasoning.next_test import Test

MISSED = 2
"""Readings with one instrument that are answered "not known", before no more are asked for."""


def _instruments(tests: Mapping[str, Test], catalogue: Catalogue) -> dict[str, str]:
    """Each reading with its instrument."""
    return {
        name: catalogue.quantities[test.entry.reading.quantity].instrument
        for name, test in tests.items()
        if isinstance(test.entry, ReadingEntry)
    }


def to_fetch(
    tests: Mapping[str, Test], catalogue: Catalogue, found: Iterable[str]
) -> frozenset[str]:
    """The readings whose instrument has not been used. found: ids of what has been found."""
    known = _instruments(tests, catalogue)
    at_hand = {known[name] for name in found if name in known}
    return frozenset(name for name, one in known.items() if one not in at_hand)


def beyond_reach(
    tests: Mapping[str, Test],
    catalogue: Catalogue,
    unfetched: frozenset[str],
    unknown: Iterable[str],
) -> frozenset[str]:
    """Of readings whose instrument has not been used, those whose instrument was wanted MISSED
    times in vain. unknown: ids of the tests that were answered "not known"."""
    known = _instruments(tests, catalogue)
    vain = Counter(known[name] for name in unknown if name in known)
    return frozenset(name for name in unfetched if vain[known[name]] >= MISSED)
