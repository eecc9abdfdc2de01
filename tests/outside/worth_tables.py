"""The worth of tests beside worked examples: tests/tables/diagnosis_oracles.yaml."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import numpy as np

from diagnose.circuit.parameters import Array
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.information import entropy, information_gain
from diagnose.reasoning.next_test import TestChooser
from diagnose.reasoning.outcome_table import OutcomeTable
from diagnose.reasoning.posterior import posterior
from diagnose.reasoning.predictions import Predictions
from tests.outside.belief_tables import (
    EXAMPLE,
    ORACLES,
    RECOMPUTED,
    asked,
    book,
    causes,
    figures,
    number,
    six_decimals,
)
from tests.outside.cells import Cell


def shares(joint: Any) -> Array:
    table = np.asarray(joint, dtype=np.float64)
    return np.asarray(table / table.sum())


def gains() -> Iterator[Cell]:
    """Information of an outcome."""
    for row in ORACLES["gain"]:
        source = ORACLES["gain-sources"][row["source"]]
        ours = information_gain(shares(row["joint"]))
        basis = "from memory" if "memory" in source else EXAMPLE
        yield six_decimals("gain", row["case"], row["bits"], ours, source, basis)


def counted(pairs: Iterable[tuple[str, str]]) -> Array:
    pairs = list(pairs)
    outcomes, kinds = sorted({a for a, _ in pairs}), sorted({b for _, b in pairs})
    return shares([[pairs.count((outcome, kind)) for kind in kinds] for outcome in outcomes])


def projects() -> Iterator[Cell]:
    """Questions on capital projects: recomputed, and as printed with four decimals."""
    known = ORACLES["capital-projects"]
    rows = [row.split() for row in known["rows"]]
    columns = dict(zip(known["columns"], zip(*rows, strict=True), strict=True))
    for name, bits in known["bits"].items():
        ours = information_gain(counted(zip(columns[name], columns["class"], strict=True)))
        yield six_decimals("capital-projects", name, bits, ours, known["source"])
        if printed := known["printed"].get(name):
            source = known["source"]
            yield Cell("capital-projects", name, printed, float(ours), 5e-5, source, EXAMPLE)


def half_splits() -> Iterator[Cell]:
    """Parts in series: what is left to know after a test behind each of them."""
    for row in ORACLES["half-split"]:
        prior = shares(row["prior"])
        for place, left in enumerate(row["left"], 1):
            before = np.arange(len(prior)) < place
            ours = float(entropy(prior)) - information_gain(
                np.stack([prior * before, prior * ~before])
            )
            what, source = f"{row['prior']} after part {place}", ORACLES["half-split-source"]
            yield six_decimals("half-split", what, left, ours, source, RECOMPUTED)


def weighing(balls: int, each: int) -> Array:
    """Joint of three outcomes and every odd ball, light or heavy; ball 0 to `each` lie left."""
    table = np.zeros((3, 2 * balls))
    for ball, heavy in itertools.product(range(balls), (0, 1)):
        side = 1 if ball < each else -1 if ball < 2 * each else 0
        table[side * (1 if heavy else -1), 2 * ball + heavy] = 1
    return shares(table)


def balls() -> Iterator[Cell]:
    """Which weighing of twelve balls tells most."""
    row = ORACLES["twelve-balls"]
    for each, bits in row["bits"].items():
        ours = information_gain(weighing(row["balls"], each))
        yield six_decimals("twelve-balls", f"{each} against {each}", bits, ours, row["source"])


def noisy(names: Iterable[str], extra: Mapping[str, Array]) -> TestChooser:
    """A chooser over tests of the table and, by name, others with chances of their own."""
    row = ORACLES["noisy-tests"]
    chances = {
        name: np.array([[number(p) for p in line] for line in row["tests"][name]["chances"]])
        for name in names
    } | dict(extra)
    asks = [
        asked(
            name,
            [str(i) for i in range(len(rows))],
            row["tests"].get(name, {"minutes": 1})["minutes"],
        )
        for name, rows in chances.items()
    ]
    hypotheses = causes(row["prior"], figures=figures(misread="0"))
    predictions = Predictions(book(*asks), hypotheses, chances)
    tests = tuple(Test(one.id, one) for one in asks)
    free = figures(**{"state-change-time": "0 min", "asking-time": "0 min"})
    return TestChooser(OutcomeTable(predictions, tests), {m: m for m in hypotheses.modes}, free)


def unsure() -> TestChooser:
    """One test whose answer may also be "not sure"."""
    row = ORACLES["noisy-tests"]
    share, plain = row["unsure"]["share"], row["tests"][row["unsure"]["test"]]["chances"]
    rows = np.vstack([(1 - share) * np.array(plain), np.full((1, 4), share)])
    return noisy("", {"unsure": rows})


def worths() -> Iterator[Cell]:
    """Bits of noisy tests, and bits a minute."""
    row = ORACLES["noisy-tests"]
    chooser = noisy("ABC", {})
    for worth in chooser.gains(posterior(chooser.outcomes.predictions, []), set("ABC"), "calling"):
        expected, name = row["tests"][worth.test.id], worth.test.id
        told = ("noisy-tests", f"{name}, bits"), ("noisy-tests", f"{name}, bits a minute")
        for (of, what), theirs, ours in zip(
            told, (expected["bits"], expected["rate"]), (worth.bits, worth.rate), strict=True
        ):
            yield six_decimals(of, what, theirs, ours, row["source"], RECOMPUTED)
    chooser = unsure()
    [worth] = chooser.gains(posterior(chooser.outcomes.predictions, []), {"unsure"}, "calling")
    bits = row["unsure"]["bits"]
    yield six_decimals("noisy-tests", "with not sure", bits, worth.bits, row["source"], RECOMPUTED)


def cells() -> list[Cell]:
    """Every cell of the examples."""
    sources = (gains, projects, half_splits, balls, worths)
    return [cell for source in sources for cell in source()]
