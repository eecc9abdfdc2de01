"""What no test separates: against channels whose information is known, and on the shipped rigs.

A pair of failure modes and a test are an input and a channel: what the test teaches of an even
choice is the channel's capacity where the channel is symmetric. Source of the formulas: Cover and
Thomas, Elements of Information Theory, chapter 7 (binary symmetric and erasure channel); memory.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from math import comb, log2

import numpy as np
import pytest

from diagnose.audit.limits import CODES, limits
from diagnose.audit.separation import SAMPLES, Separation, Sheet, bits_to_reach, separation
from diagnose.bench import Bench
from diagnose.catalogue.issues import Severity


def h(p: float) -> float:
    return -p * log2(p) - (1 - p) * log2(1 - p)


def sheet(rows: list[list[float]], tests: int) -> Sheet:
    """One hypothesis a failure mode, each test with as many outcomes as the others."""
    chances = np.array(rows)
    start = np.arange(tests) * (chances.shape[1] // tests)
    return Sheet(chances, start, np.arange(len(rows)), np.ones(len(rows)))


@pytest.mark.parametrize("error", [0.001, 0.05, 0.11, 0.3, 0.5])
def test_one_test_is_a_binary_symmetric_channel(error: float) -> None:
    found = sheet([[1 - error, error], [error, 1 - error]], 1)

    assert found.apart(0, 1)[0] == pytest.approx(1 - h(error), abs=1e-9)


@pytest.mark.parametrize("lost", [0.1, 0.6])
def test_one_test_is_an_erasure_channel(lost: float) -> None:
    found = sheet([[1 - lost, 0.0, lost], [0.0, 1 - lost, lost]], 1)

    assert found.apart(0, 1)[0] == pytest.approx(1 - lost, abs=1e-9)


def repeated(error: float, times: int) -> float:
    """Information of a symmetric test that is made several times, by enumeration. [bit]"""
    left = 0.0
    for wrong in range(times + 1):
        here = comb(times, wrong) * error**wrong * (1 - error) ** (times - wrong)
        there = comb(times, wrong) * error ** (times - wrong) * (1 - error) ** wrong
        left += (here + there) / 2 * h(here / (here + there)) if here != there else here
    return 1 - left


@pytest.mark.parametrize(("error", "times"), [(0.2, 1), (0.2, 3), (0.3, 5), (0.02, 2)])
def test_all_tests_together_teach_what_enumeration_says(error: float, times: int) -> None:
    row = [1 - error, error] * times
    found = sheet([row, row[::-1]] * 8, times).together()

    pairs = [found[i, j] for i, j in product(range(0, 16, 2), range(1, 16, 2))]

    assert np.mean(pairs) == pytest.approx(repeated(error, times), abs=2 / SAMPLES)


def test_tests_that_speak_only_together_are_heard() -> None:
    """One failure mode answers both alike, the other unlike: neither answer alone says anything."""
    yes, no = [1.0, 0.0], [0.0, 1.0]
    rows = [yes + yes, no + no, yes + no, no + yes]
    found = Sheet(np.array(rows), np.array([0, 2]), np.array([0, 2]), np.full(4, 0.5))

    assert found.apart(0, 1) == pytest.approx([0.0, 0.0])
    assert found.together()[0, 1] == pytest.approx(1.0, abs=1e-6)


def test_alike_failure_modes_stay_alike() -> None:
    found = sheet([[0.7, 0.3, 0.1, 0.9], [0.7, 0.3, 0.1, 0.9]], 2)

    assert found.together()[0, 1] == pytest.approx(0.0, abs=1e-9)
    assert found.apart(0, 1) == pytest.approx([0.0, 0.0], abs=1e-12)


def test_a_bit_makes_certain_and_half_a_bit_nine_to_one() -> None:
    assert bits_to_reach(1.0) == pytest.approx(1.0)
    assert bits_to_reach(0.5) == pytest.approx(0.0)
    assert bits_to_reach(0.89) == pytest.approx(0.5, abs=0.001)
    assert bits_to_reach(0.9) == pytest.approx(1 - h(0.9))


@pytest.fixture(scope="module")
def bench_apart(bench_of: Callable[[str], Bench]) -> Separation:
    return separation(bench_of("mist-bench"))


def test_pairs_have_different_repairs_and_the_best_test_teaches_no_more_than_all(
    bench_apart: Separation, bench_of: Callable[[str], Bench]
) -> None:
    repair = bench_of("mist-bench").shop.repair

    for pair in bench_apart.pairs:
        assert repair[pair.modes[0]] != repair[pair.modes[1]]
        assert 0 <= pair.best_bits <= pair.bits <= 1 + 1e-9
    assert max(bits for _, bits in bench_apart.most) == pytest.approx(
        max(pair.best_bits for pair in bench_apart.pairs)
    )


def test_what_a_glance_tells_apart_is_apart(bench_apart: Separation) -> None:
    bits = {frozenset(pair.modes): pair.bits for pair in bench_apart.pairs}

    assert bits[frozenset(("main-fuse-blown", "nozzle-too-large"))] > 0.95
    assert bits[frozenset(("ground-open", "suction-air-leak"))] > 0.95


def test_limits_are_notes_with_places(bench_of: Callable[[str], Bench]) -> None:
    found = limits({"mist-bench": bench_of("mist-bench")})

    assert {issue.severity for issue in found} == {Severity.NOTE}
    assert {issue.code for issue in found} <= set(CODES)
    assert all(issue.place and "knowledge" in issue.place.file for issue in found)
    said = [issue.text for issue in found if issue.code == "B101"]
    assert all("bit on mist-bench" in text and "0.53 would make" in text for text in said)
    (priors,) = (issue.text for issue in found if issue.code == "B103")
    assert "priors are estimates" in priors
