"""The healthy band, and what a reading says beside it: by hand for the bowser."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Measured

SUPPLY, HOLDER = "voltage lug+ lug- calling", "voltage fuse.in fuse.out calling"
FUSE, EARTH = "resistance fuse.in fuse.out", "resistance fuse.out ground"


@pytest.mark.parametrize(
    ("reading", "value", "verdict"),
    [
        (SUPPLY, 12.5, "within"),
        (SUPPLY, 11.0, "low"),
        (SUPPLY, 14.4, "high"),
        (SUPPLY, 0.0, "nothing"),
        (SUPPLY, 0.55, "nothing"),
        (SUPPLY, 0.7, "low"),
        (SUPPLY, -0.4, "nothing"),
        (SUPPLY, -12.5, "reversed"),
        (HOLDER, 0.08, "within"),
        (HOLDER, 1.2, "high"),
        (HOLDER, -0.6, "reversed"),
        (HOLDER, 0.0, "nothing"),
        (FUSE, 0.2, "within"),
        (FUSE, 5.0, "high"),
        (FUSE, LARGEST_OHMS, "open"),
        (FUSE, LARGEST_OHMS / 40, "open"),
        ("current motor-feed calling", 14.0, "within"),
        ("current motor-feed calling", 5.0, "low"),
        ("current motor-feed calling", 0.1, "nothing"),
        ("current motor-feed calling", 60.0, "high"),
        ("resistance float.in float.out", LARGEST_OHMS, "open"),
    ],
)
def test_verdicts(
    bench_of: Callable[[str], Bench], reading: str, value: float, verdict: str
) -> None:
    bench = bench_of("header-tank" if "float" in reading else "bowser")

    assert bench.healthy.verdict(Measured(reading_of(reading), value)) == verdict


def test_what_is_open_when_sound_is_within_when_open(bowser: Bench) -> None:
    """Between the contacts of a relay that is not called."""
    contacts = reading_of("resistance relay.30 relay.87")
    expected = bowser.healthy.expected(contacts)

    assert (expected.low, expected.high) == (LARGEST_OHMS / 40, LARGEST_OHMS)
    assert bowser.healthy.verdict(Measured(contacts, LARGEST_OHMS)) == "within"
    assert bowser.healthy.verdict(Measured(contacts, 0.3)) in ("low", "nothing")


@pytest.mark.parametrize(
    "reading", [SUPPLY, HOLDER, FUSE, "temperature motor", "flow-rate outlet calling"]
)
def test_the_band_lies_round_the_value_and_is_kept(bowser: Bench, reading: str) -> None:
    first = bowser.healthy.expected(reading_of(reading))

    assert first.low < first.value < first.high
    assert bowser.healthy.expected(reading_of(reading)) is first


@pytest.mark.parametrize(
    ("reading", "negative"),
    [
        ("voltage lug- battery- rest", True),
        ("current motor-feed rest", False),
        ("pressure outlet rest", False),
        (FUSE, False),
    ],
)
def test_nothing_but_a_voltage_can_read_below_nothing(
    bowser: Bench, reading: str, negative: bool
) -> None:
    """The meter errs to both sides of 0; a probe can stand the wrong way round for volts alone."""
    assert (bowser.healthy.expected(reading_of(reading)).low < 0) == negative


def test_the_band_holds_the_meter_and_the_rigs(bowser: Bench) -> None:
    """Wider than two meter errors, and nineteen of twenty sound rigs inside it."""
    quantity = bowser.shop.catalogue.quantities["voltage"]
    band = bowser.healthy.expected(reading_of(SUPPLY))
    values, _ = bowser.healthy.circuits.predict(reading_of(SUPPLY))

    meter = (quantity.absolute**2 + (quantity.relative * band.value) ** 2) ** 0.5
    assert band.high - band.value > 2 * meter
    assert ((values > band.low) & (values < band.high)).mean() > 0.9
    assert len(values) == 33
    assert band.high - band.value == pytest.approx(band.value - band.low)
