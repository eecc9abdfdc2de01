"""How exactly a reading was stated, and what that is worth as evidence."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.errors import BadQuantity
from diagnose.reasoning.error_models import STUDENT
from diagnose.reasoning.evidence import Measured, check_reading, gap, parse_stated
from diagnose.reasoning.posterior import explained, posterior
from diagnose.reasoning.predictions import Band, density
from diagnose.walkthrough import Walk

DROP = "voltage motor- lug- calling"
LUGS = "voltage lug+ lug- calling"


@pytest.mark.parametrize(
    ("text", "unit", "value", "resolution", "typed"),
    [
        ("12", "V", 12.0, 1.0, "12 V"),
        ("12.0", "V", 12.0, 0.1, "12.0 V"),
        ("12,04 v", "V", 12.04, 0.01, "12.04 V"),
        ("about 12", "V", 12.0, 2.0, "about 12 V"),
        ("~12 V", "V", 12.0, 2.0, "about 12 V"),
        ("Ca. 12.0", "V", 12.0, 0.2, "about 12.0 V"),
        ("0", "V", 0.0, 1.0, "0 V"),
        ("0.00", "V", 0.0, 0.01, "0.00 V"),
        (".5", "V", 0.5, 0.1, ".5 V"),
        ("-0.3", "V", -0.3, 0.1, "-0.3 V"),
        ("420 mV", "V", 0.42, 0.001, "420 mV"),
        ("1.2e1", "V", 12.0, 1.0, "1.2e1 V"),
        ("140 F", "degC", 60.0, 5 / 9, "140 F"),
        ("2.1 kohm", "ohm", 2100.0, 100.0, "2.1 kohm"),
    ],
)
def test_the_last_digit_says_how_exactly(
    text: str, unit: str, value: float, resolution: float, typed: str
) -> None:
    found = parse_stated(text, unit)

    assert found.value == pytest.approx(value)
    assert found.resolution == pytest.approx(resolution)
    assert found.typed == typed


@pytest.mark.parametrize(
    "text", ["about", "~", "aboutish 12", "about about 12", "~12 A", "12 or 13"]
)
def test_what_is_no_value_is_refused(text: str) -> None:
    with pytest.raises(BadQuantity):
        parse_stated(text, "V")


def typed(bench: Bench, name: str, text: str | float) -> Measured:
    return check_reading(bench.shop.catalogue, bench.rig, reading_of(name), text)


def test_a_bare_number_is_as_exact_as_the_meter(bowser: Bench) -> None:
    """So that journals and cases of before say what they said."""
    assert typed(bowser, LUGS, 12.0) == Measured(reading_of(LUGS), 12.0)


def test_a_whole_volt_goes_with_all_that_rounds_to_it() -> None:
    """A rig that gives 11.5 V, one of 12 and one of 12.5 are told apart by 12.00, and not by 12."""
    band = Band(np.array([11.5, 12.0, 12.5]), np.full(3, 0.06))

    whole, exact = density(band, 11.5, 12.5), density(band, 12.0, 12.0)
    assert whole.min() > 0.2 * whole.max()
    assert exact.min() < 1e-3 * exact.max()


@pytest.mark.parametrize(
    ("critical", "chance"), [(1.533, 0.90), (2.132, 0.95), (2.776, 0.975), (4.604, 0.995)]
)
def test_the_law_of_a_reading_is_student_s_with_four_degrees_of_freedom(
    critical: float, chance: float
) -> None:
    """Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, row 4; from memory."""
    assert STUDENT.below(np.array([critical, -critical])) == pytest.approx(
        [chance, 1 - chance], abs=1e-4
    )


def test_a_step_has_the_average_density_of_what_is_in_it() -> None:
    """By summing narrow values over the step."""
    band = Band(np.array([12.0]), np.array([0.06]))
    values = np.linspace(11.8, 12.1, 3001)
    summed = np.mean([density(band, one, one)[0] for one in values])

    assert density(band, 11.8, 12.1)[0] == pytest.approx(summed, rel=1e-3)


def test_a_whole_volt_is_not_held_against_a_sound_battery(bowser: Bench) -> None:
    """12.24 to 12.91 V are sound; 12 may be 12.4, and 12.00 may not."""
    assert bowser.healthy.verdict(typed(bowser, LUGS, "12")) == "within"
    assert bowser.healthy.verdict(typed(bowser, LUGS, "about 12")) == "within"
    assert bowser.healthy.verdict(typed(bowser, LUGS, "12.00")) == "low"
    assert bowser.healthy.verdict(typed(bowser, LUGS, "11")) == "low"


def test_a_bare_0_says_little_of_a_drop_and_0_00_says_much(bowser: Bench) -> None:
    """Against a bad return, whose drop is volts, both speak; the coarse one less."""

    def left(text: str) -> float:
        belief = posterior(bowser.predictions, (typed(bowser, DROP, text),))
        return dict(belief.ranking)["ground-resistive"]

    before = dict(posterior(bowser.predictions, ()).ranking)["ground-resistive"]
    assert left("0.00") < left("0") < before


def test_the_more_digits_the_sharper(bowser: Bench) -> None:
    """Of hypotheses half a volt apart a whole volt tells less than tenths."""

    def sharpest(text: str) -> float:
        found = explained(bowser.predictions, typed(bowser, LUGS, text)).correct
        return float(found.max() / found.mean())

    assert sharpest("about 12") < sharpest("12") < sharpest("12.0")


def test_what_rounds_alike_is_given_twice_alike(bowser: Bench) -> None:
    walk = Walk(bowser)
    walk.answer(walk.ask(LUGS), "12")
    again = walk.answer(walk.ask(LUGS), "12.4").item

    assert again is not None
    assert again.sure
    assert gap(typed(bowser, LUGS, "12"), typed(bowser, LUGS, "12.4")) < 0
