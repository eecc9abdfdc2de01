"""Short answers in the light of the question; what each means is a reader's judgement."""

from __future__ import annotations

import pytest

from tests.phrases.reading import read, taken, to_ask


@pytest.mark.parametrize(
    ("asked", "text", "means"),
    [
        ("smoke", "yes", "seen"),
        ("smoke", "nope", "none"),
        ("smoke", "Yes, it did", "seen"),
        ("fuse-holder-heat", "a bit warm", "warm"),
        ("fuse-holder-heat", "the second one", "warm"),
        ("fuse-holder-heat", "can't keep my hand on it", "too-hot-to-hold"),
        ("relay-heat", "stone cold", "cool"),
        ("relay-heat", "option 3", "too-hot-to-hold"),
        ("pump-when-satisfied", "no it don't stop", "keeps-running"),
        ("pump-when-satisfied", "it stops", "stops"),
        ("swap-relay", "same as before", "no-change"),
        ("motor-turns-by-hand", "won't budge", "locked"),
        ("relay-sound", "not a peep", "silent"),
        ("relay-sound", "clicks over and over", "chatters"),
        ("main-fuse-element", "it's blown", "open"),
        ("main-fuse-element", "not blown", "intact"),
        ("lamp-at-motor", "hardly lit", "dim"),
        ("onset", "all of a sudden", "suddenly"),
        ("supply-level", "half a tank", "full"),
        ("swap-battery", "runs fine", "cured"),
        ("jumper-relay-contact", "still dead", "nothing"),
    ],
)
def test_a_short_answer_is_one_of_the_options(asked: str, text: str, means: str) -> None:
    assert taken(read(text, asked=asked)) == [f"{asked}={means}"]


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ("smoke", "I think so, maybe yes"),
        ("terminals-look", "they were loose, I've tightened them"),
        ("pump-when-satisfied", "stops, then a minute later it kicks"),
    ],
)
def test_what_is_not_sure_is_asked_first(asked: str, text: str) -> None:
    found = read(text, asked=asked)
    assert taken(found) == []
    assert to_ask(found)


@pytest.mark.parametrize("text", ["no idea", "dunno, I can't see it", "haven't looked yet"])
def test_somebody_who_cannot_tell_is_heard(text: str) -> None:
    found = read(text, asked="motor-heat")
    assert found.cannot_tell
    assert not found.matches


def test_yes_alone_means_nothing_where_the_question_has_no_yes() -> None:
    assert not read("yes", asked="fuse-holder-heat").matches


def test_what_is_said_of_another_thing_is_no_answer() -> None:
    found = read("the motor is hot", asked="relay-heat")
    assert "relay-heat=too-hot-to-hold" not in taken(found) + to_ask(found)
    assert taken(found) == ["motor-heat=too-hot-to-hold"]


def test_what_is_told_beside_an_answer_is_asked_first() -> None:
    found = read("stone cold, but the motor is hot", asked="relay-heat")
    assert "motor-heat=too-hot-to-hold" not in taken(found)
