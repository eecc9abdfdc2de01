"""A reading that grows worse step by step: what is held of it, by hand or from the circuit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.documents import Section
from diagnose.reasoning.evidence import Evidence, parse_reading, read_answers
from tests.examination.facts import (
    Verdict,
    believed,
    bench_of,
    files,
    repairs_of,
    rig_of,
    shop,
    sources,
)

GIVES, END = 0.05, 0.7
"""A repair that leads may lose GIVES from one step to a worse one, and ends with at least END."""


@dataclass(frozen=True)
class Step:
    """What one step says: its reading in words, the probability of what is right, and who leads."""

    said: str
    right: float
    leads: bool
    leader: str
    share: float

    @property
    def now(self) -> str:
        """Where it is and who leads there."""
        return f"{self.said} ({self.leader} {self.share:.2f})"


@dataclass(frozen=True)
class Sweep:
    """A fault made worse, step by step. end: what must be left at the last step; 0 for nothing."""

    name: str
    steps: tuple[Step, ...]
    end: float = END

    @property
    def broken(self) -> str:
        """Where it breaks, in words; empty where it holds."""
        best = 0.0
        for step in self.steps:
            if best and step.right < best - GIVES:
                return f"falls from {best:.2f} to {step.right:.2f} at {step.now}"
            if step.leads:
                best = max(best, step.right)
        last = self.steps[-1]
        if last.right < min(self.end, 1.0):
            return f"ends with {last.right:.2f} at {last.now}"
        return ""


def step_of(said: str, verdict: Verdict, right: frozenset[str]) -> Step:
    leader, share = verdict.repairs[0]
    return Step(said, verdict.of(right), leader in right, leader, share)


def by_hand(wanted: str = "") -> Iterator[Sweep]:
    """The sweeps written by hand whose name holds `wanted`. Raises what reading a file raises."""
    for document in files("by_hand"):
        for one in document.sections("sweeps"):
            if wanted in one.text("id"):
                yield _swept(one)
        if not wanted:
            document.finish()


def _swept(one: Section) -> Sweep:
    bench = bench_of(rig_of(one))
    right, name, reading = repairs_of(one.texts("right")), one.text("id"), one.text("sweep")
    values = one.texts("steps")
    assert one.text("source") in sources(), one.place
    base = read_answers(one, shop().catalogue, bench.rig, bench.hypotheses.facts)
    steps = (_step(bench, base, f"{reading} = {value}", right, one) for value in values)
    return Sweep(name, tuple(steps))


def _step(
    bench: Bench, base: Iterable[Evidence], said: str, right: frozenset[str], one: Section
) -> Step:
    item = parse_reading(said, shop().catalogue, bench.rig, one.place)
    return step_of(said.rsplit("= ", 1)[-1], believed(bench, [*base, item]), right)
