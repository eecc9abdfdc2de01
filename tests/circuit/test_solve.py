"""Star-mesh elimination against exact elimination of the same networks; LAPACK's dense elimination
is held against it in tests/outside."""

from __future__ import annotations

import random
from fractions import Fraction

import numpy as np
import pytest

from diagnose.circuit.solve import resistance_between, solve
from tests.outside.linear import Network, nodes_of, random_network


def exact_voltages(network: Network, fixed: dict[str, float]) -> dict[str, Fraction]:
    """Gauss-Jordan elimination in whole fractions: no rounding at all."""
    inner = [node for node in nodes_of(network) if node not in fixed]
    rows = []
    for node in inner:
        row = dict.fromkeys([*inner, "1"], Fraction(0))
        for pair, conductance in network.items():
            if node in pair:
                other, g = pair[pair[0] == node], Fraction(float(conductance[0]))
                row[node] += g
                row["1" if other in fixed else other] += g * Fraction(fixed.get(other, -1.0))
        rows.append(row)
    for i, node in enumerate(inner):
        rows[i] = {name: value / rows[i][node] for name, value in rows[i].items()}
        for j, row in enumerate(rows):
            if j != i:
                rows[j] = {name: row[name] - row[node] * rows[i][name] for name in row}
    return {node: rows[i]["1"] for i, node in enumerate(inner)}


@pytest.mark.parametrize("seed", range(10))
def test_open_contacts_beside_heavy_cable_cost_no_digits(seed: int) -> None:
    """1e10 ohm beside 1e-4 ohm: fourteen decades, where plain elimination loses most digits."""
    network = random_network(random.Random(seed), 1e-10, 1e4)
    plus, minus = nodes_of(network)[:2]

    volts = solve(network, (plus, minus)).voltages({plus: np.array([12.6]), minus: np.array([0.0])})

    for node, expected in exact_voltages(network, {plus: 12.6, minus: 0.0}).items():
        assert volts[node][0] == pytest.approx(float(expected), rel=1e-13)


def test_a_chain_of_open_and_closed_contacts_divides_exactly() -> None:
    ohms = {("+", "a"): 1e10, ("a", "b"): 1e-4, ("b", "c"): 1e-4, ("c", "-"): 1e10}
    network = {pair: np.array([1 / value]) for pair, value in ohms.items()}

    volts = solve(network, "+-").voltages({"+": np.array([12.0]), "-": np.array([0.0])})

    assert [volts[node][0] for node in "abc"] == pytest.approx([6.0] * 3, rel=1e-14)
    drop = volts["a"][0] - volts["c"][0]
    assert drop == pytest.approx(2e-4 * 12.0 / 2e10, abs=4e-15)  # two roundings at 6 V
    assert resistance_between(network, "+", "-")[0] == pytest.approx(2e10 + 2e-4, rel=1e-15)
