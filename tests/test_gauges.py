"""Wire sizes; the published areas and diameters are held against them in tests/outside."""

import pytest

from diagnose.errors import BadQuantity, Place
from diagnose.units import read_gauge, show_gauge


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("AWG 8", "8 AWG"),
        ("8awg", "8 AWG"),
        ("0 AWG", "1/0 AWG"),
        ("00 AWG", "2/0 AWG"),
        ("0000 AWG", "4/0 AWG"),
        ("6 mm2", "6 mm^2"),
        ("6,0 mm\N{SUPERSCRIPT TWO}", "6 mm^2"),
        ("0.06 cm^2", "6 mm^2"),
    ],
)
def test_a_wire_size_may_be_written_in_several_ways(text, same):
    assert read_gauge(text) == pytest.approx(read_gauge(same), rel=1e-12)


@pytest.mark.parametrize("typed", ["6 mm2", "6 mm^2", "6 mm**2", "6 mm\N{SUPERSCRIPT TWO}"])
def test_an_area_is_shown_in_one_way_and_reads_back(typed):
    assert show_gauge(typed) == "6 mm2"
    assert read_gauge(show_gauge(typed)) == 6.0


def test_a_gauge_is_shown_as_it_is():
    assert show_gauge("2/0 AWG") == "2/0 AWG"


def test_an_area_is_taken_as_it_is():
    assert read_gauge("6 mm^2") == 6.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (8, ["'8'", "gauge or an area", "'8 AWG'", "'6 mm2'"]),
        ("8", ["gauge or an area"]),
        ("1/0", ["gauge or an area"]),
        pytest.param(10**5000, ["gauge or an area"], id="too long to write out"),
        ("", ["gauge or an area"]),
        ("41 AWG", ["4/0 AWG to 40 AWG"]),
        ("5/0 AWG", ["4/0 AWG to 40 AWG"]),
        ("7.5 AWG", ["4/0 AWG to 40 AWG"]),
        ("0 mm^2", ["above 0"]),
        ("-6 mm^2", ["above 0"]),
        ("6 mm", ["another kind", "a cross-section"]),
        ("nan mm^2", ["not a number"]),
    ],
)
def test_what_is_no_wire_size_is_refused_with_the_reason(text, words):
    with pytest.raises(BadQuantity) as caught:
        read_gauge(text, Place("rig.yaml", 6, "wire.gauge"))

    message = str(caught.value)
    assert message.startswith("rig.yaml, line 6, key wire.gauge: ")
    assert [word for word in words if word not in message] == []
