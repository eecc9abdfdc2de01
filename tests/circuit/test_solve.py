"""Star-mesh elimination against dense and against exact elimination of the same networks."""

from __future__ import annotations

import random
from fractions import Fraction

import numpy as np
import pytest

from diagnose.circuit.solve import Array, resistance_between, solve

Network = dict[tuple[str, str], Array]


def random_network(draw: random.Random, low: float, high: float, circuits: int = 1) -> Network:
    """A connected network of up to 14 nodes; conductances log-uniform in [low, high] S."""
    nodes = [f"n{i}" for i in range(draw.randint(3, 14))]
    pairs = {(nodes[draw.randrange(i)], nodes[i]) for i in range(1, len(nodes))}
    extra = [tuple(sorted(draw.sample(nodes, 2))) for _ in range(draw.randint(0, 12))]
    pairs |= {(a, b) for a, b in extra if (b, a) not in pairs}
    spread = np.log(high / low)
    return {
        pair: low * np.exp([draw.random() * spread for _ in range(circuits)])
        for pair in sorted(pairs)
    }


def nodes_of(network: Network) -> list[str]:
    return sorted({node for pair in network for node in pair})


def laplacian(network: Network, circuit: int) -> Array:
    """Nodal matrix of one circuit [S], nodes in the order of `nodes_of`."""
    nodes = nodes_of(network)
    matrix = np.zeros((len(nodes), len(nodes)))
    for (a, b), conductance in network.items():
        i, j, g = nodes.index(a), nodes.index(b), conductance[circuit]
        matrix[[i, j, i, j], [i, j, j, i]] += [g, g, -g, -g]
    return matrix


@pytest.mark.parametrize("seed", range(30))
def test_voltages_agree_with_dense_elimination(seed: int) -> None:
    """LAPACK's LU; conductances within four decades, so that it is accurate itself."""
    draw = random.Random(seed)
    network = random_network(draw, 1e-2, 1e2, circuits=3)
    plus, minus, *inner = nodes_of(network)
    pushed = inner[-1]
    fixed = {plus: np.full(3, 12.6), minus: np.zeros(3)}

    volts = solve(network, (plus, minus)).voltages(fixed, {pushed: 2.5})

    for circuit in range(3):
        matrix = laplacian(network, circuit)
        current = np.array([2.5 if node == pushed else 0.0 for node in inner])
        expected = np.linalg.solve(matrix[2:, 2:], current - matrix[2:, 0] * 12.6)
        found = [volts[node][circuit] for node in inner]
        assert found == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize("seed", range(30))
def test_resistance_agrees_with_the_pseudo_inverse(seed: int) -> None:
    """Resistance distance = L+aa + L+bb - 2 L+ab (Klein and Randic, J. Math. Chem. 12, 1993)."""
    network = random_network(random.Random(seed), 1e-2, 1e2)
    inverse = np.linalg.pinv(laplacian(network, 0))
    a, b = nodes_of(network)[0], nodes_of(network)[-1]

    ohms = resistance_between(network, a, b)

    assert ohms[0] == pytest.approx(inverse[0, 0] + inverse[-1, -1] - 2 * inverse[0, -1], rel=1e-9)


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
