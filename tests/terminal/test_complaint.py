"""The beginning of a walk: title, safety, and the complaint in its ways."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnose.reasoning.evidence import Seen
from tests.terminal.told import CHATTERS

Converse = Callable[..., Any]

LOADED = "voltage battery+ battery- calling"


def test_title_then_safety_then_the_complaint(converse: Converse) -> None:
    lines = converse().text.splitlines()

    assert lines[0].startswith("tree-watering bowser: relay, pressure switch, 14 A pump")
    assert lines[1].startswith("Switch off before you touch or move a wire")
    assert "Local codes and licensed practice" in lines[2]
    assert lines[3] == "What is the matter?"


def test_the_list_of_complaints_fits_a_small_screen(converse: Converse) -> None:
    text = converse(height=24).text

    assert len(text.splitlines()) <= 23
    assert "Enter for more" not in text


@pytest.mark.parametrize("typed", ["3", "relay-chatters", "relay chatters", "3 3", "03"])
def test_ways_to_pick_one_complaint(converse: Converse, typed: str) -> None:
    held = converse(typed)

    assert held.walk.told == CHATTERS
    assert "Taken: The relay clicks fast" in held.text


def test_a_complaint_in_ones_own_words_counts_once_confirmed(converse: Converse) -> None:
    words = "the relay chatters and the fuse holder is hot, xyzzy"

    held = converse(words, "?", "yes", "quit", "yes")
    refused = converse(words, "no", "3")
    some = converse(words, "7", "2")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}
    assert "Not understood: xyzzy." in held.text
    assert held.case.complaint == (words,)
    assert "Then say it in other words" in refused.flat
    assert refused.walk.told == CHATTERS
    assert "The numbers run from 1 to 2." in some.text
    assert [item.id for item in some.walk.told] == ["fuse-holder-heat"]


def test_words_said_beforehand_are_confirmed_like_typed_ones(converse: Converse) -> None:
    words = "the relay chatters and the fuse holder is hot, xyzzy"

    held = converse("yes", "quit", "yes", said=words)
    besides = converse("yes", said=words, told=[Seen("battery-found", "charged")])
    taken_back = converse("yes", "back", "3", said=words)

    assert held.text.splitlines()[4] == words
    assert held.prompts[0] == "Right? yes, no, or the numbers that are> "
    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}
    assert held.case.complaint == (words,)
    assert len(besides.walk.evidence) == 3
    assert taken_back.walk.told[-1:] == CHATTERS


@pytest.mark.parametrize("words", ["xyzzy", "w" * 3000, "\x1b[2J"])
def test_words_said_beforehand_that_will_not_do_are_asked_for_again(
    converse: Converse, words: str
) -> None:
    held = converse("3", said=words)

    assert held.walk.told == CHATTERS
    assert "\x1b" not in held.text


def test_words_that_may_mean_several_things_have_to_be_picked(converse: Converse) -> None:
    held = converse("it dont work", "yes", "1")

    assert held.prompts[1] == held.prompts[2] == "Which? numbers, or no> "
    assert held.walk.told == (Seen("pump-action", "silent"),)


def test_words_of_what_the_rig_does_not_have(converse: Converse) -> None:
    held = converse("the float switch is stuck")

    assert "This rig has no such thing: float switch is stuck." in held.text
    assert held.prompts[0] == held.prompts[1]


def test_a_word_is_looked_up_in_the_list(converse: Converse) -> None:
    held = converse("relay", "xyzzy", "unknown")

    assert "'relay' fits more than one: 2 relay clicks once; 3 relay chatters" in held.flat
    assert "'xyzzy' was not understood" in held.flat


def test_several_complaints_at_once(converse: Converse) -> None:
    held = converse("3, 28")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}


def test_complaints_that_exclude_each_other_are_asked_again(converse: Converse) -> None:
    held = converse("1 5", "1")

    assert "For pump action these say both silent and slow; keep one." in held.text
    assert held.walk.told == (Seen("pump-action", "silent"),)


def test_without_a_complaint_the_first_question_is_what_the_pump_does(converse: Converse) -> None:
    held = converse("")

    assert "What does the pump do when water is wanted?" in held.text
