"""How long a person waits for the next question: simulated persons on the bundled rigs."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import open_rig
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Evidence, check_answer
from diagnose.simulate.draw import faulty
from diagnose.simulate.truth import Person, Truth
from diagnose.walkthrough import Walk
from tests.tools.benchmarks.rows import Row, at_most, seconds

RIGS = ("bowser", "mist-bench", "header-tank")
MEDIAN, WORST = 50.0, 200.0
"""Targets for one step, from an answer to the next question [ms]."""


@dataclass(frozen=True)
class Walked:
    """One simulated walk. waits: wall time and processor time of every step [s]."""

    bench: Bench
    evidence: tuple[Evidence, ...]
    waits: tuple[tuple[float, float], ...]


def _truth(bench: Bench, number: int) -> Truth:
    """Every failure mode in turn, each time at another severity on another rig."""
    modes = bench.hypotheses.modes
    mode = bench.shop.catalogue.failure_modes[modes[number % len(modes)]]
    return faulty(bench.model, [mode], (number,))


def _step(walk: Walk, truth: Truth, person: Person) -> tuple[float, float] | None:
    """Answer the next question; the wait until the one after it, None at the end."""
    question = walk.question()
    if question is None:
        return None
    told = truth.answer(person, question.test, walk.bench.shop.catalogue)
    wall, busy = time.perf_counter(), time.process_time()
    try:
        walk.answer(question, told or "")
    except DiagnoseError:
        walk.pass_over(question, "unknown")
    walk.question()
    return time.perf_counter() - wall, time.process_time() - busy


def _walked(bench: Bench, number: int) -> Walked:
    truth, person = _truth(bench, number), Person(wrong=0.05)
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    walk = Walk(bench)
    told = truth.complaint(person, book, facts)
    walk.tell([check_answer(book, facts, name, option) for name, option in told.items()])
    waits = tuple(iter(lambda: _step(walk, truth, person), None))
    return Walked(bench, walk.evidence, waits)


def benches(shop: Shop) -> tuple[list[Bench], Row]:
    """The benches of the bundled rigs, each ready to ask, and how long the slowest took."""
    made: list[Bench] = []

    def build(name: str) -> None:
        made.append(Bench.for_rig(open_rig(name), shop))
        _ = made[-1].chooser

    slowest = max(seconds(lambda name=name: build(name)) for name in RIGS)  # type: ignore[misc]
    return made, Row("everything computed for a rig, slowest of three", f"{slowest * 1e3:.0f} ms")


def walked(benches: Sequence[Bench], count: int) -> list[Walked]:
    """So many simulated walks, spread over the benches."""
    return [_walked(benches[n % len(benches)], n // len(benches)) for n in range(count)]


def waits(walks: Sequence[Walked]) -> Iterator[Row]:
    """From an answer to the next question."""
    wall = [1e3 * step[0] for walk in walks for step in walk.waits]
    busy = [1e3 * step[1] for walk in walks for step in walk.waits]
    what = f"answer to next question, {len(wall)} steps of {len(walks)} walks"
    yield at_most(f"{what}, median", median(wall), MEDIAN, "ms")
    yield at_most("  worst", max(wall), WORST, "ms")
    yield Row("  processor time, median and worst", f"{median(busy):.0f}, {max(busy):.0f} ms")
