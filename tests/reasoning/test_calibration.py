"""A rig held against its own readings: what they narrow, and how far they may be trusted."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.parameters import Array
from diagnose.circuit.reading_words import reading_of
from diagnose.errors import BadDocument, Place
from diagnose.reasoning.calibration import CalibratedRig, Gaussian, condition_on
from diagnose.reasoning.commissioning import (
    AlreadyRecorded,
    CommissioningRecord,
    dates_in_words,
    parse_date,
    record_line,
)
from diagnose.reasoning.error_models import STUDENT
from diagnose.reasoning.evidence import Measured, parse_reading
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import drift_sentences, evidence_in_words
from diagnose.reasoning.hypotheses import any_rig, build, normal_draws, varied
from diagnose.reasoning.predictions import scatter
from diagnose.reasoning.reading_selection import MOST, STATES, select_readings

NEW = date(2026, 5, 3)
HERE = Place("test")
AMPS = "current motor-feed calling"


def taken(bench: Bench, *lines: str) -> CommissioningRecord:
    """A record of one day."""
    book = bench.shop.catalogue
    return CommissioningRecord().with_day(
        NEW, [parse_reading(one, book, bench.rig, HERE) for one in lines]
    )


def own(bench: Bench, *lines: str) -> CalibratedRig:
    return CalibratedRig(bench.shop.catalogue, bench.model, taken(bench, *lines))


def healthy(bench: Bench, *lines: str) -> Healthy:
    return Healthy(bench.shop.catalogue, bench.model, own(bench, *lines))


def test_without_a_record_every_column_is_as_it_was(bowser: Bench) -> None:
    """To the last bit: the sound rigs behind the columns are those of the book."""
    rows = len(bowser.model.figures.table("spreads").rows)
    assert np.array_equal(any_rig(bowser.model)(9), normal_draws(9, rows))
    plain = build(bowser.shop.catalogue, bowser.model)
    said_so = build(bowser.shop.catalogue, bowser.model, own=any_rig(bowser.model))
    assert plain.own is None
    for name in ("feed_1", "coil", "motor.resistance", "battery.voltage"):
        assert np.array_equal(plain.scene.batch[name], said_so.scene.batch[name])
    assert np.array_equal(plain.weight, said_so.weight)


def test_a_record_without_readings_says_nothing(bowser: Bench) -> None:
    known = CalibratedRig(bowser.shop.catalogue, bowser.model, CommissioningRecord()).lasting
    nothing = Gaussian.standard(len(known.mean))
    assert np.array_equal(known.mean, nothing.mean)
    assert np.array_equal(known.root, nothing.root)


@pytest.mark.parametrize("stated", [0.4, 1.5, 9.0])
def test_one_reading_narrows_as_the_integral_says(stated: float) -> None:
    """Bayes' rule by quadrature: a standard normal, read with Student's law of spread 0.7. Beside
    it the mean may err by a tenth and the spread by a fifth; a reading nine away from the middle
    has to count for little."""
    grid = np.linspace(-8, 8, 4001)
    weight = np.exp(-(grid**2) / 2) * STUDENT.density((stated - grid) / 0.7)
    weight /= weight.sum()
    mean = float(grid @ weight)
    spread = float(np.sqrt((grid - mean) ** 2 @ weight))

    def read(draws: Array) -> tuple[Array, Array]:
        return draws[:1], np.full((1, draws.shape[1]), 0.7)

    found = condition_on(read, np.array([stated]), 2, 400)
    if stated > 5:
        assert abs(found.mean[0, 0]) < stated / 3
        return
    assert found.mean[0, 0] == pytest.approx(mean, abs=0.1)
    assert float(np.sqrt((found.root @ found.root.T)[0, 0])) == pytest.approx(spread, rel=0.2)
    assert found.mean[1, 0] == pytest.approx(0, abs=1e-6)


RECORD = (
    f"{AMPS} = 12.1 A",
    "voltage motor- lug- calling = 0.160 V",
    "pressure outlet calling = 53 psi",
)


def test_it_agrees_with_rigs_weighed_one_by_one(bowser: Bench) -> None:
    """Plain importance sampling over 20,000 sound rigs: what they would read on another day."""
    rig = own(bowser, *RECORD)
    size = len(rig.middle)
    draws = np.random.default_rng(3).standard_normal((3 * size, 20_000))
    lasting, then, now = draws[:size], draws[size : 2 * size], draws[2 * size :]
    items = rig.record.days[0].read
    shown, spread = rig.read([item.reading for item in items], lasting, then)
    stated = np.array([[item.value] for item in items])
    logs = np.log(STUDENT.density((stated - shown) / spread) / spread).sum(axis=0)
    weight = np.exp(logs - logs.max())
    weight /= weight.sum()
    assert 1 / (weight**2).sum() > 500  # enough of them explain the record to compare with
    found = Circuits(bowser.model, varied(bowser.model, rig.draws(400)))
    for name in (AMPS, "voltage motor- lug- calling", "pressure outlet calling"):
        reading = reading_of(name)
        there = rig.read([reading], lasting, now)[0][0]
        mean = float(there @ weight)
        apart = float(np.sqrt((there - mean) ** 2 @ weight))
        here = found.predict(reading)[0]
        assert here.mean() == pytest.approx(mean, abs=0.25 * apart)
        assert here.std() == pytest.approx(apart, rel=0.25)


def test_the_bands_are_narrower_and_lie_where_the_rig_reads(bowser: Bench) -> None:
    found = healthy(bowser, *RECORD)
    mine, any_other = found.expected(reading_of(AMPS)), found.by_the_book.expected(reading_of(AMPS))
    assert mine.book == any_other
    assert mine.high - mine.low < 0.9 * (any_other.high - any_other.low)
    assert 12.1 <= mine.value < any_other.value
    assert found.by_the_book.by_the_book is found.by_the_book


def test_a_battery_and_the_weather_are_of_another_day(bowser: Bench) -> None:
    """A cold morning with a full battery says nothing about either today."""
    lines = ("voltage battery+ battery- rest = 12.85 V", "temperature wire = 3 degC")
    found = healthy(bowser, *lines)
    for name in ("voltage battery+ battery- rest", "temperature pressure-switch"):
        mine, any_other = (
            found.expected(reading_of(name)),
            found.by_the_book.expected(reading_of(name)),
        )
        half = (any_other.high - any_other.low) / 2
        assert mine.value == pytest.approx(any_other.value, abs=0.15 * half)
        assert mine.high - mine.low > 0.9 * 2 * half


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_the_rig_reads_later_lies_in_its_own_bands(bowser: Bench, seed: int) -> None:
    """Rigs drawn as sound rigs differ, recorded with the meter's error, read again another day:
    two standard deviations hold some 95 of 100, and no fewer than 85 of these."""
    random = np.random.default_rng(seed)
    book, model = bowser.shop.catalogue, bowser.model
    empty = CalibratedRig(book, model, CommissioningRecord())
    size = len(empty.middle)
    lasting, then, now = (random.standard_normal((size, 1)) for _ in range(3))
    readings: list[Reading] = [t.entry.reading for t in select_readings(book, model)]  # type: ignore[union-attr]
    new = empty.read(readings, lasting, then)[0][:, 0]
    lines = []
    for reading, value in zip(readings, new, strict=True):
        meter = scatter(book, model.figures, reading, np.array([value]))[0]
        lines.append(f"{reading} = {random.normal(value, meter):.4f} {reading.unit}")
    found = healthy(bowser, *lines)
    later = empty.read(readings, lasting, now)[0][:, 0]
    inside = [
        found.expected(reading).low <= value <= found.expected(reading).high
        for reading, value in zip(readings, later, strict=True)
    ]
    assert sum(inside) >= 0.85 * len(inside)


def amps(bench: Bench, value: str) -> Measured:
    return parse_reading(f"{AMPS} = {value}", bench.shop.catalogue, bench.rig, HERE)


def test_a_reading_of_the_books_that_is_not_the_rigs_has_drifted(bowser: Bench) -> None:
    found = healthy(bowser, *RECORD)
    high = found.expected(reading_of(AMPS)).high
    odd, usual = amps(bowser, f"{high + 0.6:.1f} A"), amps(bowser, "12.3 A")
    assert found.by_the_book.verdict(odd) == "within"
    assert found.verdict(odd) == "high"
    assert [one.text for one in drift_sentences([odd, usual], found)] == [
        f"current motor-feed, asked to run has drifted: {odd.typed}; well, this rig reads "
        f"{found.expected(odd.reading).low:.3g} to {high:.3g} A."
    ]
    assert "(this rig " in evidence_in_words(odd, found)
    assert [*drift_sentences([odd, amps(bowser, "40 A")], found.by_the_book)] == []
    assert not found.has_drifted(amps(bowser, "40 A"))  # off the book too: that is a fault


def test_a_day_is_added_to_and_never_changed(bowser: Bench) -> None:
    before = taken(bowser, f"{AMPS} = 12.1 A")
    again = before.with_day(NEW, [amps(bowser, "12.1 A")])
    assert again == before
    with pytest.raises(AlreadyRecorded, match=r"2026-05-03 already, as 12\.1 A; it stays"):
        before.with_day(NEW, [amps(bowser, "13 A")])
    later = before.with_day(date(2026, 6, 1), [amps(bowser, "13 A")])
    assert later.dates == ("2026-05-03", "2026-06-01")
    assert later.count == 2
    assert dates_in_words(later) == "Held against its own readings of 2026-05-03 and 2026-06-01."
    assert [record_line(item) for item in later.on(NEW)] == [f"{AMPS} = 12.1 A"]


@pytest.mark.parametrize("typed", ["3 May", "2026-5-3", "2026-02-30", "20260503"])
def test_a_day_is_written_in_one_way(typed: str) -> None:
    with pytest.raises(BadDocument, match="write it like 2026-05-03"):
        parse_date(typed, HERE)


def test_the_best_readings_are_different_ones(bench_of: Callable[[str], Bench]) -> None:
    for name in ("bowser", "mist-bench"):
        bench = bench_of(name)
        found = select_readings(bench.shop.catalogue, bench.model)
        names = [test.id for test in found]
        assert AMPS in names
        assert "current battery calling" not in names  # says the same again
        assert "voltage battery+ battery- rest" in names
        assert len(names) <= MOST + 2
        assert [test.state for test in found] == sorted(
            (test.state for test in found), key=STATES.index
        )
