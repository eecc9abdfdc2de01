"""The fault that is hidden: which way of failing, how far gone, and what there is to be seen."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.records import Catalogue, Observation
from diagnose.circuit.meter import Reading
from diagnose.reasoning.hypotheses import Variant, variants_of
from diagnose.study.telling import chances, shown
from diagnose.study.truth import Person, Truth, as_found, picked, sound_rig

OWN_EYES = Person(wrong=0.0, unsure=0.0)
"""A trainee sees what there is; only the meter errs."""

AVERAGED = 0.2
"""Where a contact chatters, the meter shows an average that wanders by this share of the spread
between its two values; estimate."""

NO_ANSWER = ("not-tried",)
"""Answers that nobody gives who has just tried it."""

SLIP = 0.1
"""An answer with less than this share of the likeliest one's chance is a slip of eye or ear, which
the book allows for and a drill does not make."""

OFTEN = ("often", "usually", "nearly-always")
COMES_AND_GOES = ("at-random-with-movement", "after-minutes-until-cool")


@dataclass(frozen=True)
class Level:
    """How hard a drill is.

    severity: from, to, on the scale of the book (0 mild, 1 severe); mismatch: how far the rig may
    differ from its rig file (study.truth); plain: looks are those that the book calls likeliest
    """

    number: int
    name: str
    severity: tuple[float, float]
    mismatch: float
    plain: bool


LEVELS = (
    Level(1, "one clear fault", (0.6, 1.0), 0.4, plain=True),
    Level(2, "look-alikes", (0.2, 1.0), 0.7, plain=False),
    Level(3, "intermittent and double faults", (0.3, 1.0), 0.7, plain=False),
)
"""What the levels differ in; a choice of the drill, not a figure of the trade."""


def comes_and_goes(variant: Variant) -> bool:
    """Whether a fault is there at one moment and gone at the next."""
    changes = [change for effect in variant.effects for change in effect.changes]
    pattern = variant.shows.get("time-pattern", {})
    return any(change.parameter.endswith(".flutter") for change in changes) or any(
        pattern.get(option) in OFTEN for option in COMES_AND_GOES
    )


def ways(bench: Bench, mode: str, level: Level, alone: bool) -> tuple[Variant, ...]:
    """The variants of a failure mode that suit a level, alone or beside another fault; none where
    it has none."""
    found = variants_of(bench.shop.catalogue.failure_modes[mode], bench.rig)
    if level.number == 1:
        return tuple(variant for variant in found if not comes_and_goes(variant))
    if level.number == 3 and alone:
        return tuple(variant for variant in found if comes_and_goes(variant))
    return found


def hide(
    bench: Bench,
    variants: Sequence[Sequence[Variant]],
    level: Level,
    seed: tuple[int, ...],
    mended: Collection[str] = (),
) -> Truth:
    """A rig with one variant out of each set, each at a severity of its own; mended: failure modes
    among them that have been put right since."""
    random = np.random.default_rng(seed)
    sound = sound_rig(bench.model, random, level.mismatch)
    chosen = [one[picked(random, np.array([v.share for v in one]))] for one in variants]
    drawn = [(variant, random.uniform(*level.severity)) for variant in chosen]
    left = [(variant, severity) for variant, severity in drawn if variant.mode not in mended]
    variants_left, severities = [one for one, _ in left], [one for _, one in left]
    return as_found(sound, variants_left, severities, bench.model, random, seed)


def seen_there(truth: Truth, entry: Observation, book: Catalogue, plain: bool) -> str:
    """What a look, a listen or a try finds; plain: the likeliest, else as it comes."""
    options = tuple(entry.options)
    shares = chances(truth, entry, book)
    shares = np.where([option in NO_ANSWER for option in options], 0.0, shares)
    if plain:
        return options[int(np.argmax(shares))]
    random = np.random.default_rng([*truth.seed, *entry.id.encode()])
    return options[picked(random, np.where(shares < SLIP * shares.max(), 0.0, shares))]


def read_there(truth: Truth, reading: Reading, book: Catalogue, attempt: int) -> str:
    """What the meter shows, with its unit; taken anew at each attempt."""
    random = np.random.default_rng([*truth.seed, *str(reading).encode(), attempt])
    return shown(truth, reading, book, random, AVERAGED)
