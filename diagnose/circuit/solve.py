"""Node voltages of many resistive networks at once, by eliminating node after node.

A node is removed by replacing its star of conductances by the equivalent mesh between its
neighbours. Only sums, products and quotients of positive numbers occur, so the result keeps its
accuracy from micro-ohms to open contacts without pivoting (the idea of Grassmann, Taksar and
Heyman, Oper. Res. 33 (1985), for Markov chains; star-mesh transform: Rosen, 1924).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from operator import add, iadd

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pair = tuple[str, str]
_Joined = dict[str, dict[str, Array]]


@dataclass(frozen=True)
class _Step:
    """One removed node: its neighbours, their share of its star, and the star's conductance [S]."""

    node: str
    neighbours: tuple[str, ...]
    shares: tuple[Array, ...]
    total: Array


def _neighbours(network: Mapping[Pair, Array]) -> _Joined:
    joined: _Joined = {}
    for (a, b), conductance in network.items():
        for here, there in ((a, b), (b, a)):
            star = joined.setdefault(here, {})
            star[there] = star[there] + conductance if there in star else conductance
    return joined


def _remove(joined: _Joined, node: str) -> _Step:
    star = joined.pop(node)
    total = reduce(add, star.values())
    shares = {name: g / total for name, g in star.items()}
    names = tuple(star)
    for i, a in enumerate(names):
        del joined[a][node]
        for b in names[:i]:
            mesh = shares[a] * star[b]
            if b in joined[a]:
                mesh += joined[a][b]
            joined[a][b] = joined[b][a] = mesh
    return _Step(node, names, tuple(shares.values()), total)


@lru_cache(maxsize=256)
def _order(pairs: tuple[Pair, ...], keep: frozenset[str]) -> tuple[str, ...]:
    """The nodes of a network but those to keep, those with the fewest neighbours left first."""
    joined: dict[str, set[str]] = {}
    for a, b in pairs:
        joined.setdefault(a, set()).add(b)
        joined.setdefault(b, set()).add(a)
    order = []
    while rest := [node for node in joined if node not in keep]:
        node = min(rest, key=lambda node: len(joined[node]))
        star = joined.pop(node)
        for other in star:
            joined[other] = (joined[other] | star) - {node, other}
        order.append(node)
    return tuple(order)


def _eliminate(network: Mapping[Pair, Array], keep: frozenset[str]) -> tuple[_Joined, list[_Step]]:
    """What is left between the nodes to keep, and the steps that led there."""
    joined = _neighbours(network)
    steps = [_remove(joined, node) for node in _order(tuple(network), keep)]
    return joined, steps


@dataclass(frozen=True)
class Solved:
    """A network that has been reduced to its fixed nodes; answers for any sources."""

    steps: tuple[_Step, ...]

    def voltages(
        self, fixed: Mapping[str, Array], injected: Mapping[str, Array | float] | None = None
    ) -> dict[str, Array]:
        """Voltage of every node [V], by name, but of fixed nodes that are not named.

        fixed: voltage of each fixed node [V], those at 0 V may be left out; injected: current
        pushed into a node [A].
        """
        current = self._passed_on(injected or {})
        volts = dict(fixed)
        for step in reversed(self.steps):
            terms = [current[step.node] / step.total] if step.node in current else []
            for name, share in zip(step.neighbours, step.shares, strict=True):
                if name in volts:
                    terms.append(share * volts[name])
            volts[step.node] = reduce(iadd, terms) if terms else np.zeros_like(step.total)
        return volts

    def _passed_on(self, injected: Mapping[str, Array | float]) -> dict[str, Array | float]:
        """Current into each node [A], with what comes from the nodes removed before it."""
        current = dict(injected)
        for step in self.steps:
            if step.node in current:
                for name, share in zip(step.neighbours, step.shares, strict=True):
                    current[name] = current.get(name, 0.0) + share * current[step.node]
        return current


def solve(network: Mapping[Pair, Array], fixed: Sequence[str]) -> Solved:
    """Reduce a network of conductances [S] between named nodes to its fixed nodes."""
    _, steps = _eliminate(network, frozenset(fixed))
    return Solved(tuple(steps))


def resistance_between(network: Mapping[Pair, Array], a: str, b: str) -> Array:
    """Resistance seen between two nodes with every source dead [ohm]."""
    joined, _ = _eliminate(network, frozenset({a, b}))
    with np.errstate(divide="ignore"):
        return np.asarray(1.0 / joined[a][b], dtype=np.float64)
