"""Six repairs from the first question to the cause behind the cause, by a person at a real rig.

The person knows a handful of plain facts about the rig (what its parts look like) and reads all
else from the circuit with the fault in it. Nothing is drawn by chance, and no answer is wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.catalogue.records import Observation
from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import LARGEST_OHMS, Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.scene import Scene
from diagnose.circuit.trial_signs import SIGNS
from diagnose.outcome import Result, conclude
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import Contradiction, Question, Walk

MOST = 30
"""Questions after which a walk that has not ended never will."""


@dataclass(frozen=True)
class Person:
    """Somebody at a faulty rig. changed: parameter to value, added to the sound one for joints;
    facts: answers to what no circuit can tell; whatever is not in them looks as it mostly does."""

    model: Model
    changed: Mapping[str, float]
    facts: Mapping[str, str]

    @cached_property
    def scene(self) -> Scene:
        """The rig with its fault, its fuses as they are most likely found."""
        sound = self.model.sound_batch()
        met = found(self.model, sound.with_values(dict(self.changed)))
        here = np.array([int(np.argmax(met.share))])
        meters = Circuits(self.model, met.batch.take(here))
        return Scene(meters, met.main[:, here], met.control[:, here])

    def says(self, question: Question) -> str:
        """The answer to any question, in the words that it asks for."""
        if question.reading:
            return self.reads(question.reading)
        assert isinstance(question.entry, Observation)
        return self.facts.get(question.id) or self.sees(question.entry)

    def reads(self, reading: Reading) -> str:
        value = float(self.scene.circuits.predict(reading)[0][0])
        if reading.quantity == "resistance" and value >= LARGEST_OHMS / 2:
            return "OL"
        return f"{value:.3f} {reading.unit}"

    def sees(self, entry: Observation) -> str:
        """What is likeliest: by the circuit where it can tell, else as it is on any rig."""
        options = tuple(entry.options)
        if entry.predicted and entry.id in SIGNS:
            return options[int(np.argmax(SIGNS[entry.id](self.scene)[:, 0]))]
        return max(options, key=lambda option: entry.otherwise.get(option, 0.0))


def repaired(bench: Bench, person: Person, told: Mapping[str, str]) -> Result:
    """A walk on a rig, asked and answered to its end. told: what is said of it at first."""
    walk = Walk(bench)
    walk.tell(Seen(name, option) for name, option in told.items())
    while question := walk.question():
        assert len(walk.steps) < MOST
        try:
            walk.answer(question, person.says(question))
        except Contradiction:
            walk.answer(question, person.says(question))
    return conclude(walk)


@dataclass(frozen=True)
class Repair:
    """One fault on a bundled rig, and what a walk has to come to.

    words: of the root cause, its mend or its prevention, all in one of the causes named.
    """

    rig: str
    changed: Mapping[str, float]
    facts: Mapping[str, str]
    cause: str
    words: tuple[str, ...]
    told: Mapping[str, str] = field(default_factory=dict)


REPAIRS = {
    "relay chatters because the fuse holder is corroded": Repair(
        "bowser",
        {"fuse_holder": 0.4},
        {"fuse-holder-look": "corroded", "onset": "gradually", "time-pattern": "when-wet"},
        "fuse-holder-corroded",
        ("behind the holder", "Replace the holder; the control feed stays behind it"),
    ),
    "dead pump with a burnt pressure switch on the direct rig": Repair(
        "mist-bench",
        {"pressure_switch": 60.0},
        {"pressure-switch-look": "burnt-or-melted", "onset": "gradually", "smell": "burnt"},
        "pressure-switch-burnt",
        ("switch carries the motor", "fit one that is rated for it, or a relay"),
        {"smell": "burnt"},
    ),
    "slow pump through a bad ground": Repair(
        "bowser",
        {"return_2": 0.15},
        {"ground-look": "corroded", "onset": "gradually"},
        "ground-resistive",
        ("paint", "Bright metal under the lug"),
    ),
    "float switch stuck open": Repair(
        "header-tank",
        {"float_switch": OPEN},
        {"onset": "after-long-storage"},
        "float-stuck-open",
        ("growth in the tank", "Free it"),
    ),
    "control fuse blown": Repair(
        "bowser",
        {"control_fuse": OPEN},
        {"wiring-look": "chafed", "onset": "suddenly"},
        "control-fuse-blown",
        ("chafed to the chassis", "Clear the short before a new fuse"),
    ),
    "battery with a dead cell": Repair(
        "header-tank",
        {"battery.voltage": 10.5, "battery.resistance": 0.06},
        {"onset": "suddenly", "last-charge": "soon-empty"},
        "battery-shorted-cell",
        ("cell",),
    ),
}


@pytest.mark.parametrize("name", REPAIRS)
def test_a_repair_ends_with_its_cause_and_the_cause_behind_it(
    name: str, bench_of: Callable[[str], Bench]
) -> None:
    repair = REPAIRS[name]
    bench = bench_of(repair.rig)

    result = repaired(bench, Person(bench.model, repair.changed, repair.facts), repair.told)

    assert result.cause == repair.cause
    assert result.ranking[0][0] == repair.cause
    told = [f"{c.cause} {c.mend} {c.prevention}" for c in result.root_causes]
    assert any(all(word in causes for word in repair.words) for causes in told), told
    assert result.verify is not None
    assert result.fix


RESULTS = {
    "jammed head": ("bowser", {"motor.locked": 1.0}, {"motor-turns-by-hand": "locked"}),
    "chafed feed": ("bowser", {"leak_feed": 0.05}, {"wiring-look": "chafed", "smoke": "seen"}),
    "chafed control wire": ("bowser", {"leak_control": 0.3}, {"wiring-look": "chafed"}),
    "hot holder": (
        "mist-bench",
        {"fuse_holder": 0.1, "main_fuse": OPEN},
        {"fuse-holder-look": "corroded", "main-fuse-history": "blows-after-days"},
        {"fuse-holder-look": "corroded"},
    ),
}
BLOWN = ("main-fuse-blown", "control-fuse-blown")


@pytest.mark.parametrize("name", RESULTS)
def test_a_walk_does_not_end_on_the_fuse_that_something_else_blew(
    name: str, bench_of: Callable[[str], Bench]
) -> None:
    rig, changed, facts, *told = RESULTS[name]
    bench = bench_of(rig)

    result = repaired(bench, Person(bench.model, changed, facts), dict(*told))

    assert result.cause not in BLOWN
    assert result.root_causes
