"""What a drill was worth: marks for cause, root cause, fix, proof, minutes and safety.

The weights are a choice of the drill: half for what it was, half for how it was found and mended.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.reading_words import in_words
from diagnose.drill.choices import Conclusion, proofs
from diagnose.drill.moves import Move, needed, provable_from
from diagnose.drill.path import Path
from diagnose.drill.session import Session
from diagnose.reasoning.evidence import Measured

CAUSE, PROVEN, ROOT, FIX, VERIFY, MINUTES, SAFETY = 35, 10, 15, 10, 10, 10, 10
PER_DANGER, PER_SENSELESS = 5, 2
"""Marks that an act costs which had to be stopped."""

IN_TIME, TOO_LONG = 1.25, 3.0
"""Minutes over those of the advised path: up to the first in full, from the second on nothing."""

SKILLS = {
    "cause": "finding the cause",
    "proven": "proving it before the conclusion",
    "root-cause": "the cause behind the cause",
    "fix": "the right repair",
    "verify": "proving the repair",
    "minutes": "choosing what to measure",
    "safety": "working safely",
}


@dataclass(frozen=True)
class Mark:
    """One part of the score. skill: a key of SKILLS; why: one sentence."""

    skill: str
    got: float
    of: float
    why: str

    @property
    def share(self) -> float:
        return self.got / self.of


@dataclass(frozen=True)
class Score:
    """All marks of a drill."""

    marks: tuple[Mark, ...]

    @property
    def total(self) -> int:
        """Out of 100."""
        return round(sum(mark.got for mark in self.marks))

    @property
    def right(self) -> bool:
        """Whether everything that was hidden was named, and nothing else."""
        return self.marks[0].got == self.marks[0].of


def score(session: Session, conclusion: Conclusion, made: Sequence[Move], path: Path) -> Score:
    """The marks of a drill that has ended."""
    share = cause_share(session, conclusion)
    return Score(
        (
            _cause(session, conclusion, share),
            _proven(session, made, path, share),
            _root_cause(session, conclusion),
            _fix(session, conclusion),
            _verify(session, conclusion),
            _minutes(session, made, path, share),
            _safety(session, conclusion),
        )
    )


def cause_share(session: Session, conclusion: Conclusion) -> float:
    """Share of the causes that was found: common repairs over the larger of both lists."""
    repair = session.scenario.bench.shop.repair
    named = {repair[cause] for cause in conclusion.causes}
    true = session.scenario.repairs
    return len(named & true) / max(len(named), len(true))


def _cause(session: Session, conclusion: Conclusion, share: float) -> Mark:
    got = CAUSE * share
    if not conclusion.causes:
        return Mark("cause", 0, CAUSE, "No cause was named.")
    if set(conclusion.causes) == set(session.scenario.truth.modes):
        return Mark("cause", got, CAUSE, "That is what was hidden.")
    if share == 1:
        return Mark("cause", got, CAUSE, "Not the very one, but the same repair mends it.")
    if share == 0:
        return Mark("cause", 0, CAUSE, _missed(session, conclusion))
    alone = len(session.scenario.truth.modes) == 1
    part = "One of the two is right" if alone else "That is a part of what was hidden"
    return Mark("cause", got, CAUSE, f"{part}.")


def _missed(session: Session, conclusion: Conclusion) -> str:
    """Whether it was something else, or only the result of what was hidden."""
    book = session.scenario.bench.shop.catalogue.failure_modes
    behind = {name for cause in conclusion.causes for name in book[cause].result_of}
    if behind & set(session.scenario.truth.modes):
        return "That was the result; what brought it about is still there and will do it again."
    return "That was not it."


def is_proven(session: Session, made: Sequence[Move], path: Path) -> bool:
    """Whether the ranking is as sure of what was hidden as it has to be, or, where the advised
    path gets no further, as sure as that."""
    if provable_from(session.scenario, made) is not None:
        return True
    return bool(made) and path.sure < needed(session.scenario) and made[-1].after >= path.sure


def _proven(session: Session, made: Sequence[Move], path: Path, share: float) -> Mark:
    if share < 1:
        return Mark("proven", 0, PROVEN, "There is nothing to prove about another cause.")
    if provable_from(session.scenario, made) is not None:
        return Mark("proven", PROVEN, PROVEN, "What you found was enough to be sure.")
    if is_proven(session, made, path):
        return Mark("proven", PROVEN, PROVEN, "The advised path gets no surer than you were.")
    chance = made[-1].after if made else 0.0
    got = PROVEN * min(chance / needed(session.scenario), 1.0) / 2
    return Mark("proven", got, PROVEN, "Right, but from what you found it was partly a guess.")


def _root_cause(session: Session, conclusion: Conclusion) -> Mark:
    chosen = conclusion.root_cause
    if chosen is None:
        return Mark("root-cause", 0, ROOT, "No cause behind it was named.")
    if chosen.of in session.scenario.truth.modes:
        return Mark("root-cause", ROOT, ROOT, "It brings about what was hidden.")
    return Mark("root-cause", 0, ROOT, "It brings about another fault.")


def _fix(session: Session, conclusion: Conclusion) -> Mark:
    chosen = conclusion.fix
    if chosen is None:
        return Mark("fix", 0, FIX, "No repair was named.")
    if chosen.trap is not None:
        return Mark("fix", 0, FIX, f"It only sounds right: {chosen.trap.why}.")
    if chosen.repair in session.scenario.repairs:
        return Mark("fix", FIX, FIX, "It mends what was hidden.")
    return Mark("fix", 0, FIX, "It mends something else.")


def _verify(session: Session, conclusion: Conclusion) -> Mark:
    reading = conclusion.verify
    if reading is None:
        return Mark("verify", 0, VERIFY, "No reading was named that proves the repair.")
    if reading in proofs(session.scenario):
        return Mark("verify", VERIFY, VERIFY, f"{in_words(reading)} is the reading of the book.")
    if tells(session, reading):
        return Mark("verify", VERIFY, VERIFY, f"{in_words(reading)} tells mended from not mended.")
    said = f"{in_words(reading)} reads the same before and after the repair."
    return Mark("verify", 0, VERIFY, said)


def tells(session: Session, reading: Reading) -> bool:
    """Whether a reading is out of its sound band now, so that it proves the repair afterwards."""
    scene = session.scenario.truth.scene
    value = min(float(scene.circuits.predict(reading)[0][0]), LARGEST_OHMS)
    return session.scenario.bench.healthy.verdict(Measured(reading, value)) != "within"


def _minutes(session: Session, made: Sequence[Move], path: Path, share: float) -> Mark:
    over = session.minutes / max(path.minutes, 1.0)
    said = f"{session.minutes:.0f} min; the advised path takes {path.minutes:.0f}."
    if share < 1 or not is_proven(session, made, path):
        return Mark("minutes", 0, MINUTES, f"{said} Minutes count once the cause is proven.")
    got = MINUTES * min(max((TOO_LONG - over) / (TOO_LONG - IN_TIME), 0.0), 1.0)
    return Mark("minutes", got, MINUTES, said)


def dangers(session: Session, conclusion: Conclusion) -> int:
    """Acts that could have hurt somebody: those that were stopped, and a repair that would."""
    trap = conclusion.fix.trap if conclusion.fix else None
    return sum(one.dangerous for one in session.stopped) + bool(trap and trap.dangerous)


def _safety(session: Session, conclusion: Conclusion) -> Mark:
    dangerous = dangers(session, conclusion)
    senseless = sum(not one.dangerous for one in session.stopped)
    lost = PER_DANGER * dangerous + PER_SENSELESS * senseless
    why = " and ".join(_counted(dangerous, senseless)) or "Nothing had to be stopped"
    return Mark("safety", max(SAFETY - lost, 0), SAFETY, f"{why}.")


def _counted(dangerous: int, senseless: int) -> Iterator[str]:
    if dangerous:
        yield f"{dangerous} dangerous act{'s' * (dangerous > 1)}"
    if senseless:
        yield f"{senseless} that could show nothing"
