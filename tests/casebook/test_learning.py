"""Priors learned from confirmed cases: the formula by hand, and what reaches the ranking."""

from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.bench import Bench
from diagnose.casebook.brief import brief_of, groups_of
from diagnose.casebook.closure import reopen
from diagnose.casebook.learning import Learning, learned_prior, learning_from
from diagnose.figures import shipped_figures
from diagnose.reasoning.hypotheses import applicable
from diagnose.reasoning.hypotheses import prior_of as prior_on_rig
from diagnose.walkthrough import Walk

TABLE = Path(__file__).parents[1] / "tables" / "learned_priors.yaml"
ROWS = yaml.safe_load(TABLE.read_text("utf-8"))

each_row = pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])


def named(values):
    return dict(zip("abcd", values, strict=False))


def prior_of(row):
    worth = sum(row["alpha"])
    return named([alpha / worth for alpha in row["alpha"]]), worth


@each_row
@pytest.mark.parametrize("grouping", ["a group each", "one group"])
def test_a_single_level_is_the_plain_dirichlet(row, grouping):
    """With each mode alone in its group, or all in one, the two levels come to the one formula."""
    prior, worth = prior_of(row)
    groups = {mode: mode if grouping == "a group each" else "all" for mode in prior}

    found = learned_prior(prior, groups, named(row["counts"]), worth)

    assert list(found.values()) == pytest.approx(row["expect"], abs=1e-9), row["source"]


def test_two_levels_by_hand():
    """Prior 0.4 a, 0.2 b in group g, 0.4 c alone; A = 10; five cases: 3 a, 1 b, 1 c.

    By hand: g (10 x 0.6 + 4) / 15 = 2/3; a in g (10 x 2/3 + 3) / 14 = 29/42;
    a = 2/3 x 29/42 = 58/126; b = 2/3 x 13/42 = 26/126; c = (10 x 0.4 + 1) / 15 = 1/3.
    """
    prior, groups = {"a": 0.4, "b": 0.2, "c": 0.4}, {"a": "g", "b": "g", "c": "c"}

    found = learned_prior(prior, groups, {"a": 3, "b": 1, "c": 1, "not on this rig": 50}, 10)

    assert found == pytest.approx({"a": 58 / 126, "b": 26 / 126, "c": 1 / 3})


def test_a_case_lifts_the_whole_group_of_its_cause():
    prior, groups = {"a": 0.4, "b": 0.2, "c": 0.4}, {"a": "g", "b": "g", "c": "c"}

    found = learned_prior(prior, groups, {"a": 1}, 30)

    assert found["a"] > 0.4
    assert found["c"] < 0.4
    assert found["a"] + found["b"] == pytest.approx((30 * 0.6 + 1) / 31)


names = st.sampled_from("abcdefgh")


@settings(max_examples=50)
@given(
    st.dictionaries(names, st.floats(0.01, 1), min_size=1),
    st.dictionaries(names, st.sampled_from("xyz")),
    st.dictionaries(names, st.integers(0, 1000)),
    st.floats(0.1, 100),
)
def test_learned_priors_are_probabilities(prior, groups, counts, worth):
    found = learned_prior(prior, groups, counts, worth)

    assert set(found) == set(prior)
    assert sum(found.values()) == pytest.approx(1)
    assert all(share > 0 for share in found.values())


@given(st.dictionaries(names, st.floats(0.01, 1), min_size=1))
def test_without_cases_nothing_changes(prior):
    whole = sum(prior.values())

    found = learned_prior(prior, {"a": "g", "b": "g"}, {})

    assert found == pytest.approx({mode: share / whole for mode, share in prior.items()})


def test_the_expert_prior_is_worth_the_figure_of_the_book():
    worth = shipped_figures().get("learning-prior-cases")
    found = learned_prior({"a": 0.5, "b": 0.5}, {}, {"a": int(worth)})

    assert found == pytest.approx({"a": 0.75, "b": 0.25})


def test_only_confirmed_cases_of_the_book_teach(made, mended):
    cases = [
        mended(1),
        mended(2),
        mended(3, "fuse-holder-loose"),
        made(4),
        made(5, true_cause="fuse-holder-loose", status="closed"),
        mended(6, "not-in-the-book", true_words="a snail"),
        reopen(mended(7)),
    ]

    learning = learning_from(map(brief_of, cases), {})

    assert learning.counts == {"fuse-holder-corroded": 2, "fuse-holder-loose": 1}


def test_it_says_how_many_of_the_shops_cases_it_was():
    learning = Learning({"a": 7, "b": 24, "elsewhere": 9}, {})

    assert learning.says("a", ["a", "b", "c"]) == "this shop: 7 of 31"
    assert learning.says("c", ["a", "b", "c"]) == "this shop: 0 of 31"
    assert Learning({}, {}).says("a", ["a"]) == ""


def test_it_tells_what_changed_and_why():
    learning = Learning({"a": 3, "b": 1, "c": 1}, {"a": "g", "b": "g"}, 10)

    first, *_, last = learning.changes({"a": 4, "b": 2, "c": 4})

    assert (first.mode, first.group, first.cases, first.group_cases) == ("c", "c", 1, 1)
    assert (first.expert, first.learned) == pytest.approx((0.4, 1 / 3))
    assert first.text == "this shop: 1 of 5"
    assert (last.mode, last.group_cases) == ("b", 4)


@pytest.fixture(scope="module")
def taught(shop, bowser):
    """The bowser's bench after 30 confirmed cases of a corroded ground."""
    learning = Learning({"ground-resistive": 30}, groups_of(shop.catalogue))
    return Bench.for_rig(bowser.rig, shop, learning)


def test_thirty_confirmed_cases_move_the_prior_as_the_formula_says(shop, bowser, taught):
    """By hand from the expert prior: share of the group, times share within the group.

    The circuit model leaves out states of the fuses that hardly ever come about, so its weights
    agree with the prior to some parts in ten thousand.
    """
    modes = applicable(shop.catalogue, bowser.hypotheses.facts, bowser.rig)
    expert = prior_on_rig(bowser.model, modes)
    group = sum(expert[mode.id] for mode in modes if mode.group == "power-wiring")
    in_group = expert["ground-resistive"] / group

    learned = (30 * group + 30) / 60 * (30 * in_group + 30) / 60

    found = dict(Walk(taught).belief().ranking)
    known = 1 - found["not-in-the-book"]
    assert found["ground-resistive"] / known == pytest.approx(learned, rel=1e-3)
    assert learned > 3 * expert["ground-resistive"]


def test_an_ambiguous_walk_moves_by_the_ratio_of_the_priors(bowser, taught):
    """Likelihoods stay, so the odds of two causes change by the ratio of their prior odds."""
    pair = "ground-resistive", "terminal-negative-corroded"

    def odds(walk):
        belief = dict(walk.belief().ranking)
        return belief[pair[0]] / belief[pair[1]]

    fresh, learned = Walk(bowser), Walk(taught)
    before = odds(learned) / odds(fresh)
    for walk in (fresh, learned):
        walk.answer(walk.ask("pump-action"), "slow")

    assert before > 5
    assert odds(learned) / odds(fresh) == pytest.approx(before, rel=1e-6)
