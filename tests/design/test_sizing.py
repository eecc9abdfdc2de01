"""Wire sizes: how they grow, and what they take for the copper in a wire.

The published tables are held against them in tests/outside/design_tables.py.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.design.ampacity import allowed, smallest_for, warmth_factor
from diagnose.design.checks_fuse import opening_window
from diagnose.design.recommend import recommend
from diagnose.design.site import insulation_classes, site
from diagnose.design.sizing import (
    choose,
    either,
    gauges,
    least_copper,
    metric_sizes,
    smallest_by_resistance,
)
from diagnose.errors import BadQuantity
from diagnose.figures import shipped_figures
from diagnose.units import read_gauge

FIGURES = shipped_figures()
AMPS, METRES = st.floats(0.5, 60), st.floats(0.3, 30)


@given(AMPS, METRES, st.floats(1.0, 3.0))
def test_more_current_length_or_care_never_asks_for_thinner_wire(
    amps: float, metres: float, more: float
) -> None:
    base = choose(amps, metres, 0.03, FIGURES)
    for harder in (
        choose(amps * more, metres, 0.03, FIGURES),
        choose(amps, metres * more, 0.03, FIGURES),
        choose(amps, metres, 0.03 / more, FIGURES),
    ):
        for thin, thick in zip(base.sizes, harder.sizes, strict=True):
            assert thick is None or (thin is not None and thick.area >= thin.area)


@given(AMPS, METRES)
def test_wire_of_the_table_never_loses_more_than_the_table_permits(
    amps: float, metres: float
) -> None:
    """K stands for copper at 29 degC and the least area of a gauge, true wire has more copper."""
    choice = choose(amps, metres, 0.03, FIGURES)
    true = smallest_by_resistance(amps, metres, choice.volts, 20, FIGURES)

    for table, resistance in zip(choice.sizes, true, strict=True):
        if table is not None:
            assert resistance is not None
            assert resistance.area <= table.area


@pytest.mark.parametrize("size", [*gauges(FIGURES), *metric_sizes(FIGURES)], ids=lambda s: s.name)
def test_the_least_copper_of_a_size_is_below_its_nominal_area(size: object) -> None:
    """At most 16 % below; SAE minimum areas, and IEC 60228 class 5."""
    area, least = size.area, size.least * 5.067e-4  # type: ignore[attr-defined]

    assert 0.84 * area < least < area


def test_a_size_of_no_table_counts_with_its_nominal_area() -> None:
    assert least_copper(5.0, FIGURES) == pytest.approx(5.0 / 5.067e-4, rel=1e-3)
    assert least_copper(read_gauge("3 AWG"), FIGURES) == pytest.approx(52634, rel=1e-3)
    assert least_copper(read_gauge("10 AWG"), FIGURES) == 9343


def test_beyond_the_tables_it_says_so() -> None:
    choice = choose(100, 100, 0.03, FIGURES)

    assert choice.sizes == (None, None)
    assert either(choice.sizes) == "more than 4/0 AWG or 120 mm2"


# --- allowable current ----------------------------------------------------------------------------


@given(st.sampled_from(insulation_classes(FIGURES)), st.floats(-20, 59), st.floats(0, 40))
def test_warmer_air_never_allows_more(insulation: int, air: float, warmer: float) -> None:
    cool, hot = (warmth_factor(insulation, one, FIGURES) for one in (air, air + warmer))

    assert 0 <= hot <= cool <= 1


def test_wire_for_a_fuse_is_never_thinner_than_16_awg() -> None:
    assert either(smallest_for(1, site(), FIGURES)) == "16 AWG or 1.5 mm2"


def test_wire_thinner_than_the_table_carries_in_proportion() -> None:
    half = allowed(read_gauge("18 AWG") / 2, site(), FIGURES).amps

    assert half == pytest.approx(10)


@pytest.mark.parametrize(
    "wrong", [{"insulation": 100}, {"air": 105}, {"air": 60, "insulation": 60}]
)
def test_a_site_that_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(BadQuantity):
        site(**wrong)  # type: ignore[arg-type]


# --- fuses and the whole --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ratio", "shortest", "longest"),
    [
        (1.35, 0.75, 1800),
        (1.6, 0.25, 50),
        (2.0, 0.15, 5),
        (3.5, 0.04, 0.5),
        (6.0, 0.02, 0.1),
    ],
)
def test_the_window_of_a_fuse_at_the_published_points(
    ratio: float, shortest: float, longest: float
) -> None:
    """ISO 8820-3, as in tests/tables/fuse.yaml; 1.6 and 6.0 from memory."""
    assert opening_window(ratio, FIGURES) == pytest.approx((shortest, longest))


def test_a_fuse_need_not_open_below_135_per_cent_and_never_does_below_110() -> None:
    inf = float("inf")

    assert opening_window(1.0, FIGURES) == (inf, inf)
    assert opening_window(1.2, FIGURES)[1] == inf
    assert opening_window(12, FIGURES)[0] == pytest.approx(0.005)


@given(st.floats(1.36, 20), st.floats(1, 2))
def test_more_current_opens_a_fuse_sooner(ratio: float, more: float) -> None:
    less, sooner = opening_window(ratio, FIGURES), opening_window(ratio * more, FIGURES)

    assert all(b <= a * (1 + 1e-9) for a, b in zip(less, sooner, strict=True))


def test_what_is_recommended_for_16_amperes_over_12_feet() -> None:
    """By hand: 10.75 x 16 x 24 / 0.36 = 11467 CM, 8 AWG; fuse from 1.1 to 1.25 x 16 = 17.6 to 20 A;
    contact 0.6 x 6 x 16 = 57.6 A, so 60 A. The factors are common practice."""
    advice = recommend(16, 12 * 0.3048, site(), FIGURES)

    assert either(advice.wire) == "8 AWG or 10 mm2"
    assert (advice.fuses, advice.contact) == ((20, 20), 60)


def test_a_short_wire_is_as_thick_as_its_fuse_asks() -> None:
    """16 A over 1 ft: 3 % needs 956 CM, but the 20 A fuse protects nothing thinner than 16 AWG."""
    advice = recommend(16, 0.3048, site(), FIGURES)

    assert either(advice.rows[0].good.sizes) == "18 AWG or 0.75 mm2"
    assert either(advice.wire) == "16 AWG or 1.5 mm2"
