"""Reading and showing quantities.

The unit definitions that pint ships and published conversion factors are held against them in
tests/outside.
"""

import math
import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.errors import BadQuantity, Place
from diagnose.units import read_quantity, show_quantity


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        (14, "A", 14),
        (0.5, "", 0.5),
        ("14", "A", 14),
        ("14 A", "A", 14),
        ("14A", "A", 14),
        ("  14  A  ", "A", 14),
        ("+14 A", "A", 14),
        ("-0.3 V", "V", -0.3),
        ("\N{MINUS SIGN}0.3 V", "V", -0.3),
        (".5 V", "V", 0.5),
        ("1e1 V", "V", 10),
        ("1.2E-2 V", "V", 0.012),
        ("12\N{NO-BREAK SPACE}V", "V", 12),
        ("11,8 V", "V", 11.8),
        ("0,5 ohm", "ohm", 0.5),
        ("0,035 ohm", "ohm", 0.035),
        ("11,8251 V", "V", 11.8251),
        ("5 a", "A", 5),
        ("12 v", "V", 12),
        ("420 mv", "V", 0.42),
        ("12 volts", "V", 12),
        ("12 Vdc", "V", 12),
        ("14 amps", "A", 14),
        ("350 ma", "A", 0.35),
        ("0.012 kV", "V", 12),
        ("420 mV", "V", 0.42),
        ("35 mohm", "ohm", 0.035),
        ("35 milliohm", "ohm", 0.035),
        ("35 m\N{GREEK CAPITAL LETTER OMEGA}", "ohm", 0.035),
        ("35 m\N{OHM SIGN}", "ohm", 0.035),
        ("85 Ohms", "ohm", 85),
        ("4.7 kohm", "ohm", 4700),
        ("4,7 K\N{OHM SIGN}", "ohm", 4700),
        ("1 Mohm", "ohm", 1e6),
        ("1 MOhm", "ohm", 1e6),
        ("1 megohm", "ohm", 1e6),
        ("90 A*h", "A*h", 90),
        ("90 Ah", "A*h", 90),
        ("90 ah", "A*h", 90),
        ("90 amp hours", "A*h", 90),
        ("90 A\N{MIDDLE DOT}h", "A*h", 90),
        ("6 mm2", "mm^2", 6),
        ("6 mm\N{SUPERSCRIPT TWO}", "mm^2", 6),
        ("6 mm**2", "mm^2", 6),
        ("4 gpm", "gal/min", 4),
        ("4 gal / min", "gal/min", 4),
        ("15 l/min", "L/min", 15),
        ("15 lpm", "L/min", 15),
        ("20 degC", "degC", 20),
        ("20 °C", "degC", 20),
        ("20 ° C", "degC", 20),
        ("20 ºC", "degC", 20),
        ("20 C", "degC", 20),
        ("68 F", "degC", 20),
        ("68 °F", "degC", 20),
        ("68 deg F", "degC", 20),
        ("-40 degF", "degC", -40),
        ("293.15 K", "degC", 20),
        ("5 min", "s", 300),
        ("2 h", "min", 120),
        ("200 ms", "s", 0.2),
        ("80 %", "", 0.8),
        ("150 W", "W", 150),
        ("0.15 kW", "W", 150),
    ],
)
def test_a_quantity_is_read_as_a_person_means_it(text, unit, expected):
    assert read_quantity(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        ("1,234.5 V", "V", ["thousands", "'1,234.5 V'"]),
        ("1.234,5 V", "V", ["thousands"]),
        ("1,234 V", "V", ["thousands"]),
        ("1 234 V", "V", ["thousands"]),
        ("1'234 V", "V", ["thousands"]),
        ("1_234 V", "V", ["thousands"]),
        ("1,234,567", "V", ["thousands"]),
        ("nan", "V", ["not a number", "a voltage", "12.6 V"]),
        ("nan V", "V", ["not a number"]),
        ("inf A", "A", ["not a number", "a current"]),
        ("1e999 V", "V", ["'1e999 V'", "not a usable number"]),
        ("1e306 kV", "mV", ["not a usable number"]),
        (math.nan, "V", ["not a usable number"]),
        (math.inf, "V", ["not a usable number"]),
        (10**400, "V", ["not a usable number"]),
        pytest.param(10**5000, "V", ["not a usable number"], id="too long to write out"),
        (True, "V", ["'True'", "not a usable number"]),
        ("0x1F V", "V", ["unknown unit", "'x1F V'"]),
        ("\N{ARABIC-INDIC DIGIT THREE} V", "V", ["not a number"]),
        ("", "ohm", ["not a number", "a resistance"]),
        ("V", "V", ["not a number"]),
        ("OL", "ohm", ["not a number"]),
        ("--5 V", "V", ["not a number"]),
        ("1/2 in", "in", ["unknown unit", "a length"]),
        ("12 V 5", "V", ["unknown unit"]),
        ("3nan", "V", ["unknown unit 'nan'"]),
        ("0 nan", "", ["unknown unit 'nan'"]),
        ("3 infinity", "A", ["unknown unit"]),
        ("1 V to 2 V", "V", ["unknown unit"]),
        ("14 A", "V", ["another kind", "a voltage", "'12.6 V'"]),
        ("14 V", "A", ["another kind", "a current"]),
        ("14 psi", "gal/min", ["another kind", "a flow rate"]),
        ("14 A", "A*h", ["another kind", "a battery capacity"]),
        ("14 A", "", ["another kind", "a plain number"]),
        ("14 A", "V*s", ["another kind", "a quantity in V*s"]),
        ("20 C", "V", ["unknown unit"]),
        ("20 F", "V", ["unknown unit"]),
        ("5 years", "s", ["unknown unit", "a time"]),
        ("5 dBm", "W", ["unknown unit"]),
        ("14 voltz", "V", ["unknown unit", "did you mean 'volts'?"]),
        ("9 V**9**9**9**9", "V", ["unknown unit"]),
        ("9 __import__", "V", ["not a number"]),
        ("\x1b[31m12 V", "V", [r"\x1b[31m12 V"]),
        ("12 \x1b[31mV", "V", [r"\x1b[31mV"]),
        pytest.param("9" * 1_000_000, "V", ["not a number", "99…'"], id="a million digits"),
    ],
)
def test_what_is_no_quantity_is_refused_with_the_reason(text, unit, words):
    place = Place("rig.yaml", 4, "pump.current")

    with pytest.raises(BadQuantity) as caught:
        read_quantity(text, unit, place)

    message = str(caught.value)
    assert message.startswith("rig.yaml, line 4, key pump.current: ")
    assert [word for word in words if word not in message] == []
    assert len(message) < 250


