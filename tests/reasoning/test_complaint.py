"""A walk begins with a complaint: what nobody notices is not what brought the customer."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint
from diagnose.reasoning.complaint import UNTOLD, ascertainment, report_weight
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.hypotheses import build
from diagnose.reasoning.posterior import posterior
from diagnose.reasoning.predictions import Predictions
from tests.outside.belief_tables import HERE, book, causes, figures, told

READILY = {"a": 0.5, "b": 0.25, "c": 1.0}
"""How readily each of three signs is told; by hand."""


@pytest.fixture
def before(bowser: Bench) -> Predictions:
    """The same circuits before it is known that somebody complains."""
    return Predictions(bowser.shop.catalogue, build(bowser.shop.catalogue, bowser.model))


def test_failure_modes_keep_their_share(bowser: Bench, before: Predictions) -> None:
    old, new = before.hypotheses, bowser.hypotheses

    assert np.bincount(new.mode, new.weight) == pytest.approx(np.bincount(old.mode, old.weight))


def test_within_a_failure_mode_circuits_count_by_their_chance_of_a_complaint(
    bowser: Bench, before: Predictions
) -> None:
    chance, old, new = ascertainment(before), before.hypotheses, bowser.hypotheses
    here = np.flatnonzero(old.mode == old.modes.index("fuse-holder-corroded"))
    raised = new.weight[here] / old.weight[here]

    assert np.ptp(chance[here]) > 0.5
    assert raised / raised[0] == pytest.approx(chance[here] / chance[here][0])


def test_a_dead_pump_is_complained_of_and_a_rig_that_is_well_is_not(before: Predictions) -> None:
    chance = ascertainment(before)
    silent = before.plain("pump-action")[0] > 0.9
    well = np.ones(len(chance), dtype=bool)
    for name, fine in (("pump-action", "normal"), ("flow", "normal"), ("battery-found", "charged")):
        options = tuple(before.catalogue.observations[name].options)
        well &= before.plain(name)[options.index(fine)] > 0.95

    assert chance.min() >= UNTOLD
    assert chance.max() <= 1
    assert chance[silent].min() > 0.9
    assert np.median(chance[well]) < np.median(chance[silent])


def reporting(*chances: dict[str, float], usual: float = 0.0) -> Predictions:
    """Even causes, each with the chances of signs that customers tell; `usual`: how often a sign is
    there on any rig; one sign in ten that was there before is told as the matter."""
    names = list(chances[0])
    matters = {
        name: Complaint(name, "", {name: "yes"}, "", HERE, told=READILY[name]) for name in names
    }
    share = figures(**{"told-as-the-matter": "0.1"})
    hypotheses = causes([1.0] * len(chances), figures=share)
    found = told(hypotheses, {name: np.array([row[name] for row in chances]) for name in names})
    seen = {
        name: replace(one, otherwise={"yes": usual, "no": 1 - usual})
        for name, one in found.catalogue.observations.items()
    }
    return replace(found, catalogue=replace(book(*seen.values()), complaints=matters))


def test_a_cause_with_many_signs_has_more_to_tell() -> None:
    """By hand: 0.5 + 0.25 + 1 of one that surely shows all three, 0.5 of one that shows the first
    alone, 0.5 x 0.4 of one that shows it in two cases of five."""
    signs = [{"a": 1.0, "b": 1.0, "c": 1.0}, {"a": 1.0, "b": 0, "c": 0}, {"a": 0.4, "b": 0, "c": 0}]

    found = report_weight(reporting(*signs))

    assert found == pytest.approx([UNTOLD + 1.75, UNTOLD + 0.5, UNTOLD + 0.2])


def test_a_cause_with_many_signs_is_told_each_of_them_less_often() -> None:
    """By hand: of two even causes the one sign, reported, has a share of 1 / 1.77 and of 1 / 0.52;
    seen when asked, both show it alike."""
    signs = {"a": 1.0, "b": 1.0, "c": 1.0}, {"a": 1.0, "b": 0.0, "c": 0.0}
    predictions = reporting(*signs)
    heard = replace(predictions, heard=report_weight(predictions))

    reported = posterior(heard, [replace(Seen("a", "yes"), reported=True)])
    asked = posterior(heard, [Seen("a", "yes")])

    many, one = 1 / (UNTOLD + 1.75), 1 / (UNTOLD + 0.5)
    assert reported.mode == pytest.approx([many / (many + one), one / (many + one)])
    assert asked.mode == pytest.approx([0.5, 0.5])


def test_only_the_first_of_the_signs_is_the_report() -> None:
    """Whoever has told one goes on with all there is; by hand, the second sign weighs as seen."""
    signs = {"a": 1.0, "b": 1.0, "c": 0.0}, {"a": 1.0, "b": 0.5, "c": 0.0}
    predictions = reporting(*signs)
    heard = replace(predictions, heard=report_weight(predictions))

    both = posterior(heard, [replace(Seen(name, "yes"), reported=True) for name in "ab"])

    first = np.array([1 / (UNTOLD + 0.75), 1 / (UNTOLD + 0.625)]) * [1.0, 0.5]
    assert both.mode == pytest.approx(first / first.sum())


def test_what_was_so_before_is_told_only_now_and_then() -> None:
    """By hand: a sign on three rigs in ten of any kind, under one cause always: 0.7 are the fault's
    doing, and a tenth of the 0.3 is told all the same; under another it is there as on any rig."""
    found = reporting({"a": 1.0}, {"a": 0.3}, usual=0.3).brought_about("a", "yes")

    assert found == pytest.approx([0.7 + 0.03, 0.03])


def test_of_missing_water_alone_nobody_speaks_whose_pump_is_dead(bowser: Bench) -> None:
    """By the counts in complaints.yaml; said together with the silence it weighs as ever."""
    modes = bowser.hypotheses.modes
    water, silent = Seen("flow", "none"), Seen("pump-action", "silent")

    def ratio(*told: Seen) -> float:
        items = [replace(one, reported=True) for one in told]
        mode = posterior(bowser.predictions, items).mode
        return float(mode[modes.index("feed-wire-open")] / mode[modes.index("supply-empty")])

    asked = posterior(bowser.predictions, [water]).mode
    dead, dry = (asked[modes.index(one)] for one in ("feed-wire-open", "supply-empty"))
    assert ratio(water) < 0.2 * dead / dry
    assert ratio(water, silent) > 20 * ratio(water)
