"""How well the book fits what was found: against tables of chi-square, by hand, and on a rig."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.consistency import FITS, Fit, combined_tail, goodness_of_fit
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.posterior import posterior
from diagnose.reasoning.predictions import Band, Predictions
from tests.outside.belief_tables import READING, book, causes, figures, told, yes

LIMITS = {"odd-below": "0.1", "misfit-below": "0.05", "misread": "0"}


def test_fishers_own_example_of_three_tests() -> None:
    """Source: R. A. Fisher, Statistical Methods for Research Workers, 21.1: probabilities of .145,
    .263 and .087 come to a chi-square of 11.42 with 6 degrees, and together to .076 (from memory;
    recomputed: exp(-5.709) (1 + 5.709 + 5.709^2 / 2))."""
    assert combined_tail([0.145, 0.263, 0.087]) == pytest.approx(0.076, abs=5e-4)


@pytest.mark.parametrize(
    ("degrees", "chance", "critical"),
    [
        (2, 0.05, 5.991),
        (4, 0.05, 9.488),
        (6, 0.05, 12.592),
        (10, 0.05, 18.307),
        (20, 0.05, 31.410),
        (4, 0.01, 13.277),
        (10, 0.01, 23.209),
        (4, 0.90, 1.064),
    ],
)
def test_the_tail_is_that_of_the_table_of_chi_square(
    degrees: int, chance: float, critical: float
) -> None:
    """Critical values of chi-square, as any table of it has (NIST/SEMATECH e-Handbook of
    Statistical Methods, 1.3.6.7.4; from memory), shared alike by half as many findings."""
    count = degrees // 2

    assert combined_tail([exp(-critical / 2 / count)] * count) == pytest.approx(chance, abs=2e-4)


def test_one_finding_stands_for_itself_and_none_for_nothing() -> None:
    assert combined_tail([0.03]) == pytest.approx(0.03)
    assert combined_tail([]) == 1.0
    assert combined_tail([0.0, 0.5]) > 0
    assert FITS.fits


def held(chances: dict[str, list[float]], prior: list[float], *found: Evidence) -> Fit:
    """The fit of answers of yes and no with their chances under each cause."""
    hypotheses = causes(prior, figures=figures(**LIMITS))
    predictions = told(hypotheses, {name: np.array(row) for name, row in chances.items()})
    evidence = [*(found or yes(chances))]
    return goodness_of_fit(predictions, posterior(predictions, evidence))


def test_findings_that_the_cause_mostly_shows_fit() -> None:
    """By hand: 0.3 twice is 0.09 (1 - ln 0.09); what is seen every other time is not odd at all."""
    unlikely = held({"one": [0.3], "two": [0.3]}, [1.0])
    usual = held({"one": [0.5], "two": [0.9]}, [1.0])

    assert unlikely.fits
    assert usual.fits
    assert unlikely.chance == pytest.approx(0.09 * (1 - log(0.09)))
    assert usual.chance == pytest.approx(1.0)
    assert unlikely.odd == usual.odd == ()


def test_findings_that_no_cause_shows_do_not_fit() -> None:
    """By hand: 0.02 and 0.03 are together 0.0006 (1 - ln 0.0006)."""
    found = held({"one": [0.03], "two": [0.02], "three": [1.0]}, [1.0])

    assert [item.id for item in found.odd] == ["two", "one"]
    assert not found.fits
    x = 0.0006
    assert found.chance == pytest.approx(x * (1 - log(x) + log(x) ** 2 / 2))


def test_each_finding_is_held_against_what_all_of_them_leave() -> None:
    """One cause, which nearly always shows one sign and hardly ever the other: both seen have the
    tails 1 and 0.001, and together x (1 - ln x) with x = 0.001."""
    found = held({"one": [0.99], "two": [0.001]}, [1.0])
    alone = held({"one": [0.99], "two": [0.001]}, [1.0], Seen("one", "yes"))

    assert found.chance == pytest.approx(0.001 * (1 - log(0.001)))
    assert not found.fits
    assert alone.fits


def test_a_finding_that_points_to_a_rare_cause_is_not_odd() -> None:
    """A cause of one in a hundred that alone shows a sign: once it is seen, the cause has it."""
    found = held({"one": [0.001, 0.99]}, [0.99, 0.01], Seen("one", "yes"))

    assert found.fits


def test_what_was_reported_first_is_not_held_against_the_book() -> None:
    """Somebody tells what is out of the ordinary: that it is so says nothing of the book."""
    reported = held({"one": [0.001]}, [1.0], replace(Seen("one", "yes"), reported=True))

    assert reported == FITS


def test_a_reading_is_as_odd_as_it_is_far_from_what_is_expected() -> None:
    """Source: 0.0455 lies outside two standard deviations, as any table of the normal has it; and
    one reading in fifty is a misreading, which can be anything."""
    model: Any = {"rig": SimpleNamespace(pump_current=10.0, charging=())}
    hypotheses = causes([1.0], figures=figures(**{**LIMITS, "misread": "0.02"}), **model)
    band = Band(np.array([12.0]), np.array([1.0]))
    predictions = Predictions(book(), hypotheses, _bands={READING: band})

    found = goodness_of_fit(predictions, posterior(predictions, [Measured(READING, 14.0)]))

    assert 2 * float(normal_cdf(np.array(-2.0))) == pytest.approx(0.0455, abs=1e-4)
    assert found.chance == pytest.approx(0.02 + 0.98 * 0.0455, abs=1e-4)


def volts(words: str, value: float) -> Measured:
    return Measured(reading_of(f"voltage {words}"), value)


def test_a_bad_joint_fits_and_a_battery_at_16_volts_does_not(bowser: Bench) -> None:
    """By hand: 14 A through 0.1 ohm of a holder; no entry tells of more than a charger gives."""
    joint: list[Evidence] = [
        Seen("pump-action", "slow"),
        Seen("fuse-holder-look", "corroded"),
        volts("fuse.in fuse.out calling", 1.4),
        volts("battery+ battery- calling", 12.4),
    ]
    wild: list[Evidence] = [
        Seen("pump-action", "normal"),
        volts("battery+ battery- rest", 16.4),
        volts("battery+ battery- calling", 16.0),
        volts("motor+ motor- calling", 15.4),
    ]
    found = [
        goodness_of_fit(bowser.predictions, posterior(bowser.predictions, one))
        for one in (joint, wild)
    ]

    assert [one.fits for one in found] == [True, False]
    assert found[0].odd == ()
    assert {item.id for item in found[1].odd} >= {item.id for item in wild[1:3]}