def read_or_complain(text, unit):
    try:
        return read_quantity(text, unit)
    except BadQuantity as error:
        return str(error)


@given(st.text(max_size=80), st.sampled_from(["V", "A*h", "degC", "gal/min", ""]))
def test_any_text_is_a_finite_number_or_one_printable_sentence(text, unit):
    found = read_or_complain(text, unit)

    assert found.isprintable() if isinstance(found, str) else math.isfinite(found)


@given(st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_a_bare_number_means_the_same_as_the_number_with_its_unit(value):
    assert read_quantity(value, "V") == read_quantity(f"{value!r} V", "V") == value


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.0123, "V", "12 mV"),
        (0.42, "V", "420 mV"),
        (0.00346, "A", "3.5 mA"),
        (0.0005, "V", "0.5 mV"),
        (11.234, "V", "11.23 V"),
        (12.0, "V", "12 V"),
        (128.44, "V", "128.4 V"),
        (0.9996, "V", "1 V"),
        (-0.0123, "V", "-12 mV"),
        (0.035, "ohm", "35 mohm"),
        (85.0, "ohm", "85 ohm"),
        (999.96, "ohm", "1 kohm"),
        (4700.0, "ohm", "4.7 kohm"),
        (1e10, "ohm", "10000 Mohm"),
        (0.0, "V", "0 V"),
        (-1e-12, "V", "0 V"),
        (50.0, "psi", "50 psi"),
        (1234.6, "psi", "1235 psi"),
        (8.3656, "mm^2", "8.37 mm^2"),
        (0.0123, "mm^2", "0.0123 mm^2"),
        (6.309e-5, "m^3/s", "6.31e-05 m^3/s"),
        (0.8, "", "0.8"),
        (0.0, "", "0"),
        (math.inf, "ohm", "inf ohm"),
    ],
)
def test_a_quantity_is_shown_as_a_meter_would(value, unit, shown):
    assert show_quantity(value, unit) == shown


def display_step(value, unit):
    """Half of the last digit that is worth showing. [unit]"""
    if unit not in ("V", "A", "ohm", "W"):
        return 0.005 * abs(value)
    for limit, step in ((1, 0.0005), (100, 0.005), (1000, 0.05)):
        if abs(value) < limit:
            return step
    return 0.005 * abs(value)


quantities = st.tuples(
    st.floats(min_value=-1e9, max_value=1e9),
    st.sampled_from(["V", "A", "ohm", "W", "A*h", "psi", "gal/min", "ft", "mm^2", "degC", "s", ""]),
)


@given(quantities)
def test_what_is_shown_reads_back_the_same_to_display_precision(quantity):
    value, unit = quantity

    back = read_quantity(show_quantity(value, unit), unit)

    assert back == pytest.approx(value, rel=1e-9, abs=1.001 * display_step(value, unit))
    assert show_quantity(back, unit) == show_quantity(value, unit)


def test_pint_is_not_imported_for_what_needs_no_conversion():
    program = (
        "import sys; from diagnose.units import read_quantity as read;"
        "read('14 A', 'A'); read('12 v', 'V'); read('35 \\u2126', 'ohm'); read(3, 'psi');"
        "assert 'pint' not in sys.modules; read('420 mV', 'V'); assert 'pint' in sys.modules"
    )

    subprocess.run([sys.executable, "-c", program], check=True)


def test_a_knowledge_base_of_quantities_is_read_in_40_ms():
    texts = [(f"0.{i:03} ohm", "ohm") for i in range(500)]
    texts += [(f"{i} mV", "V") for i in range(500)] + [(f"{i} psi", "kPa") for i in range(500)]
    read_quantity("1 mV", "V"), read_quantity("1 psi", "kPa")

    start = time.process_time()
    for text, unit in texts:
        read_quantity(text, unit)

    assert time.process_time() - start < 0.040
