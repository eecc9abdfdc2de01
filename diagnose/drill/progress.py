"""What a trainee has seen, what was missed, and what is due again.

When a failure mode or a skill comes up again is worked out by the FSRS scheduler (package fsrs):
each drill is one review. Nothing of it is stored: the file of drills is replayed, so that a newer
scheduler can only change its mind about the future.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache

from fsrs import Card, Rating, Scheduler

from diagnose.drill.record import Drilled

RETENTION = 0.85
"""Share of faults that a trainee is to find again at their date; a choice of the drill."""

LONGEST_DAYS = 180
"""A fault comes back within a season, however well it is known [days]; a choice of the drill."""

WELL, FAIRLY = 0.9, 0.5
"""Shares of the marks from which a review counts as good, or as hard."""

OVERDUE, MISSED, NEVER = 6.0, 4.0, 1.0
"""How much more often something is drawn that is due, that was missed last time, or neither."""


@dataclass(frozen=True)
class Standing:
    """How it stands with one failure mode or skill.

    seen, missed: drills; share: of the marks, the last time; last, due: when; strength: chance that
    it would be found again today
    """

    name: str
    seen: int
    missed: int
    share: float
    last: datetime
    due: datetime
    strength: float

    def is_due(self, at: datetime) -> bool:
        return self.due <= at


@dataclass(frozen=True)
class Progress:
    """All of one trainee. modes, skills: by name, what is due first standing first."""

    drills: int
    right: int
    score: float
    dangers: int
    modes: tuple[Standing, ...]
    skills: tuple[Standing, ...]


@cache
def _scheduler() -> Scheduler:
    """Without steps of minutes and without chance: the same file gives the same dates."""
    return Scheduler(
        desired_retention=RETENTION,
        learning_steps=(),
        relearning_steps=(),
        maximum_interval=LONGEST_DAYS,
        enable_fuzzing=False,
    )


def rating(share: float) -> Rating:
    """What a share of the marks is as a review."""
    if share >= WELL:
        return Rating.Good
    return Rating.Hard if share >= FAIRLY else Rating.Again


def _standing(name: str, reviews: Sequence[tuple[datetime, float]], at: datetime) -> Standing:
    scheduler, card = _scheduler(), Card(card_id=0, due=reviews[0][0])
    for when, share in reviews:
        card, _ = scheduler.review_card(card, rating(share), when)
    return Standing(
        name=name,
        seen=len(reviews),
        missed=sum(share < FAIRLY for _, share in reviews),
        share=reviews[-1][1],
        last=reviews[-1][0],
        due=card.due,
        strength=scheduler.get_card_retrievability(card, max(at, reviews[-1][0])),
    )


def _standings(
    reviews: Mapping[str, Sequence[tuple[datetime, float]]], at: datetime
) -> tuple[Standing, ...]:
    found = (_standing(name, made, at) for name, made in reviews.items())
    return tuple(sorted(found, key=lambda one: (one.due, one.name)))


def _mode_reviews(drill: Drilled) -> Iterator[tuple[str, float]]:
    """Each failure mode that was hidden: found, a part of the marks, or missed."""
    for mode in drill.modes:
        named = 1.0 if drill.right or mode in drill.named else 0.0
        proven = drill.marks.get("proven", 1.0)
        yield mode, named * (1.0 if proven >= WELL else 0.7)


def progress(drills: Sequence[Drilled], at: datetime | None = None) -> Progress:
    """How a trainee stands at a time, now unless given."""
    at = at or datetime.now(UTC)
    modes: dict[str, list[tuple[datetime, float]]] = defaultdict(list)
    skills: dict[str, list[tuple[datetime, float]]] = defaultdict(list)
    for drill in drills:
        for mode, share in _mode_reviews(drill):
            modes[mode].append((drill.at, share))
        for skill, share in drill.marks.items():
            skills[skill].append((drill.at, share))
    return Progress(
        drills=len(drills),
        right=sum(drill.right for drill in drills),
        score=sum(drill.score for drill in drills) / max(len(drills), 1),
        dangers=sum(drill.dangers for drill in drills),
        modes=_standings(modes, at),
        skills=_standings(skills, at),
    )


def weak(found: Progress, at: datetime | None = None) -> dict[str, float]:
    """How often each failure mode seen should be drawn for "what I get wrong"; one that is neither
    due nor missed is left out as long as there are others. Empty when nothing was drilled."""
    at = at or datetime.now(UTC)
    needed = {
        one.name: (OVERDUE if one.is_due(at) else 0.0) + (MISSED if one.share < FAIRLY else 0.0)
        for one in found.modes
    }
    if any(needed.values()):
        return needed
    return {one.name: NEVER for one in found.modes}
