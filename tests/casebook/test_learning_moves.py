"""Thirty confirmed cases of one cause, kept as files, move an ambiguous ranking by formula.

By hand, with the expert prior worth A = 30 cases and N = 30 cases of one failure mode m in group g,
the mean of a Dirichlet distribution after its counts, (A p + n) / (A + N), at both levels:

    share of g            (30 P(g) + 30) / 60   = (1 + P(g)) / 2
    share of m within g   (30 P(m|g) + 30) / 60 = (1 + P(m|g)) / 2
    share of another x of g                       P(x|g) / 2
    share of any other group                      P(h) / 2, its members as before

So m goes from P(g) P(m|g) to (1 + P(g)) (1 + P(m|g)) / 4; the others of its group change by the
factor (1 + P(g)) / (4 P(g)); all else is halved. What was seen weighs as before, so a ranking
changes by these factors and nothing more. "Not in the book" has a prior of its own; most of what it
expects is the book's average, which has moved, so it is left out of the comparison.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench, Shop
from diagnose.casebook.brief import groups_of
from diagnose.casebook.index import opened_index
from diagnose.casebook.learning import Learning, learning_from
from diagnose.casebook.record import Case
from diagnose.casebook.store import Casebook
from diagnose.figures import shipped_figures
from diagnose.reasoning import OTHER
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.hypotheses import applicable, prior_of
from diagnose.walkthrough import Walk

CAUSE, GROUP, COUNT = "ground-resistive", "power-wiring", 30
SLOW = (Seen("pump-action", "slow"),)


@pytest.fixture(scope="module")
def taught(
    shop: Shop,
    bowser: Bench,
    mended: Callable[..., Case],
    tmp_path_factory: pytest.TempPathFactory,
) -> Bench:
    """The bowser's bench by a casebook of thirty such cases, read back from their files."""
    casebook = Casebook.open(tmp_path_factory.mktemp("thirty"))
    for number in range(COUNT):
        casebook.save(mended(number, CAUSE))
    with opened_index(casebook) as index:
        learning = learning_from(index.briefs(), groups_of(shop.catalogue))
    return Bench.for_rig(bowser.rig, shop, learning)


def priors(bench: Bench) -> dict[str, float]:
    return prior_of(
        bench.model, applicable(bench.shop.catalogue, bench.hypotheses.facts, bench.rig)
    )


def factors(bench: Bench) -> dict[str, float]:
    """Prior after over prior before of each failure mode, by hand as above."""
    expert, groups = priors(bench), groups_of(bench.shop.catalogue)
    whole = sum(p for mode, p in expert.items() if groups[mode] == GROUP)
    inside = expert[CAUSE] / whole
    factor = {m: (1 + whole) / (4 * whole) if groups[m] == GROUP else 1 / 2 for m in expert}
    return factor | {CAUSE: (1 + whole) * (1 + inside) / (4 * whole * inside)}


def ranking(bench: Bench, seen: tuple[Seen, ...]) -> dict[str, float]:
    """Of the failure modes of the book, if it is one of them."""
    found = dict(Walk(bench, seen).belief().ranking)
    known = 1 - found.pop(OTHER)
    return {mode: p / known for mode, p in found.items()}


def test_the_figures_are_those_of_the_arithmetic_above() -> None:
    assert shipped_figures().get("learning-prior-cases") == COUNT


def test_the_hand_formula_gives_priors_again(bowser: Bench) -> None:
    expert, factor = priors(bowser), factors(bowser)

    assert sum(p * factor[mode] for mode, p in expert.items()) == pytest.approx(1)


@pytest.mark.parametrize("seen", [(), SLOW], ids=["fresh", "slow"])
def test_every_place_of_the_ranking_moves_by_its_factor(
    bowser: Bench, taught: Bench, seen: tuple[Seen, ...]
) -> None:
    """Fuse states too rare to be kept apart cost some parts in ten thousand."""
    before, after, factor = ranking(bowser, seen), ranking(taught, seen), factors(bowser)
    moved = {mode: p * factor[mode] for mode, p in before.items()}
    whole = sum(moved.values())

    assert after == pytest.approx({mode: p / whole for mode, p in moved.items()}, rel=2e-3)


def test_the_case_is_ambiguous_before_and_much_less_so_after(bowser: Bench, taught: Bench) -> None:
    before, after = ranking(bowser, SLOW), ranking(taught, SLOW)

    assert max(before.values()) < 0.3
    assert next(iter(before)) != CAUSE
    assert next(iter(after)) == CAUSE
    assert after[CAUSE] > 3 * before[CAUSE]


def test_without_a_case_the_ranking_is_the_same_to_the_last_bit(shop: Shop, bowser: Bench) -> None:
    untaught = Bench.for_rig(bowser.rig, shop, Learning({}, groups_of(shop.catalogue)))

    assert ranking(untaught, SLOW) == ranking(bowser, SLOW)
