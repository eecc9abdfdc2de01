"""Drills played by the walk itself, and by one who measures at random: what a drill is worth.

The first finds nearly all clear faults. The second has the same minutes, and the same ranking to
conclude by; what it lacks is the choice of what to measure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.drill.choosing import drawn
from diagnose.drill.path import Path, followed
from diagnose.drill.scenario import Scenario
from diagnose.simulate.policies import Policy
from diagnose.walkthrough import Question, Walk


@dataclass(frozen=True)
class Played:
    """One drill and the two ways through it."""

    scenario: Scenario
    expert: Path
    random: Path


def played(bench: Bench, level: int, seeds: range, group: str = "") -> Iterator[Played]:
    """The drills of these seeds. Raises UnknownName or NothingToDrill."""
    for seed in seeds:
        here = drawn(bench, level, seed, group)
        expert = followed(here)
        yield Played(here, expert, followed(here, at_random(seed, expert.minutes)))


def at_random(seed: int, minutes: float) -> Policy:
    """A policy that makes any test that the rules allow, until the minutes are spent."""
    random = np.random.default_rng(seed)

    def question(walk: Walk) -> Question | None:
        allowed = walk.allowed(walk.conclusions())
        if walk.minutes >= minutes or not allowed:
            return None
        return walk.ask(allowed[int(random.integers(len(allowed)))])

    return question
