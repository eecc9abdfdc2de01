"""Random resistive networks, solved by us and by LAPACK through numpy."""

from __future__ import annotations

import random
from collections.abc import Iterator

import numpy as np

from diagnose.circuit.solve import Array, resistance_between, solve
from tests.outside.cells import Cell

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


LAPACK = "reference library"
SEEDS = range(30)


def voltages() -> Iterator[Cell]:
    """LAPACK's LU; conductances within four decades, so that it is accurate itself."""
    for seed in SEEDS:
        network = random_network(random.Random(seed), 1e-2, 1e2, circuits=3)
        plus, minus, *inner = nodes_of(network)
        fixed = {plus: np.full(3, 12.6), minus: np.zeros(3)}
        volts = solve(network, (plus, minus)).voltages(fixed, {inner[-1]: 2.5})
        for circuit in range(3):
            matrix = laplacian(network, circuit)
            current = np.array([2.5 if node == inner[-1] else 0.0 for node in inner])
            expected = np.linalg.solve(matrix[2:, 2:], current - matrix[2:, 0] * 12.6)
            for node, theirs in zip(inner, expected, strict=True):
                what, ours = f"seed {seed}, {node}", float(volts[node][circuit])
                source = "LAPACK's LU decomposition, by way of numpy"
                yield Cell("linear network", what, float(theirs), ours, 1e-11, source, LAPACK, 0.0)


def resistances() -> Iterator[Cell]:
    """Resistance distance = L+aa + L+bb - 2 L+ab (Klein and Randic, J. Math. Chem. 12, 1993)."""
    for seed in SEEDS:
        network = random_network(random.Random(seed), 1e-2, 1e2)
        inverse = np.linalg.pinv(laplacian(network, 0))
        a, b = nodes_of(network)[0], nodes_of(network)[-1]
        theirs = float(inverse[0, 0] + inverse[-1, -1] - 2 * inverse[0, -1])
        ours = float(resistance_between(network, a, b)[0])
        source = "LAPACK's pseudo-inverse, by way of numpy (Klein and Randic 1993)"
        yield Cell("resistance distance", f"seed {seed}", theirs, ours, 1e-9, source, LAPACK, 0.0)


def cells() -> list[Cell]:
    """Every comparison."""
    return [*voltages(), *resistances()]
