"""Which faults are hidden, how they are told, and that a seed gives the same drill again."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench
from diagnose.catalogue.load import shipped_catalogue
from diagnose.drill.choosing import again, drawn, given, groups, look_alikes
from diagnose.drill.hidden import comes_and_goes
from diagnose.drill.scenario import NothingToDrill, Scenario
from diagnose.errors import UnknownName
from diagnose.reasoning.posterior import posterior
from diagnose.units import read_quantity
from tests.once import RIGS

Draw = Callable[..., Scenario]
BenchOf = Callable[[str], Bench]
UNNOTICED = {"main-fuse-missing", "main-fuse-overrated", "accumulator-flat"}
"""Faults of which nobody need complain: there the rig is brought to be looked over."""


@pytest.mark.parametrize("rig", RIGS)
def test_every_failure_mode_can_be_drilled_where_it_applies(
    rig: str, bench_of: BenchOf, hidden_in: Draw
) -> None:
    """Each on two of the rigs that can have it."""
    before = [bench_of(name).hypotheses.modes for name in RIGS[: RIGS.index(rig)]]
    modes = bench_of(rig).hypotheses.modes
    here = [mode for mode in modes if sum(mode in others for others in before) < 2]
    assert here
    for number, mode in enumerate(here):
        scenario = hidden_in(rig, mode, level=1 + number % 3)
        assert scenario.truth.modes == (mode,)
        assert scenario.told.words
        assert scenario.told.complaint or mode in UNNOTICED


@pytest.mark.parametrize("level", [1, 2, 3])
def test_the_same_seed_is_the_same_drill(level: int, bowser: Bench, drawn_on: Draw) -> None:
    first, second = drawn_on("bowser", level, 2), drawn(bowser, level, 2)
    assert first.truth.modes == second.truth.modes
    assert first.told == second.told
    asked = ("fuse-holder-look", "voltage battery+ battery- calling", "onset")
    tests = [bowser.tests[name] for name in asked]
    assert [first.answer(test, 1) for test in tests] == [second.answer(test, 1) for test in tests]


def test_seeds_differ(drawn_on: Draw) -> None:
    drills = [drawn_on("header-tank", 2, seed) for seed in range(6)]
    assert len({drill.truth.modes for drill in drills}) >= 4
    assert len({drill.told.words for drill in drills}) >= 5


def test_level_1_hides_steady_faults(drawn_on: Draw) -> None:
    for seed in range(4):
        scenario = drawn_on("bowser", 1, seed)
        assert len(scenario.truth.modes) == 1
        assert not comes_and_goes(scenario.truth.variant)


def test_level_2_hides_a_fault_behind_a_likelier_one(drawn_on: Draw) -> None:
    for seed in range(6):
        scenario = drawn_on("header-tank", 2, seed)
        true = scenario.truth.modes[0]
        ranking = dict(posterior(scenario.bench.predictions, scenario.findings()).ranking)
        alike = look_alikes(scenario.bench, true)
        assert max(ranking[name] for name in alike) >= ranking[true]


def test_level_3_hides_two_faults_or_one_that_comes_and_goes(drawn_on: Draw) -> None:
    counts = set()
    for seed in range(60):  # until both have come up; by chance of the book that is soon
        scenario = drawn_on("bowser", 3, seed)
        counts.add(len(scenario.truth.modes))
        assert len(scenario.repairs) == 2 or comes_and_goes(scenario.truth.variant)
        if seed >= 7 and len(counts) == 2:
            break
    assert counts == {1, 2}


OPENED = {"pump-valves-fouled": "valve-held-open", "pump-diaphragm-torn": "diaphragm-torn"}


@pytest.mark.parametrize("level", [1, 2, 3])
@pytest.mark.parametrize("mode", OPENED)
def test_what_is_opened_shows_what_is_in_it(hidden_in: Draw, mode: str, level: int) -> None:
    """Whoever holds the valve plate in the hand sees the valve that is held open."""
    for seed in range(4):
        scenario = hidden_in("bowser", mode, level, seed)
        head = scenario.bench.tests["pump-head-opened"]
        assert scenario.answer(head) == OPENED[mode]


@pytest.mark.parametrize("level", [1, 2, 3])
@pytest.mark.parametrize("mode", ["feed-wire-open", "main-fuse-blown", "master-switch-open"])
def test_nothing_is_hot_where_no_current_flows(hidden_in: Draw, mode: str, level: int) -> None:
    """Heat is current squared times resistance: Joule's law. A coil that is fed gets warm."""
    for seed in range(3):
        scenario = hidden_in("bowser", mode, level, seed)
        felt = {
            name: scenario.answer(test)
            for name, test in scenario.bench.tests.items()
            if name.endswith("-heat")
        }
        coil = scenario.answer(scenario.bench.tests["voltage relay.86 relay.85 calling"])
        fed = read_quantity(coil, "V") > 1
        assert felt.pop("relay-heat") == "cool" or fed
        assert set(felt.values()) == {"cool"}, (mode, seed, felt)


