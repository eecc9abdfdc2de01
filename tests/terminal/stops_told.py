"""What a face says of a stop, and what raises one: for the tests that look at every face."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from typing import Any

from diagnose.bench import Bench
from diagnose.catalogue.records import Stop
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from tests.tools.stops.promise import raisers, told_with

Record = dict[str, Any]


def raised_by(bench: Bench) -> dict[str, tuple[Evidence, ...]]:
    """By stop all answers on a rig that raise it, one a test."""
    found: dict[str, dict[str, Evidence]] = {}
    for item in raisers(bench):
        for standing in told_with(bench, item).stops():
            found.setdefault(standing.id, {}).setdefault(item.id, item)
    return {stop: tuple(items.values()) for stop, items in found.items()}


def typed(item: Evidence) -> str:
    """A finding as an answer."""
    if isinstance(item, Measured):
        return f"{item.value:f} {item.reading.unit}"
    return item.option


def given(item: Evidence) -> tuple[str, str]:
    """A finding as it stands on the command line."""
    return "--seen" if isinstance(item, Seen) else "--read", f"{item.id}={typed(item)}"


def _squeezed(text: str) -> str:
    """A text without its gaps: found wherever its lines are broken."""
    return "".join(text.split())


def missing(text: str, *wanted: str) -> list[str]:
    """What is not in a text."""
    return [one for one in wanted if _squeezed(one) not in _squeezed(text)]


def says(stop: Stop) -> tuple[str, ...]:
    """What a face has to say of a stop."""
    return stop.title, *stop.do, stop.ends


def defers(text: str) -> bool:
    """Whether it is said that local codes and licensed practice go first."""
    said = " ".join(text.lower().split())
    return "local code" in said and "licensed" in said


def widest(text: str) -> int:
    """Columns of the widest line; a prompt may be wider, for a terminal wraps it by itself."""
    return max(len(line) for line in text.splitlines() if "> " not in line)


def holds(stop: Stop, records: Sequence[Record]) -> bool:
    """Whether one of some records is that of a stop, with all that it has to hold."""
    for one in records:
        if (one["id"], one["title"], one["do"]) == (stop.id, stop.title, [*stop.do]):
            return bool(one["until"] or one["leave_to"]) and _ends(one) in stop.ends
    return False


def _ends(record: Record) -> str:
    """How a stop ends, by its record."""
    return str(record["until"] or record["leave_to"])


def words_of(page: str) -> str:
    """A page without its elements."""
    return html.unescape(re.sub(r"<[^>]*>", " ", page))
