"""Readings in words: every one that can be written is read, the rest is refused with a hint."""

from __future__ import annotations

import re

import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.meter import QUANTITIES, Reading
from diagnose.circuit.reading_words import OF_ANY_PART, fits, in_words, points_for, reading_of
from diagnose.circuit.rig import open_rig
from diagnose.errors import DiagnoseError, Place


@pytest.mark.parametrize("name", shipped_catalogue().readings)
def test_a_reading_of_the_book_is_read_as_it_is_written(name: str) -> None:
    reading = reading_of(name, points_too=OF_ANY_PART)

    assert str(reading) == name
    assert reading.unit == QUANTITIES[reading.quantity]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("voltage motor+ motor- calling", ("voltage", ("motor+", "motor-"), "calling")),
        ("  voltage   lug+ ground  rest ", ("voltage", ("lug+", "ground"), "rest")),
        ("resistance fuse.in fuse.out", ("resistance", ("fuse.in", "fuse.out"), "isolated")),
        ("resistance lug+ lug- isolated", ("resistance", ("lug+", "lug-"), "isolated")),
        ("temperature relay", ("temperature", ("relay",), "calling")),
        ("current motor-feed satisfied", ("current", ("motor-feed",), "satisfied")),
        ("peak-current battery calling", ("peak-current", ("battery",), "calling")),
        ("flow-rate outlet calling", ("flow-rate", ("outlet",), "calling")),
        ("pressure outlet satisfied", ("pressure", ("outlet",), "satisfied")),
        ("voltage motor+ motor- unplugged", ("voltage", ("motor+", "motor-"), "unplugged")),
    ],
)
def test_quantity_points_and_condition(
    text: str, expected: tuple[str, tuple[str, ...], str]
) -> None:
    assert reading_of(text) == Reading(*expected)


@pytest.mark.parametrize("name", shipped_catalogue().readings)
def test_a_reading_is_read_back_as_it_stands_on_the_screen(name: str) -> None:
    reading = reading_of(name, points_too=OF_ANY_PART)
    said = in_words(reading)

    assert reading_of(said, points_too=OF_ANY_PART) == reading
    assert reading_of(said.replace(",", ""), points_too=OF_ANY_PART) == reading
    assert not re.search("calling|satisfied", said)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ["an empty reading"]),
        ("   ", ["an empty reading"]),
        ("volts motor+ motor- calling", ["no quantity called 'volts'", "'voltage'"]),
        ("voltage motr+ motor- calling", ["no test point called 'motr+'", "'motor+'"]),
        ("voltage motor+ mtor- calling", ["no test point called 'mtor-'", "'motor-'"]),
        ("voltage motor+", ["takes 2 test point(s) and a condition"]),
        ("voltage motor+ motor-", ["needs a condition", "at rest, asked to run, not asked to run"]),
        ("voltage motor+ motor- caling", ["no condition called 'caling'", "'calling'"]),
        ("voltage motor+ motor- isolated", ["no condition called 'isolated'"]),
        ("voltage motor+ motor- calling now", ["is not a reading"]),
        ("voltage motor+ motor+ calling", ["both probes on the same point"]),
        ("resistance fuse.in fuse.out calling", ["no condition called 'calling'"]),
        ("current motor calling", ["no conductor called 'motor'", "'motor-feed'"]),
        ("peak-current relay calling", ["no conductor called 'relay'"]),
        ("temperature motr", ["no component called 'motr'", "'motor'"]),
        ("temperature motor rest", ["no condition called 'rest'"]),
        ("pressure inlet calling", ["no place to measure called 'inlet'"]),
        ("voltage hand.in ground calling", ["no test point"]),
    ],
)
def test_what_is_no_reading_is_refused(text: str, words: list[str]) -> None:
    with pytest.raises(DiagnoseError) as caught:
        reading_of(text, Place("--read"))

    message = str(caught.value)
    assert message.startswith("--read: ")
    assert not [word for word in words if word not in message], message


def test_a_reading_without_a_place_says_what_it_is() -> None:
    with pytest.raises(DiagnoseError, match=r"^reading: an empty reading"):
        reading_of("")


@pytest.mark.parametrize(
    ("text", "rigs"),
    [
        ("voltage lug+ lug- calling", ["bowser", "header-tank", "mist-bench"]),
        ("voltage relay.30 relay.87 calling", ["bowser", "header-tank"]),
        ("voltage pswitch.in pswitch.out calling", ["bowser", "mist-bench"]),
        ("resistance float.in float.out", ["header-tank"]),
        ("current coil calling", ["bowser", "header-tank"]),
        ("temperature relay", ["bowser", "header-tank"]),
        ("temperature pressure-switch", ["bowser", "mist-bench"]),
        ("temperature motor", ["bowser", "header-tank", "mist-bench"]),
        ("current motor-feed calling", ["bowser", "header-tank", "mist-bench"]),
        ("pressure outlet calling", ["bowser", "header-tank", "mist-bench"]),
    ],
)
def test_a_reading_fits_the_rigs_that_have_its_points(text: str, rigs: list[str]) -> None:
    reading = reading_of(text)
    here = [
        name for name in ("bowser", "header-tank", "mist-bench") if fits(reading, open_rig(name))
    ]

    assert here == rigs


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_how_many_points_a_quantity_takes(quantity: str) -> None:
    count, points, kind = points_for(quantity)

    assert count == (2 if quantity in ("voltage", "resistance") else 1)
    assert points
    assert kind
