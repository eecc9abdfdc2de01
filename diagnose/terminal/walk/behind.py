"""What lies behind a cause: what to rule out before the new part goes in, and why it came about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.outcome import Cause, Result, cause_title
from diagnose.reasoning import words
from diagnose.terminal.layout import items
from diagnose.terminal.plain import para

if TYPE_CHECKING:
    from rich.console import RenderableType

CAUSES, RULED_OUT, LEAST = 4, 2, 0.01
"""Root causes that are shown, causes behind it that are named at once, and the probability below
which they are not."""


def before_the_part(bench: Bench, result: Result) -> Iterator[str]:
    """What to rule out and to measure first, in short sentences."""
    likely = [(name, p) for name, p in result.behind if p >= LEAST][:RULED_OUT]
    if likely:
        named = ", ".join(f"{cause_title(bench, n)} ({words.per_cent(p)})" for n, p in likely)
        yield f"This is often a result. Rule out first: {named}."
    for measure in _measures(result)[:1]:
        yield f"Before the new part goes in, measure {words.of_test(measure)}."


def _measures(result: Result) -> list[str]:
    found = (cause.measure for cause in result.root_causes if cause.measure)
    return [*dict.fromkeys(found)]


def behind_view(bench: Bench, result: Result) -> list[RenderableType]:
    """All that may be behind it, what to measure, and why it came about."""
    shown: list[RenderableType] = []
    if result.behind:
        shown.append(para("This is often a result. Rule out first:", indent=2))
        shown += items(
            f"{cause_title(bench, name)} ({words.per_cent(p)})" for name, p in result.behind[:5]
        )
    shown += items(f"Measure {words.of_test(one)}." for one in _measures(result))
    return shown + items(_root_cause(cause) for cause in result.root_causes[:CAUSES])


def _root_cause(cause: Cause) -> str:
    said = f"{cause.cause.strip().rstrip('.')}. Mend: {cause.mend.strip().rstrip('.')}."
    return said if not cause.because else f"{said} ({cause.because.strip()})"
