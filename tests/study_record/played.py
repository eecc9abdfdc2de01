"""Faults on rigs with and without a commissioning record, each played twice by the same person."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import numpy as np

from diagnose.bench import Bench, Shop
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import Circuits
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Measured, measured
from diagnose.reasoning.next_test import Test
from diagnose.reasoning.own_readings import OwnReadings
from diagnose.reasoning.worth_recording import worth_recording
from diagnose.study.other_world.site import HOLDS, Site
from diagnose.study.other_world.world import OtherTruth, OtherWorld
from diagnose.study.plan import HOME, OTHER_WORLD
from diagnose.study.play import FaultyRig, Played, Unnoticed, play
from diagnose.study.policies import POLICIES
from diagnose.study.rigs import invented_rig
from diagnose.study.telling import AtHome
from diagnose.study.truth import AIR, CHARGE, OwnScene, Person, Truth, faulty, picked
from diagnose.walkthrough import Walk

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
    book: Played
    own: Played
    count: int


@cache
def shop() -> Shop:
    return Shop.shipped()


def when_new(rig: FaultyRig) -> FaultyRig:
    """The same rig when it was new: sound, another charge, another air, other meter errors."""
    if isinstance(rig, OtherTruth):
        well = rig.site.sound
        return replace(rig, site=Site(well, well, well, HOLDS, HOLDS), seed=(*rig.seed, 1))
    assert isinstance(rig, AtHome)
    truth = rig.truth
    model, seed = truth.scene.model, (*truth.seed, 1)
    random = np.random.default_rng(seed)
    batch = truth.scene.sound
    for name in MOVED:
        batch = batch.with_values({name: batch[name] * np.exp(random.normal(0, FACES))})
    day = {
        "battery.voltage": batch["battery.voltage"] + random.normal(0, CHARGE),
        "ambient": batch["ambient"] + random.normal(0, AIR),
    }
    batch = batch.with_values(day)
    sound = truth.sound_scene
    scene = OwnScene(Circuits(model, batch), sound.main_history, sound.control_history, batch)
    return AtHome(Truth(truth.modes, truth.variant, scene, seed))


def recorded(bench: Bench, rig: FaultyRig, person: Person, tests: tuple[Test, ...]) -> OwnReadings:
    """What that person wrote down on the day the rig was new."""
    new, book = when_new(rig), bench.shop.catalogue
    found = [_read(new, person, test, book, bench) for test in tests]
    return OwnReadings().with_day(NEW, [item for item in found if item])


def _read(
    new: FaultyRig, person: Person, test: Test, book: Catalogue, bench: Bench
) -> Measured | None:
    """One reading, or None where nobody can take it, or it cannot be."""
    said = new.answer(person, test, book)
    if said is None:
        return None
    try:
        return measured(book, bench.rig, test.entry.reading, said)  # type: ignore[union-attr]
    except DiagnoseError:
        return None


def drawn(bench: Bench, mode: str, seed: tuple[int, ...], world: str) -> FaultyRig:
    """A rig with this failure mode."""
    if world == OTHER_WORLD:
        return OtherWorld().draw(bench.rig, (mode,), seed)
    return AtHome(faulty(bench.model, [bench.shop.catalogue.failure_modes[mode]], seed))


def twice(bench: Bench, number: int, case: int, world: str, person: Person) -> Twice | None:
    """One case, played both ways; None where nobody would complain of such a fault."""
    h = bench.hypotheses
    random = np.random.default_rng((7, number, case))
    mode = h.modes[picked(random, np.bincount(h.mode, h.weight, len(h.modes)).astype(float))]
    if world == OTHER_WORLD and not OtherWorld().makes((mode,)):
        return None
    tests = worth_recording(bench.shop.catalogue, bench.model)
    for attempt in range(TRIES):
        rig = drawn(bench, mode, (7, number, case, attempt), world)
        try:
            plain = play(Walk(bench), rig, person, POLICIES["own"])
        except Unnoticed:
            continue
        own = recorded(bench, rig, person, tests)
        known = Bench.for_rig(bench.rig, shop(), own=own)
        return Twice(
            number, world, plain, play(Walk(known), rig, person, POLICIES["own"]), own.count
        )
    return None


def played(cases: int, rigs: int, world: str = HOME, wrong: float = 0.05) -> Iterator[Twice]:
    """So many cases over so many invented rigs."""
    for number in range(rigs):
        bench = Bench.for_rig(invented_rig(7, number), shop())
        for case in range(cases * (number + 1) // rigs - cases * number // rigs):
            found = twice(bench, number, case, world, Person(wrong))
            if found:
                yield found
