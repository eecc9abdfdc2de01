"""What was seen and measured, read from words and checked against the rig."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.documents import parse
from diagnose.errors import DiagnoseError, Place
from diagnose.reasoning.evidence import (
    Measured,
    Seen,
    latest,
    parse_answer,
    parse_reading,
    read_answers,
    value_of,
)

VOLTS, OHMS = reading_of("voltage lug+ lug- calling"), reading_of("resistance fuse.in fuse.out")
HERE = Place("--read")
TENTH = 0.1
"""How exactly volts are stated with one digit after the point."""


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("OL", LARGEST_OHMS),
        (" o.l. ", LARGEST_OHMS),
        ("open", LARGEST_OHMS),
        ("OL ohm", LARGEST_OHMS),
        ("infinite", LARGEST_OHMS),
        ("50 Mohm", LARGEST_OHMS),
        ("0.4", 0.4),
        ("400 mohm", 0.4),
    ],
)
def test_ohms(text: str, value: float) -> None:
    assert value_of(text, OHMS) == pytest.approx(value)


def test_volts_are_never_over_range() -> None:
    assert value_of("1e9 V", VOLTS) == 1e9
    with pytest.raises(DiagnoseError, match="'OL' is an ohms display; voltage lug"):
        value_of("OL", VOLTS)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("voltage lug+ lug- calling = 12.4 V", Measured(VOLTS, 12.4, resolution=TENTH)),
        ("resistance fuse.in fuse.out=OL", Measured(OHMS, LARGEST_OHMS)),
        ("  voltage lug+ lug- calling =  11,8", Measured(VOLTS, 11.8, resolution=TENTH)),
    ],
)
def test_a_reading_with_its_value(bowser: Bench, text: str, expected: Measured) -> None:
    assert parse_reading(text, bowser.shop.catalogue, bowser.rig, HERE) == expected


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("voltage lug+ lug- calling", "--read: 'voltage lug+ lug- calling' is not"),
        ("= 3", "is not 'reading = value'"),
        ("voltage float.in float.out calling = 3 V", "asked to run: this rig has no such point"),
        ("voltage lug+ lug- calling = 300 V", "300 V is not possible here"),
        ("voltage lug+ lug- calling = -300 V", "-300 V is not possible here"),
        ("temperature motor = -100 degC", "is not possible here"),
    ],
)
def test_a_reading_that_cannot_be(bowser: Bench, text: str, words: str) -> None:
    with pytest.raises(DiagnoseError) as caught:
        parse_reading(text, bowser.shop.catalogue, bowser.rig, HERE)

    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("relay-sound", "'relay-sound' is not observation=answer"),
        ("relay-sound=", "is not observation=answer"),
        ("relay-sound=a=b", "is not observation=answer"),
        ("relay-sond=silent", "observation called 'relay-sond'. Did you mean 'relay-sound'?"),
        ("relay-sound=silnt", "answer to relay-sound called 'silnt'. Did you mean 'silent'?"),
        ("relay-sound=zz", "Known here: buzzes, chatters, one-click, silent."),
        ("float-by-hand=follows", "needs control float_switch; this rig has pressure_switch."),
    ],
)
def test_an_answer_that_cannot_be(bowser: Bench, text: str, words: str) -> None:
    with pytest.raises(DiagnoseError) as caught:
        parse_answer(text, bowser.shop.catalogue, bowser.hypotheses.facts, Place("--seen"))

    assert str(caught.value).startswith("--seen: ")
    assert words in str(caught.value)


def test_an_answer(bowser: Bench) -> None:
    found = parse_answer(
        " relay-sound = silent ", bowser.shop.catalogue, bowser.hypotheses.facts, HERE
    )

    assert found == Seen("relay-sound", "silent")
    assert found.id == "relay-sound"
    assert Measured(VOLTS, 1.0).id == "voltage lug+ lug- calling"


@pytest.fixture
def read(bowser: Bench) -> Callable[[str], list[Seen | Measured]]:
    def answers(text: str) -> list[Seen | Measured]:
        card = parse(text, "answers.yaml")
        return read_answers(card, bowser.shop.catalogue, bowser.rig, bowser.hypotheses.facts)

    return answers


def test_a_file_of_answers(read: Callable[[str], list[Seen | Measured]]) -> None:
    assert read("seen: {relay-sound: silent}\nread: ['voltage lug+ lug- calling = 12.4 V']\n") == [
        Seen("relay-sound", "silent"),
        Measured(VOLTS, 12.4, resolution=TENTH),
    ]
    assert read("seen: {}\n") == []


def test_every_mistake_of_a_file_of_answers(read: Callable[[str], list[Seen | Measured]]) -> None:
    text = "seen: {relay-sound: silnt, x: 'y'}\nread: [a = 3, b]\nmore: 1\n"

    with pytest.raises(DiagnoseError) as caught:
        read(text)

    said = str(caught.value).splitlines()
    assert len(said) == 5
    assert all(line.startswith("answers.yaml, line ") for line in said)


def test_the_last_answer_to_a_test_counts() -> None:
    items = [Seen("a", "1"), Measured(VOLTS, 1.0), Seen("a", "2"), Measured(VOLTS, 2.0)]

    assert {(item.id, getattr(item, "option", 0)) for item in latest(items)} == {
        ("a", "2"),
        (str(VOLTS), 0),
    }
    assert Measured(VOLTS, 2.0) in latest(items)
    assert latest(items) == latest(items[::-1][2:] + items[2:])
