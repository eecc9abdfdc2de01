"""How often a reading is called off: on sound rigs another day, and on rigs with a fault; by the
band of the book, and by that of the rig's own readings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from diagnose.bench import Bench
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.hypotheses import variants_of
from diagnose.reasoning.reading_selection import select_readings
from diagnose.simulate.draw import as_found, sound_rig
from diagnose.simulate.rigs import invented_rig
from tests.tools.study_record.played import read_by, recorded, shop, when_new

STATES = {"sound, another day": None, "a mild fault": 0.0, "a middling fault": 0.5}
"""What is read, by how far the fault has gone."""


@dataclass(frozen=True)
class Off:
    """How many readings of one rig were off, of how many."""

    state: str
    book: int
    own: int
    read: int


def off_band(cases: int, rigs: int) -> Iterator[Off]:
    """So many rigs in each state, of faults drawn evenly."""
    for number in range(rigs):
        bench = Bench.for_rig(invented_rig(7, number), shop())
        tests = select_readings(bench.shop.catalogue, bench.model)
        for case in range(cases * (number + 1) // rigs - cases * number // rigs):
            yield from _one(bench, tests, (9, number, case))


def _one(bench: Bench, tests: tuple[Test, ...], seed: tuple[int, ...]) -> Iterator[Off]:
    random, model = np.random.default_rng(seed), bench.model
    sound = sound_rig(model, random, mismatch=1.0)
    mode = bench.shop.catalogue.failure_modes[str(random.choice(bench.hypotheses.modes))]
    variant = max(variants_of(mode, bench.rig), key=lambda one: one.share)
    for state, severity in STATES.items():
        rig = as_found(sound, [variant], [severity or 0.0], model, random, seed)
        own = recorded(bench, rig, tests)
        if severity is None:
            another = replace(rig, seed=(*seed, 2))
            items = read_by(bench, when_new(another), tests)
        else:
            items = read_by(bench, rig, tests)
        known = CalibratedRig(bench.shop.catalogue, model, own)
        mine = Healthy(bench.shop.catalogue, model, known)
        yield Off(state, _off(mine.by_the_book, items), _off(mine, items), len(items))


def _off(healthy: Healthy, items: list[Measured]) -> int:
    return sum(healthy.verdict(item) != "within" for item in items)
