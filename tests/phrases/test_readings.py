"""Readings in words. Values and places are those of the sentence; terminal numbers are those of
DIN 72552."""

from __future__ import annotations

import pytest

from diagnose.phrases import CLEAR, EITHER
from tests.phrases.reading import read


@pytest.mark.parametrize(
    ("text", "reading", "value"),
    [
        ("12.4 at the battery with it off", "voltage battery+ battery- rest", "12.4 V"),
        ("eleven and a half at the pump with it on", "voltage motor+ motor- calling", "11.5 V"),
        (
            "eleven point eight volts at the motor under load",
            "voltage motor+ motor- calling",
            "11.8 V",
        ),
        ("across the fuse 0.4 V under load", "voltage fuse.in fuse.out calling", "0.4 V"),
        (
            "400 mV from 30 to 87 with the pump running",
            "voltage relay.30 relay.87 calling",
            "400 mV",
        ),
        ("coil's 90 ohms", "resistance relay.86 relay.85", "90 ohm"),
        ("no continuity through the motor", "resistance motor+ motor-", "open"),
        ("it pulls about 6 amps", "current motor-feed calling", "6 A"),
        ("40 psi at the gun with the gun open", "pressure outlet calling", "40 psi"),
        ("fuse holder is 80 degrees C", "temperature fuse-holder", "80 degC"),
    ],
)
def test_a_reading_that_is_told_in_full_is_sure(text: str, reading: str, value: str) -> None:
    found = read(text)
    assert [(m.reading, m.value, m.strength) for m in found.readings] == [(reading, value, CLEAR)]
    assert found.readings[0].words in text


def test_what_is_left_out_is_asked() -> None:
    (one,) = read("motor- lug- 2.2").readings
    assert (one.reading, one.value) == ("voltage motor- lug- calling", "2.2 V")
    assert one.strength == EITHER


def test_degrees_without_a_scale_may_be_either() -> None:
    found = read("fuse holder is 80 degrees").readings
    assert [(m.value, m.strength) for m in found] == [("80 degC", EITHER), ("80 degF", EITHER)]


def test_two_readings_share_what_is_said_once() -> None:
    found = read("12 volts on 86 to the minus lug but nothing on 87 when it's calling").readings
    assert [(m.reading, m.value) for m in found] == [
        ("voltage relay.86 lug- calling", "12 V"),
        ("voltage relay.87 lug- calling", "0 V"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "the 20 amp fuse",
        "12 volt pump",
        "it runs for 10 minutes",
        "label says 14 amps",
        "clicked 3 times",
        "every 5 seconds",
        "a 20A main fuse",
        "bridged 30 to 87",
    ],
)
def test_a_figure_that_was_not_measured_is_no_reading(text: str) -> None:
    assert not read(text).readings


@pytest.mark.parametrize(
    ("asked", "text", "value"),
    [
        ("voltage battery+ battery- calling", "12.4", "12.4 V"),
        ("voltage battery+ battery- calling", "about eleven point two", "11.2 V"),
        ("voltage motor+ motor- calling", "zero", "0 V"),
        ("voltage fuse.in fuse.out calling", "400 millivolts", "400 mV"),
        ("flow-rate outlet calling", "5 gallon bucket took two minutes", "2.5 gal/min"),
    ],
)
def test_a_figure_alone_answers_what_was_asked(asked: str, text: str, value: str) -> None:
    found = read(text, asked=asked).readings
    assert [(m.reading, m.value, m.strength) for m in found] == [(asked, value, CLEAR)]


def test_another_quantity_does_not_answer() -> None:
    assert not read("10 minutes", asked="voltage battery+ battery- calling").readings
