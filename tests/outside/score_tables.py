"""Scores and orders of tests beside worked examples: tests/tables/scores.yaml."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from statistics import fmean
from typing import Any

import numpy as np

from diagnose.reasoning.information import entropy
from diagnose.study.scores import (
    brier,
    brier_parts,
    calibration,
    calibration_error,
    isolation_utility,
    log_loss,
    share,
)
from tests.outside.cells import Cell, table
from tests.study.optimum import Problem, bound, huffman, most_bits_per_cost
from tests.study.problems import in_order, most_bits, plain

SCORES = table("scores.yaml")
SIX_DECIMALS = 1e-6


def _cell(
    name: str, what: str, expected: float, ours: float, told: Any, within: float = SIX_DECIMALS
) -> Cell:
    return Cell(name, what, float(expected), float(ours), within, told["source"], told["basis"])


def _brier(ranking: Sequence[Sequence[float]], truth: Sequence[int]) -> float:
    """Mean over cases."""
    pairs = zip(ranking, truth, strict=True)
    return fmean(brier({str(i): p for i, p in enumerate(row)}, {str(true)}) for row, true in pairs)


def losses() -> Iterator[Cell]:
    """Brier score and logarithmic loss."""
    for row in SCORES["brier"]:
        yield _cell("brier", row["case"], row["score"], _brier(row["ranking"], row["truth"]), row)
    for row in SCORES["log-loss"]:
        yield _cell("log-loss", row["case"], row["score"], log_loss(row["right"]), row, 5e-6)


def decomposition() -> Iterator[Cell]:
    """Reliability, resolution and uncertainty."""
    known = SCORES["murphy"]
    right = [bool(one) for one in known["right"]]
    parts = brier_parts(known["forecast"], right)
    for name, expected in known["expect"].items():
        yield _cell("murphy", name, expected, getattr(parts, name), known)
    ours = calibration_error(calibration(known["forecast"], right))
    yield _cell("murphy", "calibration error", known["calibration-error"], ours, known)


def intervals() -> Iterator[Cell]:
    """Score intervals of shares."""
    known = SCORES["wilson"]
    for row in known["rows"]:
        found, what = share(row["hits"], row["n"]), f"{row['hits']} of {row['n']}"
        yield _cell("wilson", f"{what}, low", row["low"], found.low, known, 6e-5)
        yield _cell("wilson", f"{what}, high", row["high"], found.high, known, 6e-5)


def isolation() -> Iterator[Cell]:
    """What a diagnosis is worth that names too much or too little."""
    known = SCORES["isolation"]
    for named, true, utility in known["rows"]:
        ours = isolation_utility(frozenset(named), frozenset(true), 10)
        yield _cell("isolation", f"{named or 'nothing'} for {true}", utility, ours, known)


WAYS: Mapping[str, Callable[[Problem], float]] = {
    "fixed order": lambda case: case.follow(in_order([*range(case.cost.shape[1])])),
    "best": lambda case: case.best(case.everything)[0],
    "bound": bound,
    "greedy": lambda case: case.follow(most_bits),
    "greedy a cost": lambda case: case.follow(most_bits_per_cost),
}


def trees() -> Iterator[Cell]:
    """Expected cost of trees of tests."""
    for row in SCORES["trees"]:
        signs = [[int(sign) for sign in line] for line in row["matrix"]]
        case = plain(row["prior"], list(zip(*signs, strict=True)), row.get("cost"))
        for way, expected in row["expect"].items():
            yield _cell("trees of tests", f"{row['case']}, {way}", expected, WAYS[way](case), row)


def orders() -> Iterator[Cell]:
    """Code lengths and entropies."""
    for row in SCORES["codes"]:
        ours = huffman(row["prior"], row["ways"])
        yield _cell("code length", row["case"], row["length"], ours, row)
    for row in SCORES["entropy"]:
        yield _cell(
            "entropy", row["case"], row["bits"], float(entropy(np.asarray(row["prior"]))), row
        )


def cells() -> list[Cell]:
    """Every cell of the examples."""
    sources = (losses, decomposition, intervals, isolation, trees, orders)
    return [cell for source in sources for cell in source()]
