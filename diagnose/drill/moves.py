"""What each act of a trainee did to the ranking, and from when on the cause was provable."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Found
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.pairs import Pairs, weigh_pairs
from diagnose.reasoning.posterior import Posterior, by_repair, posterior

WORTH_SAYING = 0.02
"""A failure mode below this probability was hardly a suspect."""

KEPT = 1 / 3
"""A suspect that keeps less than this share of its probability has been ruled out, or nearly."""

SHOWN = 3
"""Suspects named for one act."""


@dataclass(frozen=True)
class Move:
    """One act and the ranking.

    before, after: probability of what is hidden (sure_of); each: hidden failure modes with the
    probabilities of their repairs before and after; ruled_out: suspects that lost most, the same;
    leader: in front afterwards, with its probability
    """

    found: Found
    before: float
    after: float
    each: tuple[tuple[str, float, float], ...]
    ruled_out: tuple[tuple[str, float, float], ...]
    leader: tuple[str, float]


def moves(scenario: Scenario, found: Sequence[Found]) -> tuple[Move, ...]:
    """Every act in turn, in the figures of the ranking."""
    beliefs = _beliefs(scenario, found)
    chances = [sure_of(scenario, belief) for belief in beliefs]
    return tuple(
        Move(
            one,
            chances[n],
            chances[n + 1],
            _each(scenario, beliefs[n], beliefs[n + 1]),
            _ruled_out(beliefs[n], beliefs[n + 1]),
            beliefs[n + 1].ranking[0],
        )
        for n, one in enumerate(found)
    )


def _beliefs(scenario: Scenario, found: Sequence[Found]) -> list[Posterior]:
    """The ranking after the complaint, and after each act."""
    items: list[Evidence] = [*scenario.findings()]
    beliefs = [posterior(scenario.bench.predictions, items)]
    for one in found:
        items += [one.item] if one.item is not None else []
        beliefs.append(posterior(scenario.bench.predictions, items))
    return beliefs


def _each(
    scenario: Scenario, before: Posterior, after: Posterior
) -> tuple[tuple[str, float, float], ...]:
    repair = scenario.bench.shop.repair
    was, now = by_repair(before.ranking, repair), by_repair(after.ranking, repair)
    return tuple((mode, was[repair[mode]], now[repair[mode]]) for mode in scenario.truth.modes)


def _ruled_out(before: Posterior, after: Posterior) -> tuple[tuple[str, float, float], ...]:
    now = dict(after.ranking)
    lost = [
        (name, p, now[name])
        for name, p in before.ranking
        if p >= WORTH_SAYING and now[name] < KEPT * p
    ]
    return tuple(sorted(lost, key=lambda one: (one[2] - one[1], one[0]))[:SHOWN])


def sure_of(scenario: Scenario, belief: Posterior) -> float:
    """How sure the ranking is of what is hidden: probability of its repair; for two faults, of
    the pair (or of two that are mended by the same acts)."""
    if len(scenario.repairs) == 1:
        return by_repair(belief.ranking, scenario.bench.shop.repair)[next(iter(scenario.repairs))]
    return of_the_pair(scenario, weigh_pairs(scenario.bench.predictions, belief))


def of_the_pair(scenario: Scenario, weighed: Pairs) -> float:
    """Probability of two faults at once whose repairs are those of what is hidden."""
    repair = scenario.bench.shop.repair
    return sum(
        p for a, b, p in weighed.pairs if frozenset((repair[a], repair[b])) == scenario.repairs
    )


def needed(scenario: Scenario) -> float:
    """How sure is sure enough: where the walk stops; for two faults, likelier than not."""
    return scenario.bench.model.figures.get("stop-at") if len(scenario.repairs) == 1 else 0.5


def provable_from(scenario: Scenario, made: Sequence[Move]) -> int | None:
    """The number of the act, from 1, from which on the cause was provable to the end; 0 when the
    complaint was enough, None when it never was."""
    enough = needed(scenario)
    chances = [made[0].before if made else 0.0, *(move.after for move in made)]
    after = [number for number, chance in enumerate(chances) if chance < enough]
    first = after[-1] + 1 if after else 0
    return first if first < len(chances) else None