@pytest.mark.parametrize("level", [1, 2])
def test_looks_are_chance_at_the_hardest_level_only(drawn_on: Draw, level: int) -> None:
    for seed in range(4):
        assert strayed(drawn_on("bowser", level, seed)) == {}


def test_a_look_may_stray_at_level_3_and_is_named(drawn_on: Draw) -> None:
    found = [strayed(drawn_on("bowser", 3, seed)) for seed in range(8)]

    assert any(found)
    book = shipped_catalogue().observations
    for name, (answer, usual) in (pair for one in found for pair in one.items()):
        assert book[name].way in ("told", "look")
        assert not book[name].opens
        assert answer != usual
        assert {answer, usual} <= set(book[name].options)


def strayed(scenario: Scenario) -> dict[str, tuple[str, str]]:
    """Every answer of a drill that is chance, and what is usual."""
    found = {name: scenario.answer(test) for name, test in scenario.bench.tests.items()}
    usual = {name: scenario.strayed(scenario.bench.tests[name], found[name]) for name in found}
    return {name: (found[name], most) for name, most in usual.items() if most}


def test_a_group_is_kept_to(drawn_on: Draw) -> None:
    scenario = drawn_on("mist-bench", 1, 3, "plumbing")
    book = scenario.bench.shop.catalogue.failure_modes
    assert book[scenario.truth.modes[0]].group == "plumbing"
    assert "relay" not in groups(scenario.bench)
    with pytest.raises(UnknownName, match="relay"):
        drawn_on("mist-bench", 1, 3, "relay")


def test_what_is_needed_is_drawn(bowser: Bench) -> None:
    assert again(bowser, 1, 1, {"ground-open": 4.0, "pump-drive-worn": 0.0}).truth.modes == (
        "ground-open",
    )
    with pytest.raises(NothingToDrill):
        again(bowser, 1, 1, {})


def test_a_fault_that_this_rig_cannot_have_is_refused(bowser: Bench) -> None:
    with pytest.raises(NothingToDrill, match="float-inverted cannot be hidden"):
        given(bowser, 1, 1, "float-inverted")
    with pytest.raises(UnknownName, match="fuse-holder-corroded"):
        given(bowser, 1, 1, "fuse-holder-corodded")


def test_a_complaint_is_one_or_two_plain_sentences_and_names_no_fault(drawn_on: Draw) -> None:
    for seed in range(6):
        scenario = drawn_on("bowser", 2, seed)
        assert 1 <= sum(scenario.told.words.count(mark) for mark in ".?") <= 4
        assert scenario.truth.modes[0] not in scenario.told.words


def test_customers_guess_without_a_look_at_the_fault(drawn_on: Draw) -> None:
    """Somebody says the battery of a rig whose battery is well."""
    told = (drawn_on("bowser", 2, seed) for seed in range(32))
    assert any("battery" in one.told.words and "battery" not in one.truth.modes[0] for one in told)
