"""Faults as circuits: variants, shares, priors."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.bench import Shop
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.rig import CONTROLS, TOPOLOGIES, open_rig
from diagnose.design.facts import rig_facts
from diagnose.reasoning.hypotheses import (
    SECOND,
    applicable,
    build,
    normal_draws,
    prior_of,
    prior_weights,
    variants_of,
    varied,
)


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


@pytest.mark.parametrize("name", ["mist-bench", "spray-trailer", "bilge", "camper"])
def test_every_failure_mode_of_a_rig_has_a_way_to_befall_it(shop: Shop, name: str) -> None:
    """None is left without any variant, whose prior would be lost."""
    model = Model.of(open_rig(name))
    book = for_rig(shop.catalogue, model.rig)

    for mode in applicable(book, rig_facts(model), model.rig):
        assert sum(v.share for v in variants_of(mode, model.rig)) == pytest.approx(1), mode.id


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
    assert h.other == pytest.approx(h.model.figures.get("not-in-the-book"))
    assert h.prior == pytest.approx(prior_of(h.model, modes))
    assert sum(h.prior.values()) == pytest.approx(1)
    assert np.bincount(h.mode, h.weight) == pytest.approx(
        [h.prior[name] * (1 - h.other) for name in h.modes], rel=0.05
    )


def test_a_rig_of_a_known_use_has_the_priors_of_that_use(shop: Shop) -> None:
    model = Model.of(replace(open_rig("mist-bench"), use="pressure-system"))
    modes = applicable(shop.catalogue, rig_facts(model), model.rig)

    expected = prior_weights(modes, {**rig_facts(model), "use": "pressure-system"})

    assert prior_of(model, modes) == pytest.approx(expected)


def test_a_rig_of_unknown_use_has_the_priors_of_its_usual_ones(shop: Shop) -> None:
    """By hand: those of each use as if it were said, by how many rigs have it, as the table says of
    a relay with a pressure switch."""
    model = Model.of(open_rig("bowser"))
    modes, facts = applicable(shop.catalogue, rig_facts(model), model.rig), rig_facts(model)
    usual = model.figures.table("usual-use").row("relay pressure_switch")
    said = {use: prior_weights(modes, {**facts, "use": use}) for use in usual}

    found = prior_of(model, modes)

    assert facts["use"] == "unknown"
    assert sum(share > 0 for share in usual.values()) > 1
    assert said["pressure-system"]["accumulator-flat"] > 1.1 * said["spraying"]["accumulator-flat"]
    for name, prior in found.items():
        by_hand = sum(share * said[use][name] for use, share in usual.items())
        assert prior == pytest.approx(by_hand)


def test_the_usual_uses_of_every_kind_of_rig_are_shares(shop: Shop) -> None:
    """Each row sums to one, and each kind of rig that a rig file can describe has its row."""
    table = Model.of(open_rig("bowser")).figures.table("usual-use")

    assert {str(row[0]) for row in table.rows} == {
        f"{topology} {control}" for topology in TOPOLOGIES for control in CONTROLS
    }
    for row in table.rows:
        assert sum(float(str(share)) for share in row[1:]) == pytest.approx(1)


def test_levels_of_severity_are_numbered_axis_by_axis(shop: Shop) -> None:
    """What has no range has one level; a valve that is worn and leaks has two axes."""
    h = build(shop.catalogue, Model.of(open_rig("mist-bench")))
    levels = int(h.model.figures.get("severities") + h.model.figures.get("severities-beyond"))

    def of(mode: str) -> tuple[set[int], set[int]]:
        first, second = h.place[:, h.mode == h.modes.index(mode)]
        return set(first.tolist()), set(second.tolist())

    assert h.place.shape == (2, len(h))
    assert of("main-fuse-blown") == ({0}, {0})
    assert of("fuse-holder-corroded") == (set(range(levels)), {0})
    assert of("battery-aged") == (set(range(levels)), set(range(SECOND)))
