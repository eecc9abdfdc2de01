"""Answers that a failure mode never gives, and answers that say nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from diagnose.audit.limits import NEIGHBOUR, NEVER, chances_of_answers, never, says_nothing
from diagnose.bench import Bench
from tests.once import RIGS

BenchOf = Callable[[str], Bench]


@pytest.fixture(scope="module")
def rigs(bench_of: BenchOf) -> Mapping[str, Bench]:
    return {name: bench_of(name) for name in RIGS[:3]}


def test_what_is_found_is_shown_by_a_neighbour_alone(rigs: Mapping[str, Bench]) -> None:
    chances = chances_of_answers(rigs)

    for answer, modes, like in never(rigs):
        assert all(chances[answer][mode] < NEVER for mode in modes)
        assert all(chances[answer][mode] >= NEIGHBOUR for mode in like)


def test_a_reason_is_enough(rigs: Mapping[str, Bench]) -> None:
    """Whatever gives its reason is not named."""
    book = next(iter(rigs.values())).shop.catalogue.failure_modes

    for (name, option), modes, _ in never(rigs):
        assert not [mode for mode in modes if option in book[mode].never_shows.get(name, {})]


def test_no_reason_is_given_for_what_can_be_seen(rigs: Mapping[str, Bench]) -> None:
    """Nothing that is called impossible is common on a bundled rig."""
    book = next(iter(rigs.values())).shop.catalogue.failure_modes
    chances = chances_of_answers(rigs)

    wrong = [
        f"{mode.id} {name}: {option}"
        for mode in book.values()
        for name, reasons in mode.never_shows.items()
        for option in reasons
        if chances.get((name, option), {}).get(mode.id, 0.0) > 5 * NEVER
    ]
    assert not wrong


def test_answers_that_say_nothing_are_few(rigs: Mapping[str, Bench]) -> None:
    assert len([*says_nothing(rigs)]) < 8
