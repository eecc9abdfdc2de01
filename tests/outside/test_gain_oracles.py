"""The information of a test, against worked examples of the literature.

Figures and their sources: tests/tables/diagnosis_oracles.yaml.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from diagnose.circuit.parameters import Array
from diagnose.reasoning.next_test import entropy, gain

TABLE = Path(__file__).parent.parent / "tables" / "diagnosis_oracles.yaml"
ORACLES = yaml.safe_load(TABLE.read_text(encoding="utf-8"))
SIX_DECIMALS = 1e-6


def shares(joint: Any) -> Array:
    table = np.asarray(joint, dtype=np.float64)
    return np.asarray(table / table.sum())


@pytest.mark.parametrize("row", ORACLES["gain"], ids=lambda row: row["case"])
def test_gain(row: Mapping[str, Any]) -> None:
    source = ORACLES["gain-sources"][row["source"]]
    assert gain(shares(row["joint"])) == pytest.approx(row["bits"], abs=SIX_DECIMALS), source


def counted(pairs: Iterable[tuple[str, str]]) -> Array:
    pairs = list(pairs)
    outcomes, kinds = sorted({a for a, _ in pairs}), sorted({b for _, b in pairs})
    return shares([[pairs.count((outcome, kind)) for kind in kinds] for outcome in outcomes])


def test_gain_of_questions_on_capital_projects() -> None:
    table = ORACLES["capital-projects"]
    rows = [row.split() for row in table["rows"]]
    columns = dict(zip(table["columns"], zip(*rows, strict=True), strict=True))
    for name, bits in table["bits"].items():
        found = gain(counted(zip(columns[name], columns["class"], strict=True)))
        assert found == pytest.approx(bits, abs=SIX_DECIMALS), table["source"]
        if name in table["printed"]:
            assert round(found, 4) == table["printed"][name]


@pytest.mark.parametrize("row", ORACLES["half-split"], ids=lambda row: str(row["prior"]))
def test_half_split(row: Mapping[str, Any]) -> None:
    prior = shares(row["prior"])
    for place, left in enumerate(row["left"], 1):
        before = np.arange(len(prior)) < place
        joint = np.stack([prior * before, prior * ~before])
        found = float(entropy(prior)) - gain(joint)
        assert found == pytest.approx(left, abs=SIX_DECIMALS), ORACLES["half-split-source"]


def weighing(balls: int, each: int) -> Array:
    """Joint of three outcomes and every odd ball, light or heavy; ball 0 to `each` lie left."""
    table = np.zeros((3, 2 * balls))
    for ball, heavy in itertools.product(range(balls), (0, 1)):
        side = 1 if ball < each else -1 if ball < 2 * each else 0
        table[side * (1 if heavy else -1), 2 * ball + heavy] = 1
    return shares(table)


@pytest.mark.parametrize("each", ORACLES["twelve-balls"]["bits"])
def test_weighing_balls(each: int) -> None:
    row = ORACLES["twelve-balls"]
    found = gain(weighing(row["balls"], each))
    assert found == pytest.approx(row["bits"][each], abs=SIX_DECIMALS), row["source"]
