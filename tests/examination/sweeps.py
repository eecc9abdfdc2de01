"""Every fault of the book made worse to its physical end, read from the solved circuit.

For each bundled rig, each failure mode and each of its effects that has a range, the circuit is
solved from sound through mild and severe to the end of what is physically there: a joint opens, a
leak becomes a dead short. What the proof case saw stands beside it, short of what the circuit
predicts. Two things are held:

- whole: with all readings that the effect moves its repair, once it leads, is not given up at a
  worse step, and ends with at least END;
- single: with one moved reading its repair, once it leads, is not given up at a worse step. One
  reading need not decide between causes, so no end is held of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.entry_parts import Change, Effect
from diagnose.catalogue.records import FailureMode, ReadingEntry
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.parameters import OPEN, RESISTANCES, Array, Batch
from diagnose.documents import load
from diagnose.reasoning.evidence import Measured, Seen, check_answer
from diagnose.reasoning.hypotheses import applicable, variants_of
from tests.examination.facts import HERE, RIGS, believed, bundled, repairs_of, shop
from tests.examination.steps import END, Sweep, step_of

PROOF = HERE.parents[1] / "cases" / "proof"
INSIDE = (0.0, 0.5, 1.0)
"""Steps between mild and severe, as shares of the way."""
BEYOND = 3
"""Steps from severe to the physical end."""
STEPS = 1 + len(INSIDE) + BEYOND
"""All steps, the sound rig first."""
DEAD_SHORT = 0.001
"""A short of bare copper on bare copper [ohm]; estimate."""


def _inside(change: Change, share: float) -> float:
    low, high = change.mild, change.severe
    if low > 0 and high > 0:
        return float(low * (high / low) ** share)
    return low + (high - low) * share


def _end(change: Change, sound: float) -> float:
    """What a parameter can come to at worst; its severe value where nothing else is known."""
    severe = _applied(change, 1.0, sound)
    if change.bounded or change.parameter not in RESISTANCES:
        return severe
    worse_up = severe > _applied(change, 0.0, sound)
    return OPEN if worse_up else min(severe, DEAD_SHORT)


def _applied(change: Change, share: float, sound: float) -> float:
    amount = _inside(change, share)
    return {"add": sound + amount, "times": sound * amount, "set": amount}[change.operation]


def _path(change: Change, sound: float) -> list[float]:
    """A parameter's values from mild to the end."""
    inside = [_applied(change, share, sound) for share in INSIDE]
    if not change.has_range:
        return [inside[0]] * (len(INSIDE) + BEYOND)
    severe, end = inside[-1], _end(change, sound)
    shares = (np.arange(BEYOND) + 1) / BEYOND
    if severe <= 0 or end <= 0:
        return [*inside, *(severe + (end - severe) * shares)]
    return [*inside, *(severe * (end / severe) ** shares)]


def circuits_of(bench: Bench, effect: Effect) -> Circuits:
    """The rig as described, then the effect step by step to its end; the fuses still whole."""
    batch: Batch = bench.model.sound_batch(STEPS)
    made = {}
    for change in effect.changes:
        sound = batch[change.parameter]
        made[change.parameter] = np.array([sound[0], *_path(change, float(sound[0]))])
    return Circuits(bench.model, batch.with_values(made))


@cache
def _readings(bench_name: str) -> tuple[Reading, ...]:
    tests = bundled(bench_name).tests.values()
    entries = (test.entry for test in tests)
    return tuple(one.reading for one in entries if isinstance(one, ReadingEntry))


def _moved(name: str, circuits: Circuits) -> Mapping[Reading, Array]:
    """The readings that the effect moves out of their healthy band at some step."""
    verdict = bundled(name).healthy.verdict
    values = {reading: circuits.predict(reading)[0] for reading in _readings(name)}
    return {
        reading: row
        for reading, row in values.items()
        if any(verdict(Measured(reading, float(value))) != "within" for value in row[1:])
    }


@cache
def _proof_looks(mode: str) -> tuple[tuple[str, str], ...]:
    document = load(PROOF / f"{mode}.yaml")
    if not document.has("seen"):
        return ()
    part = document.section("seen")
    return tuple((name, part.text(name)) for name in part)


def looks(bench: Bench, mode: FailureMode, effect: Effect) -> list[Seen]:
    """What the proof case saw that the circuit does not predict and the effect does not forbid."""
    shows = {**mode.shows, **effect.shows}
    found = []
    for name, option in _proof_looks(mode.id):
        entry = shop().catalogue.observations[name]
        told = shows.get(name, {})
        if entry.predicted or f"observation {name}" not in bench.tests or option not in told:
            continue
        found.append(check_answer(shop().catalogue, bench.hypotheses.facts, name, option))
    return found


def faults(name: str) -> Iterator[tuple[FailureMode, Effect]]:
    """Every effect with a range that this rig can have."""
    bench = bundled(name)
    for mode in applicable(shop().catalogue, bench.hypotheses.facts, bench.rig):
        for variant in variants_of(mode, bench.rig):
            if any(change.has_range for change in variant.effects[0].changes):
                yield mode, variant.effects[0]


def swept(name: str, mode: FailureMode, effect: Effect, wanted: str) -> Iterator[Sweep]:
    """The whole sweep of one effect, then one a moved reading; those whose name holds `wanted`."""
    title = f"{name} {mode.id} ({effect.name})"
    if wanted not in title and not any(str(r) in wanted for r in _readings(name)):
        return
    bench, circuits = bundled(name), circuits_of(bundled(name), effect)
    moved, right = _moved(name, circuits), repairs_of([mode.id])
    base = looks(bench, mode, effect)
    rows = [[Measured(r, float(row[i])) for r, row in moved.items()] for i in range(STEPS)]
    if moved:
        whole = [
            step_of(f"step {i}", believed(bench, [*base, *row]), right)
            for i, row in enumerate(rows[1:], 1)
        ]
        yield Sweep(f"whole {title}", tuple(whole), END)
    for number, reading in enumerate(moved):
        if wanted in title or str(reading) in wanted:
            items = [row[number] for row in rows]
            steps = [
                step_of(f"{item.value:.3g} {reading.unit}", believed(bench, [*base, item]), right)
                for item in items
            ]
            yield Sweep(f"single {title}: {reading}", tuple(steps), 0.0)


def all_sweeps(wanted: str = "") -> Iterator[Sweep]:
    """Every sweep of every fault on every bundled rig, or those that a name chooses: part of a
    rig, failure mode or effect, or a reading in full."""
    for name in RIGS:
        for mode, effect in faults(name):
            yield from swept(name, mode, effect, wanted)
