"""The tool's choice of questions against the exact optimum, on small parts of real rigs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.circuit.parameters import Array
from diagnose.reasoning.next_test import Test, cost, least_rate
from diagnose.study.noisy import NoisyProblem, Stop
from diagnose.study.optimum import Ints, Problem, bound, checking_cost, most_bits_per_cost

CAUSES, TESTS, NOISY_TESTS = 10, 10, 6
"""Sizes that can be computed exactly: plain problems, and fewer tests where answers mislead."""

OUTCOMES = 3
"""Outcomes of a test that are told apart where answers mislead; the rarer ones are joined."""

TRIES = 50


@dataclass(frozen=True)
class Regret:
    """Expected minutes of one subset. floor: no policy costs less; in_vain: without any test,
    repairs in falling probability; noisy_*: the same with answers that may mislead."""

    best: float
    tool: float
    floor: float
    noisy_best: float
    noisy_tool: float
    in_vain: float


@dataclass(frozen=True)
class _Part:
    """A few causes and tests of a rig. chances: of each test's outcomes under each cause."""

    p: Array
    repair: Ints
    tests: tuple[Test, ...]
    chances: tuple[Array, ...]
    cost: Array
    after: Ints


def _causes(bench: Bench, random: np.random.Generator) -> Ints:
    """Columns of different failure modes, drawn by their probability."""
    h = bench.hypotheses
    columns = random.choice(len(h), size=CAUSES * 20, p=h.weight / h.weight.sum())
    _, first = np.unique(h.mode[columns], return_index=True)
    return np.asarray(columns[np.sort(first)][:CAUSES], dtype=np.intp)


def _fewer(rows: Array) -> Array:
    """The same test with its rarest outcomes taken together."""
    if len(rows) <= OUTCOMES:
        return rows
    order = np.argsort(-rows.sum(axis=1), kind="stable")
    kept, rest = rows[order[: OUTCOMES - 1]], rows[order[OUTCOMES - 1 :]]
    return np.concatenate([kept, rest.sum(axis=0, keepdims=True)])


def _tables(bench: Bench, columns: Ints) -> dict[str, Array]:
    """Chances of every test on the rig that can tell some of these causes apart."""
    chances = bench.chooser.chances
    found = {}
    for test, a, b in zip(chances.tests, chances.start[:-1], chances.start[1:], strict=True):
        rows = chances.columns[columns, a:b].T
        rows = rows / rows.sum(axis=0)
        if len(np.unique(rows.argmax(axis=0))) > 1:
            found[test.id] = rows
    return found


def _prices(bench: Bench, tests: Sequence[Test]) -> tuple[Array, Ints]:
    """Minutes of each test by the state the rig is in, and the state it leaves."""
    states = ["calling", *sorted({test.state for test in tests} - {"calling", "off"})]
    figures = bench.model.figures
    price = [[cost(test, state, figures) for test in tests] for state in states]
    after = [
        [states.index(state if test.state == "off" else test.state) for test in tests]
        for state in states
    ]
    return np.array(price), np.array(after, dtype=np.intp)


def _part(bench: Bench, random: np.random.Generator) -> _Part | None:
    """Some causes and tests, or None where there are too few that tell them apart."""
    columns = _causes(bench, random)
    tables = _tables(bench, columns)
    if len(columns) < CAUSES or len(tables) < TESTS:
        return None
    names = random.choice(sorted(tables), size=TESTS, replace=False)
    tests = tuple(bench.tests[name] for name in names)
    h = bench.hypotheses
    prior = np.bincount(h.mode, h.weight)[h.mode[columns]]
    repairs = [bench.shop.repair[h.modes[mode]] for mode in h.mode[columns]]
    numbers = np.unique(repairs, return_inverse=True)[1].astype(np.intp)
    price, after = _prices(bench, tests)
    rows = tuple(tables[name] for name in names)
    return _Part(prior / prior.sum(), numbers, tests, rows, price, after)


def _plain(part: _Part) -> Problem:
    """The part as if every cause always gave its likeliest answer."""
    outcome = np.array([rows.argmax(axis=0) for rows in part.chances], dtype=np.intp)
    return Problem(part.p, part.repair, outcome, part.cost, part.after)


def _noisy(part: _Part, vain: float, stop: Stop) -> NoisyProblem:
    fewer = tuple(_fewer(rows) for rows in part.chances[:NOISY_TESTS])
    price, after = part.cost[:, :NOISY_TESTS], part.after[:, :NOISY_TESTS]
    return NoisyProblem(part.p, part.repair, fewer, price, after, vain, stop)


def regret(bench: Bench, seed: tuple[int, ...]) -> Regret:
    """One subset of a rig's causes and tests, solved exactly and by the tool's way."""
    random = np.random.default_rng(seed)
    part = next(found for _ in range(TRIES) if (found := _part(bench, random)))
    figures = bench.model.figures
    plain = _plain(part)
    vain = figures.get("repair-in-vain", "min")
    noisy = _noisy(part, vain, Stop(figures.get("stop-at"), least_rate(figures)))
    repairs = np.sort(np.bincount(part.repair, part.p))[::-1]
    each = [vain] * len(repairs)
    trying = checking_cost(repairs.tolist(), each, range(len(repairs)))
    return Regret(
        best=plain.best(plain.everything)[0],
        tool=plain.follow(most_bits_per_cost),
        floor=bound(plain),
        noisy_best=noisy.best(),
        noisy_tool=noisy.tool(),
        in_vain=trying - vain,
    )
