"""What the walk itself would have done in the trainee's place, step by step; and what a drill is
worth: the same minutes by one who measures at random, who finds far fewer of the clear faults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from diagnose.bench import Bench
from diagnose.drill.choosing import drawn
from diagnose.drill.moves import sure_of
from diagnose.drill.scenario import Scenario, chance_of, mended
from diagnose.drill.session import take_down
from diagnose.outcome import leading
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.pairs import weigh_pairs
from diagnose.simulate.policies import Policy, make_safe, own
from diagnose.walkthrough import Question, Walk


@dataclass(frozen=True)
class Step:
    """One test of a path. answer, item: what was found, as it was said and as a finding; before,
    after: probability of the repairs of what is hidden; leader: in front afterwards."""

    question: Question
    answer: str
    item: Evidence | None
    before: float
    after: float
    leader: str

    @property
    def why(self) -> str:
        return " ".join(self.question.entry.why.split())

    @property
    def minutes(self) -> float:
        return self.question.minutes


@dataclass(frozen=True)
class Path:
    """A way through a drill. ranking: at its end, two faults at once considered; cause: named
    first there; right: whether its repair mends what is hidden, or a part of it; sure: how sure the
    ranking is of all that is hidden (moves.sure_of); then: the way on to a second fault, once the
    first is mended."""

    steps: tuple[Step, ...]
    ranking: tuple[tuple[str, float], ...]
    cause: str
    repair: str
    right: bool
    sure: float
    then: Path | None = None

    @property
    def minutes(self) -> float:
        """Of all its steps, those to a second fault too."""
        return sum(step.minutes for step in self.steps) + (self.then.minutes if self.then else 0.0)


def advised(scenario: Scenario) -> Path:
    """The walk's own way to all that is hidden: where its repair leaves a fault in the rig, the
    way on from there."""
    path = followed(scenario)
    rest = mended(scenario, path.repair)
    return replace(path, then=followed(rest)) if rest else path


def followed(scenario: Scenario, policy: Policy = own) -> Path:
    """The whole way of a policy to its end, answered by the rig; without one, the walk's own."""
    walk, steps = scenario.walk(), list[Step]()
    before = chance_of(walk.belief(), scenario)
    make_safe(walk)
    while question := policy(walk):
        attempt = sum(step.question.id == question.id for step in steps)
        answer = scenario.answer(question.test, attempt)
        item = take_down(walk, question, answer)
        belief = walk.belief()
        after = chance_of(belief, scenario)
        leader, _ = leading(scenario.bench, belief.ranking)
        steps.append(Step(question, answer, item, before, after, leader))
        before = after
        make_safe(walk)
    belief = walk.belief()
    ranking = weigh_pairs(scenario.bench.predictions, belief).ranking
    cause, repair = leading(scenario.bench, ranking)
    right, sure = repair in scenario.repairs, sure_of(scenario, belief)
    return Path(tuple(steps), ranking, cause, repair, right, sure)


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
