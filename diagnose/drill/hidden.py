"""The fault that is hidden: which way of failing, how far gone, and what there is to be seen."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.records import Catalogue, Observation
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.trial_signs import SIGNS
from diagnose.reasoning.hypotheses import Variant, variants_of
from diagnose.simulate.draw import as_found, sound_rig
from diagnose.simulate.truth import Person, Truth, pick, shares
from diagnose.units import read_quantity

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

OFTEN = ("often", "usually", "nearly-always", "always")
COMES_AND_GOES = ("at-random-with-movement", "after-minutes-until-cool")


@dataclass(frozen=True)
class Level:
    """How hard a drill is.

    severity: from, to, on the scale of the book (0 mild, 1 severe); mismatch: how far the rig may
    differ from its rig file (simulate.truth); plain: everything is as the fault most often has it,
    or else a look may show what is rarer
    """

    number: int
    name: str
    severity: tuple[float, float]
    mismatch: float
    plain: bool


LEVELS = (
    Level(1, "one clear fault", (0.6, 1.0), 0.4, plain=True),
    Level(2, "look-alikes", (0.2, 1.0), 0.7, plain=True),
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
    chosen = [one[pick(random, np.array([v.share for v in one]))] for one in variants]
    drawn = [(variant, random.uniform(*level.severity)) for variant in chosen]
    left = [(variant, severity) for variant, severity in drawn if variant.mode not in mended]
    variants_left, severities = [one for one, _ in left], [one for _, one in left]
    return as_found(sound, variants_left, severities, bench.model, random, seed)


def may_stray(entry: Observation) -> bool:
    """Whether chance may have a word in an answer: in what is told, and what is looked at from
    outside. What is opened, tried or felt under power shows what is there."""
    return entry.way in ("told", "look") and not entry.opens


def seen_there(truth: Truth, entry: Observation, book: Catalogue, plain: bool) -> str:
    """What a look, a listen or a try finds; plain: the likeliest, else as it comes, where it may
    stray."""
    if plain or not may_stray(entry):
        return usual(truth, entry, book)
    found = _answerable(entry, truth.chances(entry, book))
    random = np.random.default_rng([*truth.seed, *entry.id.encode()])
    return tuple(entry.options)[pick(random, np.where(found < SLIP * found.max(), 0.0, found))]


def usual(truth: Truth, entry: Observation, book: Catalogue) -> str:
    """What most rigs show that have what is hidden here: by the fault's own words, or else by this
    very circuit."""
    words = truth.variant.shows.get(entry.id, {})
    if not words and entry.predicted and entry.id in SIGNS:
        found = np.asarray(SIGNS[entry.id](truth.scene)[:, 0])
    else:
        found = shares(words, entry, book)
    return tuple(entry.options)[int(np.argmax(_answerable(entry, found)))]


def _answerable(entry: Observation, found: Array) -> Array:
    return np.asarray(np.where([one in NO_ANSWER for one in entry.options], 0.0, found))


def read_there(truth: Truth, reading: Reading, book: Catalogue, attempt: int) -> str:
    """What the meter shows, with its unit; taken anew at each attempt."""
    random = np.random.default_rng([*truth.seed, *str(reading).encode(), attempt])
    text = truth.shown(reading, book, random, AVERAGED)
    return _on_display(read_quantity(text, "V")) if reading.quantity == "voltage" else text


def _on_display(volts: float) -> str:
    """Volts as a multimeter shows them: whole millivolts below one volt, else hundredths."""
    return f"{1000 * volts:.0f} mV" if abs(volts) < 1 else f"{volts:.2f} V"
