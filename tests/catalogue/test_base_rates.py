"""Priors corrected by counts of recorded repairs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.catalogue.base_rates import BaseRates, Count
from diagnose.catalogue.load import load_catalogue
from diagnose.documents import load
from diagnose.errors import Mistakes
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read
from tests.recorded.base_rates import found_in, likeliest_worth
from tests.recorded.records import records

HOLDER, BLOWN = "fuse-holder-corroded", "main-fuse-blown"

RATES = """\
worth: 2
why: By hand.
sources: [workshop]
untold: [main-fuse-blown]
cases: 10
counts:
  fuse-holder-corroded: {found: 4, expected: 1}
  main-fuse-blown: {found: 0, expected: 6}
"""


@pytest.fixture
def counted(folder: Path) -> Path:
    """Sound knowledge with counts."""
    (folder / "base_rates.yaml").write_text(RATES, encoding="utf-8")
    return folder


def test_a_prior_is_multiplied_by_what_was_found_against_what_was_expected(counted: Path) -> None:
    """By hand: (2 + 4) / (2 + 1). What people put right and do not tell keeps its estimate."""
    modes = load_catalogue(counted).failure_modes

    assert modes[HOLDER].prior.counted == pytest.approx(2.0)
    assert modes[BLOWN].prior.counted == 1.0


def test_without_counts_every_estimate_stands(folder: Path) -> None:
    assert {mode.prior.counted for mode in load_catalogue(folder).failure_modes.values()} == {1.0}


def test_counts_in_plenty_outweigh_the_estimate() -> None:
    """The mean of a Gamma distribution after Poisson counts (Gelman and others, Bayesian Data
    Analysis, section 2.6: rate, conjugate): prior shape a and rate a, x cases where e were
    expected, (a + x) / (a + e)."""
    many = BaseRates(worth=2.0, cases=1000, counts={HOLDER: Count(300.0, 100.0)})

    assert many.ratio(HOLDER) == pytest.approx(302 / 102)
    assert many.ratio("not-counted") == 1.0


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("  main-fuse-blown: {", "  main-fuse-blow: {", "main-fuse-blow"),
        ("untold: [main-fuse-blown]", "untold: [main-fuze-blown]", "main-fuze-blown"),
        ("[workshop]", "[workshops]", "workshops"),
        ("worth: 2", "worth: 0", "worth"),
        ("found: 4", "found: -4", "found"),
        ("cases: 10", "case: 10", "cases"),
    ],
)
def test_a_slip_is_named_with_its_line(
    counted: Path, spoil: Callable[[str, str, str], None], old: str, new: str, said: str
) -> None:
    spoil("base_rates.yaml", old, new)

    with pytest.raises(Mistakes) as caught:
        load_catalogue(counted)

    assert any(
        said in str(one) and "base_rates.yaml, line" in str(one) for one in caught.value.problems
    )


def test_what_was_found_is_what_the_learning_half_of_the_recorded_cases_holds() -> None:
    """Otherwise: python -m tests.recorded --base-rates."""
    rates = read(BaseRates, load(knowledge_folder() / "base_rates.yaml"))
    found = found_in(records("learning"))

    assert {name: one.found for name, one in rates.counts.items() if one.found} == found
    assert rates.cases == sum(found.values())
    assert sum(one.expected for one in rates.counts.values()) == pytest.approx(
        rates.cases, rel=0.01
    )


def test_the_likeliest_worth_is_large_where_counts_are_as_expected() -> None:
    steps = [0.25, 1.0, 4.0, 16.0]
    as_expected = {str(n): Count(5.0, 5.0) for n in range(20)}
    far_off = {str(n): Count(10.0 * (n % 2), 5.0) for n in range(20)}

    assert likeliest_worth(as_expected, steps) == 16.0
    assert likeliest_worth(far_off, steps) < 4.0
