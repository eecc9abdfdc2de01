"""Faults as circuits: severities, variants, shares."""

import numpy as np
import pytest

from diagnose.bench import Shop
from diagnose.catalogue.records import Change
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import open_rig
from diagnose.reasoning.hypotheses import (
    at_severity,
    build,
    normal_draws,
    prior_weights,
    variants_of,
    varied,
)


def change(mild: float, severe: float) -> Change:
    return Change("fuse_holder", "add", mild, severe)


def test_severities_go_by_factors_where_both_ends_are_positive() -> None:
    """By hand: half-way from 0.01 to 1 is 0.1, from -1 to 3 it is 1."""
    half = np.array([0.0, 0.5, 1.0])

    assert at_severity(change(0.01, 1.0), half) == pytest.approx([0.01, 0.1, 1.0])
    assert at_severity(change(-1.0, 3.0), half) == pytest.approx([-1, 1, 3])


def test_a_way_to_fail_that_the_rig_has_no_part_for_is_left_out(shop: Shop) -> None:
    """A direct rig has no relay whose coil could be of the wrong voltage."""
    mode = shop.catalogue.failure_modes["wrong-voltage-part"]

    with_relay = variants_of(mode, open_rig("bowser"))
    without = variants_of(mode, open_rig("mist-bench"))

    assert {v.effects[0].name for v in with_relay} - {v.effects[0].name for v in without} == {
        "24 V relay coil (rigs with a relay)"
    }
    assert sum(v.share for v in with_relay) == pytest.approx(1)
    assert sum(v.share for v in without) == pytest.approx(1)


def test_a_failure_mode_without_any_change_is_possible_on_every_rig(shop: Shop) -> None:
    for mode in shop.catalogue.failure_modes.values():
        assert variants_of(mode, open_rig("mist-bench"))


def test_draws_are_spread_evenly_and_always_the_same() -> None:
    draws = normal_draws(16, 3)

    assert draws.shape == (3, 16)
    assert np.array_equal(draws, normal_draws(16, 3))
    assert np.sort(draws, axis=1) == pytest.approx(np.tile(np.sort(draws[0]), (3, 1)))
    assert draws.mean() == pytest.approx(0, abs=1e-12)


def test_sound_rigs_differ_by_factors_and_amounts_as_the_table_says(shop: Shop) -> None:
    model = Model.of(open_rig("bowser"))
    rows = model.figures.table("spreads").rows
    one = np.ones((len(rows), 1))
    batch = varied(model, one)
    (charge,) = (float(str(row[2])) for row in rows if row[3] == "battery.voltage")
    (inner,) = (float(str(row[2])) for row in rows if row[3] == "battery.resistance")

    assert batch["battery.voltage"][0] == pytest.approx(model.sound["battery.voltage"] + charge)
    assert batch["battery.resistance"][0] == pytest.approx(
        model.sound["battery.resistance"] * np.exp(inner)
    )


def test_priors_and_columns_add_up(shop: Shop) -> None:
    h = build(shop.catalogue, Model.of(open_rig("mist-bench")))
    modes = [shop.catalogue.failure_modes[name] for name in h.modes]

    assert h.weight.sum() + h.other == pytest.approx(1)
    assert h.prior == pytest.approx(prior_weights(modes, h.facts))
    assert np.bincount(h.mode, h.weight) == pytest.approx(
        [h.prior[name] * (1 - h.other) for name in h.modes], rel=0.05
    )
