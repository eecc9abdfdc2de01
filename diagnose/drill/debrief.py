"""After the conclusion: what was hidden, what each act was worth, and the way that was advised."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.circuit.meter import Reading
from diagnose.design.volt_plot import Level, way_round
from diagnose.drill.choices import Conclusion
from diagnose.drill.marks import Score, score
from diagnose.drill.moves import Move, moves, provable_from
from diagnose.drill.path import Path, advised
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Session
from diagnose.reasoning.available_tests import Test


@dataclass(frozen=True)
class Stray:
    """An answer that was chance: what was found, and what most rigs with this fault show."""

    test: str
    found: str
    usual: str


@dataclass(frozen=True)
class Debrief:
    """A drill that has ended.

    provable: the number of the act, from 1, from which on the cause was provable to the end; 0
    when the complaint was enough, None when it never was; volts: along the circuit while called,
    sound and as it was; missing: where it never was, the test that would have settled most;
    strays: answers that were chance
    """

    session: Session
    conclusion: Conclusion
    score: Score
    moves: tuple[Move, ...]
    provable: int | None
    path: Path
    volts: tuple[Level, ...]
    missing: Test | None
    strays: tuple[Stray, ...] = ()

    @property
    def scenario(self) -> Scenario:
        return self.session.scenario


def debrief(session: Session, conclusion: Conclusion) -> Debrief:
    """Everything that is to be said about a drill. It takes some seconds: the whole advised path
    is walked."""
    scenario = session.scenario
    made, path = moves(scenario, session.found), advised(scenario)
    provable = provable_from(scenario, made)
    return Debrief(
        session=session,
        conclusion=conclusion,
        score=score(session, conclusion, made, path),
        moves=made,
        provable=provable,
        path=path,
        volts=tuple(_level(scenario, point) for point in way_round(scenario.bench.rig)),
        missing=_best(session) if provable is None else None,
        strays=tuple(_strays(session)),
    )


def _strays(session: Session) -> Iterator[Stray]:
    """Every answer that was chance, of those that were told and those that were found."""
    scenario = session.scenario
    tests = scenario.bench.tests
    answers = dict(scenario.told.seen) | {one.test.id: one.answer for one in session.found}
    for name, answer in answers.items():
        if name in tests and (most := scenario.strayed(tests[name], answer)):
            yield Stray(name, answer, most)


def _best(session: Session) -> Test | None:
    """The test that would have taught most a minute when the trainee concluded."""
    worths = session.walk.worths(session.walk.belief())
    return worths[0].test if worths else None


def _level(scenario: Scenario, point: str) -> Level:
    """Volts of a point against battery-, sound and with what was hidden."""
    if point == "battery-":
        return Level(point, 0.0, 0.0)
    reading = Reading("voltage", (point, "battery-"), "calling")
    faulty = float(scenario.truth.scene.circuits.predict(reading)[0][0])
    return Level(point, scenario.bench.healthy.expected(reading).value, faulty)
