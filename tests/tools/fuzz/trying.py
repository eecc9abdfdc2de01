"""Trying many spoiled inputs: each is taken, or refused in plain sentences, and soon."""

from __future__ import annotations

import random
import signal
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache

from diagnose.errors import DiagnoseError
from tests.tools.fuzz.bounds import Spot
from tests.tools.fuzz.everything import bounded, everything
from tests.tools.fuzz.readers import Reader, complaints

NEVER = 20
"""Wall time after which an input is broken off [s]."""

LONGEST = 600
"""Characters in one complaint, its place included."""

LOT = 250
"""Inputs in one lot; a lot is drawn from its own seed, and can be tried again alone."""

WALKED = 100_000
"""From this number on lots walk the places of real documents instead."""


@dataclass
class Tally:
    """taken and refused: inputs by reader; slowest: processor time by reader [s]; wrong: what went
    wrong, each with the input that did it."""

    taken: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    sentences: int = 0
    slowest: dict[str, float] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        self.taken += other.taken
        self.refused += other.refused
        self.sentences += other.sentences
        self.wrong += other.wrong
        for name, spent in other.slowest.items():
            self.slowest[name] = max(spent, self.slowest.get(name, 0.0))


class TooSlow(Exception):
    """An input that was not dealt with in any bearable time."""


def _give_up(number: int, frame: object) -> None:
    raise TooSlow(f"not done after {NEVER} s")


@contextmanager
def _watched() -> Iterator[None]:
    """Breaks off what never ends, where the system has an alarm clock."""
    if not hasattr(signal, "SIGALRM"):
        yield
        return
    before = signal.signal(signal.SIGALRM, _give_up)
    signal.alarm(NEVER)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def _unclear(problem: DiagnoseError) -> list[str]:
    """The sentences that are not what a person can be shown."""
    said = complaints(problem)
    return [one for one in said if not (one.isprintable() and 0 < len(one) <= LONGEST)]


def attempt(name: str, reader: Reader, body: bytes, tally: Tally) -> None:
    """One input to one reader."""
    start = time.process_time()
    try:
        with _watched():
            reader.read(body)
        tally.taken[name] += 1
    except DiagnoseError as problem:
        tally.refused[name] += 1
        tally.sentences += len(complaints(problem))
        if unclear := _unclear(problem):
            tally.wrong.append(f"{name}: {body[:300]!r} is refused as {unclear[0]!r}")
    except Exception:
        tally.wrong.append(f"{name}: {body[:2000]!r}\n{traceback.format_exc()}")
    spent = time.process_time() - start
    tally.slowest[name] = max(spent, tally.slowest.get(name, 0.0))
    if spent > reader.soon:
        tally.wrong.append(f"{name}: {body[:300]!r} took {spent:.1f} s")


def lot(task: tuple[int, int]) -> Tally:
    """One lot, by seed and number."""
    seed, number = task
    if number >= WALKED:
        return _walked(number - WALKED)
    draw, known = random.Random(f"{seed}/{number}"), everything()
    names = draw.choices([*known], [one.share for one in known.values()], k=LOT)
    tally = Tally()
    for name in names:
        attempt(name, known[name], known[name].spoil(known[name].samples, draw), tally)
    return tally


def _walked(number: int) -> Tally:
    """One lot of the places, in their order."""
    tally = Tally()
    for name, spot, new in inputs_walked()[number * LOT : (number + 1) * LOT]:
        body = spot.put(new).encode("utf-8", "surrogatepass")
        attempt(name, bounded()[name][0], body, tally)
    return tally


@cache
def inputs_walked() -> tuple[tuple[str, Spot, object], ...]:
    """Every kind of place of every kind of document, with everything that is put there."""
    return tuple(
        (name, spot, new)
        for name, (_, spots) in bounded().items()
        for spot in spots
        for new in spot.news
    )
