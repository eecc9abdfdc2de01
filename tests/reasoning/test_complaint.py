"""A walk begins with a complaint: what nobody notices is not what brought the customer."""

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.reasoning.complaint import UNTOLD, complained
from diagnose.reasoning.hypotheses import build
from diagnose.reasoning.predictions import Predictions


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
    chance, old, new = complained(before), before.hypotheses, bowser.hypotheses
    here = np.flatnonzero(old.mode == old.modes.index("fuse-holder-corroded"))
    raised = new.weight[here] / old.weight[here]

    assert np.ptp(chance[here]) > 0.5
    assert raised / raised[0] == pytest.approx(chance[here] / chance[here][0])


def test_a_dead_pump_is_complained_of_and_a_rig_that_is_well_is_not(before: Predictions) -> None:
    chance = complained(before)
    silent = before.plain("pump-action")[0] > 0.9
    well = np.ones(len(chance), dtype=bool)
    for name, fine in (("pump-action", "normal"), ("flow", "normal"), ("battery-found", "charged")):
        options = tuple(before.catalogue.observations[name].options)
        well &= before.plain(name)[options.index(fine)] > 0.95

    assert chance.min() >= UNTOLD
    assert chance.max() <= 1
    assert chance[silent].min() > 0.9
    assert np.median(chance[well]) < np.median(chance[silent])
