"""The words of values, bands and chances."""

from __future__ import annotations

import pytest

from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.reasoning.words import (
    as_id,
    band,
    chance,
    of_test,
    per_cent,
    rig_line,
    rough,
    spaced,
    time,
    usual,
    value,
)

VOLTS, OHMS = "voltage lug+ lug- calling", "resistance fuse.in fuse.out"
AMPS, DEGREES = "current motor-feed calling", "temperature motor"


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0, "<1 %"),
        (0.0099, "<1 %"),
        (0.01, "1 %"),
        (0.126, "13 %"),
        (0.99, "99 %"),
        (0.991, ">99 %"),
        (1, ">99 %"),
    ],
)
def test_no_chance_is_shown_as_none_or_all(probability: float, words: str) -> None:
    assert per_cent(probability) == words


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.99, "almost certain"),
        (0.97, "almost certain"),
        (0.96, "very likely"),
        (0.85, "very likely"),
        (0.84, "likely"),
        (0.65, "likely"),
        (0.64, "more likely than not"),
        (0.5, "more likely than not"),
        (0.49, "the best guess so far"),
        (0.25, "the best guess so far"),
        (0.24, "one of several guesses"),
        (0.0, "one of several guesses"),
    ],
)
def test_chances_in_words(probability: float, words: str) -> None:
    assert chance(probability) == words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0.2, "half a minute"),
        (0.5, "half a minute"),
        (0.75, "1 min"),
        (1, "1 min"),
        (1.5, "1.5 min"),
        (10, "10 min"),
    ],
)
def test_minutes_in_words(minutes: float, words: str) -> None:
    assert time(minutes) == words


@pytest.mark.parametrize(
    ("low", "high", "reading", "words"),
    [
        (0.031, 0.138, VOLTS, "31 to 138 mV"),
        (12.241, 12.909, VOLTS, "12.24 to 12.91 V"),
        (0.2, 1.5, VOLTS, "200 mV to 1.5 V"),
        (0.0, 0.1, VOLTS, "0 to 100 mV"),
        (1e6, LARGEST_OHMS, OHMS, "above 1 Mohm"),
        (0.5, 12.0, OHMS, "500 mohm to 12 ohm"),
        (12.3456, 15.6789, AMPS, "12.3 to 15.7 A"),
        (20.4, 41.6, DEGREES, "20 to 42 degC"),
    ],
)
def test_bands_in_words(low: float, high: float, reading: str, words: str) -> None:
    assert band(low, high, reading_of(reading)) == words


@pytest.mark.parametrize(
    ("number", "reading", "words"),
    [
        (LARGEST_OHMS, OHMS, "OL"),
        (LARGEST_OHMS / 2, OHMS, "20 Mohm"),
        (12.345, AMPS, "12.35 A"),
        (LARGEST_OHMS, VOLTS, "40 MV"),
    ],
)
def test_one_value_as_the_meter_shows_it(number: float, reading: str, words: str) -> None:
    assert value(number, reading_of(reading)) == words


def test_a_prediction_has_no_more_digits_than_it_is_worth() -> None:
    assert rough(12.3456, reading_of(AMPS)) == "12.3 A"
    assert rough(33.6, reading_of(DEGREES)) == "34 degC"
    assert rough(12.3456, reading_of(VOLTS)) == "12.35 V"


def test_an_id_in_words() -> None:
    assert spaced("replace-fuse-holder") == "replace fuse holder"


def test_a_rig_in_one_line() -> None:
    assert rig_line(open_rig("bowser")) == (
        "tree-watering bowser: relay, pressure switch, 14 A pump, 20 A fuse, 8 AWG"
    )
    assert "float switch" in rig_line(open_rig("header-tank"))


@pytest.mark.parametrize("name", ["fuse-holder-look", "pump-when-satisfied", "relay-sound"])
def test_an_id_is_read_back_from_what_stands_on_the_screen(name: str) -> None:
    assert as_id(spaced(name)) == name
    assert as_id(name) == name
    assert "satisfied" not in spaced(name)


def test_a_test_is_called_as_on_the_screen() -> None:
    assert of_test("voltage fuse.in fuse.out calling") == "voltage fuse.in fuse.out, asked to run"
    assert of_test("fuse-holder-look") == "fuse holder look"


def test_what_was_taken_as_usual_is_named() -> None:
    assert usual(["wire.length", "control_tap"]) == "wire length, control tap"
