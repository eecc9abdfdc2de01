"""What a benchmark reports, and how times are taken."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True)
class Row:
    """One measure. met: whether it keeps to its target; None where there is none."""

    what: str
    value: str
    target: str = ""
    met: bool | None = None

    def __str__(self) -> str:
        word = {True: "met", False: "MISSED", None: ""}[self.met]
        return f"{self.what:<58} {self.value:>14}  {self.target:<14} {word}".rstrip()


def at_most(what: str, value: float, target: float, unit: str) -> Row:
    """A measure that should not exceed its target."""
    return Row(what, f"{value:.3g} {unit}", f"<= {target:g} {unit}", value <= target)


def at_least(what: str, value: float, target: float, unit: str) -> Row:
    """A measure that should reach its target."""
    return Row(what, f"{value:.3g} {unit}", f">= {target:g} {unit}", value >= target)


def seconds(work: Callable[[], object]) -> float:
    """How long one call takes [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def usual(work: Callable[[], object], times: int) -> float:
    """The median of several calls, after one that warms up [s of processor time]."""
    work()
    return median(_busy(work) for _ in range(times))


def least(works: Sequence[Callable[[], object]], times: int) -> list[float]:
    """The quickest call of each, done in turn after one that warms up [s of processor time]: what
    else runs on the machine only ever adds, and adds to all alike."""
    rounds = [[_busy(work) for work in works] for _ in range(times + 1)][1:]
    return [min(taken) for taken in zip(*rounds, strict=True)]


def _busy(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def in_turn(
    first: Callable[[], object], second: Callable[[], object], times: int
) -> tuple[float, float]:
    """Medians of two kinds of work done in turn, so that a busy machine slows both alike [s]."""
    pairs = [(seconds(first), seconds(second)) for _ in range(times + 1)][1:]
    return median(a for a, _ in pairs), median(b for _, b in pairs)
