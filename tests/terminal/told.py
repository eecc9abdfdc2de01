"""Findings that tests of the screens begin with."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import Result
from diagnose.pages.result import sections
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.terminal.layout import section_view
from diagnose.terminal.plain import Screen
from diagnose.terminal.walk.result import first_page


def whole_result(screen: Screen, bench: Bench, result: Result) -> Iterator[Any]:
    """A result's first page, and all that its words show."""
    yield from first_page(screen, bench, result)
    for part in sections(bench, result):
        yield from section_view(screen, part)


CHATTERS = (Seen("relay-sound", "chatters"),)

BAD_HOLDER = (
    *CHATTERS,
    Seen("fuse-holder-look", "corroded"),
    Seen("fuse-holder-heat", "too-hot-to-hold"),
    Measured(reading_of("voltage fuse.in fuse.out calling"), 1.2),
)
"""Enough to conclude on: a hot, corroded holder that loses 1.2 V where 0.1 V is the most (common
practice). Too hot to hold, it stops the work until that is said to be safe."""
