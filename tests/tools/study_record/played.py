"""Faults on rigs with and without a commissioning record, each played twice by the same person."""

from __future__ import annotations

import gc
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import numpy as np

from diagnose.bench import Bench, Shop
from diagnose.circuit.meter import Circuits
from diagnose.errors import DiagnoseError
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.evidence import Measured, check_reading
from diagnose.reasoning.reading_selection import select_readings
from diagnose.simulate.draw import AIR, CHARGE, faulty
from diagnose.simulate.policies import POLICIES
from diagnose.simulate.rigs import invented_rig
from diagnose.simulate.truth import OwnScene, Person, Truth, pick
from diagnose.study.plan import spread
from diagnose.study.play import Episode, FaultyRig, NoComplaint, play
from diagnose.walkthrough import Walk
from tests.study.other_world import world as other_world
from tests.study.other_world.site import HOLDS, Site
from tests.study.research import HOME, OTHER_WORLD

NEW = date(2026, 5, 3)
"""The day on which every rig here was new."""

TRIES = 60
"""Severities drawn until somebody complains."""

FACES = 0.2
"""How far a contact of a sound rig is another one on another day: spread of the logarithm;
estimate, drawn apart from what the reasoner allows for."""

MOVED = (
    *("fuse_holder", "master_switch", "relay_contact", "relay_socket", "pressure_switch"),
    *("float_switch", "battery.resistance", "motor.pressure_torque"),
)


@dataclass(frozen=True)
class Twice:
    """One case, held against the book and against the rig's own readings. count: of these."""

    rig: int
    world: str
    book: Episode
    own: Episode
    count: int


@cache
def shop() -> Shop:
    return Shop.shipped()


def when_new(rig: FaultyRig) -> FaultyRig:
    """The same rig when it was new: sound, another charge, another air, other meter errors."""
    if isinstance(rig, other_world.OtherTruth):
        well = rig.site.sound
        return replace(rig, site=Site(well, well, well, HOLDS, HOLDS), seed=(*rig.seed, 1))
    assert isinstance(rig, Truth)
    model, seed = rig.scene.model, (*rig.seed, 1)
    random = np.random.default_rng(seed)
    batch = rig.scene.sound
    for name in MOVED:
        batch = batch.with_values({name: batch[name] * np.exp(random.normal(0, FACES))})
    day = {
        "battery.voltage": batch["battery.voltage"] + random.normal(0, CHARGE),
        "ambient": batch["ambient"] + random.normal(0, AIR),
    }
    batch = batch.with_values(day)
    sound = rig.sound_scene
    scene = OwnScene(Circuits(model, batch), sound.main_history, sound.control_history, batch)
    return Truth(rig.modes, rig.variant, scene, seed)


def recorded(bench: Bench, rig: FaultyRig, tests: tuple[Test, ...]) -> CommissioningRecord:
    """What was written down on the day the rig was new."""
    return CommissioningRecord().with_day(NEW, read_by(bench, when_new(rig), tests))


def read_by(bench: Bench, rig: FaultyRig, tests: tuple[Test, ...]) -> list[Measured]:
    """These readings with the meter's error and no other, but for those that nobody can take, or
    that cannot be."""
    careful, book, found = Person(wrong=0.0), bench.shop.catalogue, list[Measured]()
    for test in tests:
        said = rig.answer(careful, test, book)
        with suppress(DiagnoseError):
            if said is not None:
                reading = test.entry.reading  # type: ignore[union-attr]
                found.append(check_reading(book, bench.rig, reading, said))
    return found


def drawn(bench: Bench, mode: str, seed: tuple[int, ...], world: str) -> FaultyRig:
    """A rig with this failure mode."""
    if world == OTHER_WORLD:
        return other_world.draw(bench.rig, (mode,), seed)
    return faulty(bench.model, [bench.shop.catalogue.failure_modes[mode]], seed)


def twice(bench: Bench, number: int, case: int, world: str, person: Person) -> Twice | None:
    """One case, played both ways; None where nobody would complain of such a fault."""
    h = bench.hypotheses
    random = np.random.default_rng((7, number, case))
    mode = h.modes[pick(random, np.bincount(h.mode, h.weight, len(h.modes)).astype(float))]
    if world == OTHER_WORLD and not other_world.makes((mode,)):
        return None
    tests = select_readings(bench.shop.catalogue, bench.model)
    for attempt in range(TRIES):
        rig = drawn(bench, mode, (7, number, case, attempt), world)
        try:
            plain = play(Walk(bench), rig, person, POLICIES["own"])
        except NoComplaint:
            continue
        own = recorded(bench, rig, tests)
        known = Bench.for_rig(bench.rig, shop(), own=own)
        return Twice(
            number, world, plain, play(Walk(known), rig, person, POLICIES["own"]), own.count
        )
    return None


@dataclass(frozen=True)
class Task:
    """The cases of one invented rig."""

    rig: int
    cases: int
    world: str
    wrong: float


def on_one_rig(task: Task) -> list[Twice]:
    """Its cases, those left out that nobody would complain of."""
    bench = Bench.for_rig(invented_rig(7, task.rig), shop())
    found = []
    for case in range(task.cases):
        found.append(twice(bench, task.rig, case, task.world, Person(task.wrong)))
        gc.collect()  # benches refer to themselves
    return [one for one in found if one]


def tasks(cases: int, rigs: int, world: str = HOME, wrong: float = 0.05) -> list[Task]:
    """So many cases over so many invented rigs."""
    return [Task(rig, count, world, wrong) for rig, count in enumerate(spread(cases, rigs))]
