"""Answers that the book thinks impossible, and answers that say nothing.

A failure mode that never shows what its neighbours on the same part show is either impossible to
see so, and says why (`never_shows`), or it was forgotten.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.records import holds
from diagnose.circuit.parameters import Array

NEVER = 0.02
"""Chance below which a failure mode does not show an answer; estimate."""

NEIGHBOUR = 0.3
"""Chance from which one on the same part does, so that the other might; estimate."""

TELLING = 3.0
"""Chance of an answer under the failure mode that shows it most, over its `otherwise`; below it
the answer says nothing; estimate."""

Answer = tuple[str, str]
"""An observation and one of its answers."""


@dataclass(frozen=True)
class Never:
    """An answer that these failure modes of a group never show, while `like` do."""

    answer: Answer
    group: str
    modes: tuple[str, ...]
    like: tuple[str, ...]


def shown(rigs: Mapping[str, Bench]) -> dict[Answer, dict[str, float]]:
    """Chance of every abnormal answer under every failure mode, on the rig that shows it most."""
    found: dict[Answer, dict[str, float]] = defaultdict(dict)
    for bench in rigs.values():
        for name, observation in bench.shop.catalogue.observations.items():
            if not observation.otherwise or not holds(observation.applies, bench.hypotheses.facts):
                continue
            plain = _by_mode(bench, bench.predictions.plain(name))
            usual = max(observation.otherwise, key=lambda one: observation.otherwise[one])
            for option, row in zip(observation.options, plain, strict=True):
                for mode, chance in zip(bench.hypotheses.modes, row, strict=True):
                    if option != usual:
                        most = found[name, option].get(mode, 0.0)
                        found[name, option][mode] = max(most, float(chance))
    return dict(found)


def _by_mode(bench: Bench, plain: Array) -> Array:
    """Chances of the answers under each failure mode; (options, modes)."""
    hypotheses = bench.hypotheses
    first = np.flatnonzero(np.diff(hypotheses.mode, prepend=-1))
    weight = np.add.reduceat(hypotheses.weight, first)
    summed = np.add.reduceat(plain * hypotheses.weight, first, axis=1)
    return np.asarray(summed / weight)


def never(rigs: Mapping[str, Bench]) -> Iterator[Never]:
    """Answers that part of a group shows and part of it never, without a word why."""
    book = next(iter(rigs.values())).shop.catalogue.failure_modes
    for answer, chances in shown(rigs).items():
        groups: dict[str, list[str]] = defaultdict(list)
        for mode in chances:
            groups[book[mode].group].append(mode)
        for group, modes in groups.items():
            like = tuple(mode for mode in modes if chances[mode] >= NEIGHBOUR)
            silent = (mode for mode in modes if chances[mode] < NEVER)
            left = tuple(mode for mode in silent if not _told(book[mode].never_shows, answer))
            if like and left:
                yield Never(answer, group, left, like)


def _told(reasons: Mapping[str, Mapping[str, str]], answer: Answer) -> bool:
    observation, option = answer
    return option in reasons.get(observation, {})


def says_nothing(rigs: Mapping[str, Bench]) -> Iterator[tuple[Answer, float]]:
    """Abnormal answers that no failure mode shows much more often than a sound rig, and how often
    the one that shows it most does."""
    observations = next(iter(rigs.values())).shop.catalogue.observations
    for (name, option), chances in shown(rigs).items():
        usual, most = observations[name].otherwise[option], max(chances.values())
        if not observations[name].predicted and most < TELLING * usual:
            yield (name, option), most / usual
