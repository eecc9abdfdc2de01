"""What a trainee concludes, and the answers that are offered for it.

The answers follow from the cause that the trainee has named, right or wrong, so that they give
nothing away.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TypeVar
from zlib import crc32

import numpy as np

from diagnose.catalogue.records import FailureMode, ReadingEntry, holds
from diagnose.circuit.meter import Reading
from diagnose.drill.acts import Do, Stop, act_of
from diagnose.drill.choosing import look_alikes
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Session
from diagnose.drill.told import Trap, shipped_people
from diagnose.errors import DiagnoseError, UnknownName, nearest, quoted

T = TypeVar("T")
OFFERED = 4
"""Root causes offered, the right one among them."""

SHARED = 0.4
"""Share of the longer words from which two root causes may mean the same: the wrong answers have
to be wrong beyond dispute. A choice of the drill."""

WATER = ("plumbing", "pump")
"""Component groups of the water side."""

MOST_NAMED = 2
"""Causes that may be named; no drill hides more."""


class NotAVerification(DiagnoseError):
    """A repair is proved by a reading, and this is none."""


@dataclass(frozen=True)
class RootCause:
    """One answer offered: why it came about; of: the failure mode that it is a root cause of."""

    say: str
    of: str


@dataclass(frozen=True)
class Fix:
    """One answer offered: what to do; trap: what is wrong with it, if it only sounds right."""

    say: str
    repair: str
    trap: Trap | None = None


@dataclass(frozen=True)
class Form:
    """What is offered for the causes that a trainee has named."""

    causes: tuple[str, ...]
    root_causes: tuple[RootCause, ...]
    fixes: tuple[Fix, ...]


@dataclass(frozen=True)
class Conclusion:
    """What a trainee ends on. causes: failure modes, empty when they give up; the others None
    where nothing was said."""

    causes: tuple[str, ...] = ()
    root_cause: RootCause | None = None
    fix: Fix | None = None
    verify: Reading | None = None


def causes_of(text: str, scenario: Scenario) -> tuple[str, ...]:
    """One failure mode of the rig, or two with "and" between: ids, titles, or how they begin.

    Raises UnknownName.
    """
    parts = [part for part in text.lower().replace(",", " and ").split(" and ") if part.strip()]
    if not parts or len(parts) > MOST_NAMED:
        raise UnknownName("failure mode", text, None, None)
    return tuple(dict.fromkeys(_mode(part.strip(), scenario) for part in parts))


def _mode(text: str, scenario: Scenario) -> str:
    book, modes = scenario.bench.shop.catalogue.failure_modes, scenario.bench.hypotheses.modes
    name = "-".join(text.split())
    if name in modes:
        return name
    titled = [mode for mode in modes if book[mode].title.lower() == text]
    begun = titled or [mode for mode in modes if mode.startswith(name)]
    words = begun or [m for m in modes if all(w in _words(book[m]) for w in text.split())]
    if len(words) == 1:
        return words[0]
    near = nearest(name, modes) if not words else None
    raise UnknownName("failure mode", text, None, near, words)


def _words(mode: FailureMode) -> str:
    return f"{mode.id} {mode.title}".lower()


def form(scenario: Scenario, causes: Sequence[str]) -> Form:
    """The answers offered, in an order that says nothing; the same again for the same drill."""
    seed = (scenario.ticket.seed, *(crc32(cause.encode()) for cause in causes))
    random = np.random.default_rng(seed)
    book = scenario.bench.shop.catalogue.failure_modes
    named = book[causes[0]]
    others = _others(scenario, causes, random)
    reasons = [_reason(scenario, named, random)]
    wrong = (_wrong_reason(scenario, other, named, random) for other in others)
    reasons += islice(filter(None, wrong), OFFERED - 1)
    fixes = [_fix(named, random), _fix(next(o for o in others if o.repair != named.repair), random)]
    fixes += [Fix(trap.say, "", trap) for trap in shipped_people().traps.get(named.group, ())]
    return Form(tuple(causes), _shuffled(reasons, random), _shuffled(fixes, random))


def _shuffled(items: Sequence[T], random: np.random.Generator) -> tuple[T, ...]:
    return tuple(items[i] for i in random.permutation(len(items)))


def _others(
    scenario: Scenario, causes: Sequence[str], random: np.random.Generator
) -> list[FailureMode]:
    """Failure modes for wrong answers: what it is mistaken for first, then those of its half of the
    rig, electric or water; all with repairs other than those of the causes named."""
    bench, book = scenario.bench, scenario.bench.shop.catalogue.failure_modes
    repairs = {bench.shop.repair[cause] for cause in causes}
    alike = [name for cause in causes for name in look_alikes(bench, cause)]
    rest = [bench.hypotheses.modes[i] for i in random.permutation(len(bench.hypotheses.modes))]
    wet = book[causes[0]].group in WATER
    rest.sort(key=lambda name: (book[name].group in WATER) != wet)
    names = dict.fromkeys([*_shuffled(alike, random), *rest])
    return [book[name] for name in names if bench.shop.repair[name] not in repairs]


def _reason(scenario: Scenario, mode: FailureMode, random: np.random.Generator) -> RootCause:
    return RootCause(_one_of(behind(scenario, mode), random), mode.id)


def _wrong_reason(
    scenario: Scenario, mode: FailureMode, named: FailureMode, random: np.random.Generator
) -> RootCause | None:
    """A root cause of another failure mode that could not be one of the cause named; None where
    all of them could: those of its component group, of what it follows from, and alike in words."""
    if mode.group == named.group or mode.id in named.result_of:
        return None
    right = [_said(one.cause) for one in named.root_causes]
    clear = [say for say in behind(scenario, mode) if not any(_alike(say, one) for one in right)]
    return RootCause(_one_of(clear, random), mode.id) if clear else None


def _alike(a: str, b: str) -> bool:
    """Whether two texts share so many of their longer words that they may mean the same."""
    first, second = ({w for w in re.findall(r"[a-z]+", t.lower()) if len(w) > 3} for t in (a, b))
    return len(first & second) >= SHARED * min(len(first), len(second))


def _one_of(texts: Sequence[T], random: np.random.Generator) -> T:
    return texts[int(random.integers(len(texts)))]


def behind(scenario: Scenario, mode: FailureMode) -> tuple[str, ...]:
    """What brings a failure mode about on such a rig; all of the book where nothing fits it."""
    facts = scenario.bench.hypotheses.facts
    fitting = [one.cause for one in mode.root_causes if holds(one.when, facts)]
    return tuple(map(_said, fitting or [one.cause for one in mode.root_causes]))


def _said(text: str) -> str:
    """A text on one line and without its full stop, as one answer of several."""
    return " ".join(text.split()).rstrip(".")


def _fix(mode: FailureMode, random: np.random.Generator) -> Fix:
    """The repair in words, with one of the steps in the middle of it."""
    steps = mode.fix[1:-1] or mode.fix
    step = _said(_one_of(steps, random))
    return Fix(f"{mode.repair.replace('-', ' ').capitalize()}. {step}", mode.repair)


def verification(session: Session, typed: str) -> Reading:
    """The reading that is to prove the repair, typed as an act; not taken now.

    Raises NotAVerification, or what act_of raises.
    """
    bench, words = session.scenario.bench, session.words
    act = act_of(typed, bench, words, "calling")
    if act == Stop("ohms-on-live", dangerous=True):  # here it is only named, not done
        act = act_of(typed, bench, words, "isolated")
    if isinstance(act, Do) and isinstance(act.test.entry, ReadingEntry):
        return act.test.entry.reading
    example = "volts fuse holder asked to run"
    raise NotAVerification(f"{quoted(typed)} is no reading; say one, such as: {example}")


def proofs(scenario: Scenario) -> Iterator[Reading]:
    """The readings by which the book proves the repairs of what is hidden."""
    for mode in scenario.truth.modes:
        yield scenario.bench.shop.catalogue.failure_modes[mode].verify.reading
