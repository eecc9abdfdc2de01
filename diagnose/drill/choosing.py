"""Which fault is hidden: by level, by component group, or out of what somebody gets wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice
from zlib import crc32

import numpy as np

from diagnose.bench import Bench
from diagnose.drill.hidden import LEVELS, ways
from diagnose.drill.scenario import (
    NothingToDrill,
    Scenario,
    Ticket,
    chance_of,
    noticed,
    scenario,
)
from diagnose.errors import UnknownName, nearest
from diagnose.reasoning.posterior import posterior

Weights = Mapping[str, float]
"""Failure modes to how much a trainee needs them."""

DRAWS = 40
"""Failure modes, or pairs of them, that are tried for one drill."""

LOOKED_AT = 6
"""Severities of one fault that are tried for one that its level asks for."""

CLEARLY = 4.0
"""A look-alike more than so much likelier than the fault itself makes a drill no easy one."""


def drawn(bench: Bench, level: int, seed: int, group: str = "") -> Scenario:
    """A drill of a level, the same for the same seed on the same rig.

    group: a component group, "" for all. Raises UnknownName or NothingToDrill.
    """
    random = np.random.default_rng([seed, level, crc32(repr(bench.rig).encode())])
    names = _names(bench, group)
    for modes in islice(_draws(bench, level, names, random), DRAWS):
        for found in islice(noticed(bench, Ticket(level, modes, seed)), LOOKED_AT):
            if _suits(found):
                return found
    raise NothingToDrill(_nothing(level, group))


def again(bench: Bench, level: int, seed: int, weights: Weights) -> Scenario:
    """A drill of a failure mode that a trainee needs. Raises NothingToDrill."""
    here = {mode: weights[mode] for mode in bench.hypotheses.modes if weights.get(mode, 0) > 0}
    if not here:
        raise NothingToDrill(
            "Nothing that was drilled before is due on this rig; take a level or another rig."
        )
    return given(bench, level, seed, _one(here, np.random.default_rng(seed)))


def given(bench: Bench, level: int, seed: int, mode: str) -> Scenario:
    """A drill of one failure mode, by its id. Raises UnknownName or NothingToDrill."""
    known = bench.shop.catalogue.failure_modes
    if mode not in known:
        raise UnknownName("failure mode", mode, None, nearest(mode, known))
    return scenario(bench, Ticket(level, (mode,), seed))


def _nothing(level: int, group: str) -> str:
    of = f" in the group {group}" if group else ""
    return f"This rig has no fault{of} for level {level}, {LEVELS[level - 1].name}; take another."


def groups(bench: Bench) -> tuple[str, ...]:
    """The component groups with a failure mode that this rig can have."""
    book = bench.shop.catalogue.failure_modes
    return tuple(dict.fromkeys(book[mode].group for mode in bench.hypotheses.modes))


def _names(bench: Bench, group: str = "") -> dict[str, float]:
    """Failure modes to draw from. Rare faults come more often than in the field: their prior
    counts with its square root."""
    book = bench.shop.catalogue.failure_modes
    if group and group not in groups(bench):
        known = groups(bench)
        raise UnknownName("component group", group, None, nearest(group, known), known)
    prior = np.bincount(bench.hypotheses.mode, bench.hypotheses.weight)
    return {
        mode: float(np.sqrt(prior[i]))
        for i, mode in enumerate(bench.hypotheses.modes)
        if group in ("", book[mode].group)
    }


def _draws(
    bench: Bench, level: int, names: Mapping[str, float], random: np.random.Generator
) -> Iterator[tuple[str, ...]]:
    """Failure modes one after the other; on level 3 as often two that do not follow from each
    other."""
    everything = _names(bench)
    alone = {n: p for n, p in names.items() if ways(bench, n, LEVELS[level - 1], alone=True)}
    while names:
        if level == 3 and (not alone or random.random() < 0.5):
            first, second = _one(names, random), _one(everything, random)
            if _independent(bench, first, second):
                yield (first, second)
        elif alone:
            yield (_one(alone, random),)
        else:
            return


def _one(names: Mapping[str, float], random: np.random.Generator) -> str:
    chances = np.array(list(names.values()))
    return tuple(names)[int(random.choice(len(chances), p=chances / chances.sum()))]


def _independent(bench: Bench, first: str, second: str) -> bool:
    """Whether two failure modes are of different groups and neither is the other's result."""
    a, b = (bench.shop.catalogue.failure_modes[mode] for mode in (first, second))
    return a.group != b.group and a.id not in b.result_of and b.id not in a.result_of


def _suits(found: Scenario) -> bool:
    """Whether a drill is one of its level."""
    if found.level.number == 1:
        return _is_clear(found)
    if found.level.number == 2:
        return _look_alike_odds(found) >= 1
    return len(found.truth.modes) == 1 or _both_show(found)


def _is_clear(found: Scenario) -> bool:
    """Whether nothing that the fault is mistaken for is far likelier after the complaint, and
    whoever made every test would be sure of its repair."""
    if _look_alike_odds(found) > CLEARLY:
        return False
    bench = found.bench
    belief = posterior(bench.predictions, tuple(found.everything()))
    return chance_of(belief, found) >= bench.model.figures.get("stop-at")


def _look_alike_odds(found: Scenario) -> float:
    """How much likelier the likeliest look-alike is after the complaint; 0 without any."""
    bench, true = found.bench, found.truth.modes[0]
    here = dict(posterior(bench.predictions, found.findings()).ranking)
    alike = (here.get(name, 0.0) for name in look_alikes(bench, true))
    return max(alike, default=0.0) / max(here[true], 1e-9)


def look_alikes(bench: Bench, mode: str) -> tuple[str, ...]:
    """Failure modes of this rig that are taken for this one or it for them, mended otherwise."""
    book, repair = bench.shop.catalogue.failure_modes, bench.shop.repair
    return tuple(
        name
        for name in bench.hypotheses.modes
        if repair[name] != repair[mode]
        and (name in book[mode].mistaken_for or mode in book[name].mistaken_for)
    )


def _both_show(found: Scenario) -> bool:
    """Whether the pump moves, so that one fault does not simply hide the other, and each of them
    alone would be noticed."""
    ticket = found.ticket
    alone = (Ticket(ticket.level, (mode,), ticket.seed) for mode in found.truth.modes)
    moves = bool(found.truth.scene.operation("calling").turning[0])
    return moves and all(next(noticed(found.bench, one), None) for one in alone)
