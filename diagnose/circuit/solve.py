"""Node voltages of many resistive networks at once, by eliminating node after node.

A node is removed by replacing its star of conductances by the equivalent mesh between its
neighbours. Only sums, products and quotients of positive numbers occur, so the result keeps its
accuracy from micro-ohms to open contacts without pivoting (the idea of Grassmann, Taksar and
Heyman, Oper. Res. 33 (1985), for Markov chains; star-mesh transform: Rosen, 1924).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from operator import add, iadd
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pair = tuple[str, str]
_Joined = dict[str, dict[str, Array]]
K = TypeVar("K")


class Lazily(Mapping[K, Array]):
    """Arrays by name, each worked out when it is asked for: most nodes of most circuits are never
    looked at. work: gives one, from all and its name; known: those that are there already; keep:
    whether one that was worked out stays, as it should where it is dear."""

    def __init__(
        self,
        names: Iterable[K],
        work: Callable[[Mapping[K, Array], K], Array],
        known: Mapping[K, Array] | None = None,
        keep: bool = True,
    ) -> None:
        self._keep = keep
        self._known = dict(known or {})
        self._names = dict.fromkeys((*self._known, *names))
        self._work = work

    def __getitem__(self, name: K) -> Array:
        if name in self._known:
            return self._known[name]
        if name not in self._names:
            raise KeyError(name)
        found = self._work(self, name)
        if self._keep:
            self._known[name] = found
        return found

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[K]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


@dataclass(frozen=True)
class _Step:
    """One removed node: the conductances of its star by neighbour, and their sum [S]."""

    node: str
    star: Mapping[str, Array]
    total: Array

    def shares(self) -> Iterator[tuple[str, Array]]:
        """Each neighbour with its share of the star."""
        return ((name, conductance / self.total) for name, conductance in self.star.items())


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
    names = tuple(star)
    for i, a in enumerate(names):
        del joined[a][node]
        share = star[a] / total if i else total
        for b in names[:i]:
            mesh = share * star[b]
            if b in joined[a]:
                mesh += joined[a][b]
            joined[a][b] = joined[b][a] = mesh
    return _Step(node, star, total)


@lru_cache(maxsize=256)
def _order(pairs: tuple[Pair, ...], keep: frozenset[str], last: frozenset[str]) -> tuple[str, ...]:
    """The nodes of a network but those to keep, those with the fewest neighbours left first, and
    the `last` ones after all others: what is looked at most depends on little then."""
    joined: dict[str, set[str]] = {}
    for a, b in pairs:
        joined.setdefault(a, set()).add(b)
        joined.setdefault(b, set()).add(a)
    order = []
    while rest := [node for node in joined if node not in keep]:
        node = min(rest, key=lambda node: (node in last, len(joined[node])))
        star = joined.pop(node)
        for other in star:
            joined[other] = (joined[other] | star) - {node, other}
        order.append(node)
    return tuple(order)


def _eliminate(
    network: Mapping[Pair, Array], keep: frozenset[str], last: frozenset[str] = frozenset()
) -> tuple[_Joined, list[_Step]]:
    """What is left between the nodes to keep, and the steps that led there."""
    joined = _neighbours(network)
    steps = [_remove(joined, node) for node in _order(tuple(network), keep, last)]
    return joined, steps


@dataclass(frozen=True)
class Solved:
    """A network that has been reduced to its fixed nodes; answers for any sources."""

    steps: tuple[_Step, ...]

    def voltages(
        self, fixed: Mapping[str, Array], injected: Mapping[str, Array | float] | None = None
    ) -> Mapping[str, Array]:
        """Voltage of every node [V], by name, but of fixed nodes that are not named.

        fixed: voltage of each fixed node [V], those at 0 V may be left out; injected: current
        pushed into a node [A].
        """
        current, steps = self._passed_on(injected or {}), {step.node: step for step in self.steps}

        def volts(found: Mapping[str, Array], node: str) -> Array:
            step = steps[node]
            terms = [current[node] / step.total] if node in current else []
            terms += [share * found[name] for name, share in step.shares() if name in found]
            return reduce(iadd, terms) if terms else np.zeros_like(step.total)

        return Lazily(reversed(steps), volts, fixed)

    def _passed_on(self, injected: Mapping[str, Array | float]) -> dict[str, Array | float]:
        """Current into each node [A], with what comes from the nodes removed before it."""
        current = dict(injected)
        for step in self.steps:
            if step.node in current:
                for name, share in step.shares():
                    current[name] = current.get(name, 0.0) + share * current[step.node]
        return current


def solve(network: Mapping[Pair, Array], fixed: Sequence[str], last: Sequence[str] = ()) -> Solved:
    """Reduce a network of conductances [S] between named nodes to its fixed nodes. last: the nodes
    that are looked at whatever else is."""
    _, steps = _eliminate(network, frozenset(fixed), frozenset(last))
    return Solved(tuple(steps))


def resistance_between(network: Mapping[Pair, Array], a: str, b: str) -> Array:
    """Resistance seen between two nodes with every source dead [ohm]."""
    joined, _ = _eliminate(network, frozenset({a, b}))
    with np.errstate(divide="ignore"):
        return np.asarray(1.0 / joined[a][b], dtype=np.float64)
