"""The beginning of a walk: title, safety, and the complaint in its ways."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.pages.complaints import complaints_of, groups_of
from diagnose.reasoning.evidence import Seen
from diagnose.terminal.walk.complaint import group_pages
from tests.terminal.conftest import screen_of
from tests.terminal.told import CHATTERS

Converse = Callable[..., Any]

LOADED = "voltage battery+ battery- calling"


def test_title_then_safety_then_the_complaint(converse: Converse) -> None:
    lines = converse().text.splitlines()

    assert lines[0].startswith("tree-watering bowser: relay, pressure switch, 14 A pump")
    assert lines[1].startswith("Switch off before you touch or move a wire")
    assert "Local codes and licensed practice" in lines[2]
    assert "What is the matter?" in lines[3:7]


@pytest.mark.parametrize("width", [80, 40])
@pytest.mark.parametrize("rig", ["bowser", "mist-bench", "header-tank"])
def test_the_first_screen_and_every_group_fit_a_small_screen(
    converse: Converse, bench_of: Callable[[str], Bench], width: int, rig: str
) -> None:
    """24 rows, title and safety lines counted, and the prompt."""
    first = converse(rig=rig, width=width, height=24).text
    groups = groups_of(complaints_of(bench_of(rig)))

    assert [line for line in first.splitlines() if line.startswith(" 6")]
    assert len(first.splitlines()) < 24
    assert len(groups) == 6
    screen = screen_of(width, 24)
    for group in groups:
        heading, *pages = group_pages(screen, group)
        assert len(pages) == 1
        assert sum(map(screen.lines_of, (heading, *pages))) < 24


def test_every_complaint_is_in_one_group(bowser: Bench) -> None:
    found = complaints_of(bowser)

    assert [one for group in groups_of(found) for one in group.items] == [*found]


IN_ITS_GROUP = (["1", "3", ""], ["01", "3 3", ""], ["1", "back", "1", "03,", ""])
BY_NAME = (["relay-chatters"], ["relay chatters"], ["1", "relay-chatters"])
BY_SENTENCE = (["The relay clicks fast, like a rattle, as long as it is on"],)


@pytest.mark.parametrize("typed", [*IN_ITS_GROUP, *BY_NAME, *BY_SENTENCE])
def test_ways_to_pick_one_complaint(converse: Converse, typed: list[str]) -> None:
    held = converse(*typed)

    assert held.walk.told == CHATTERS
    assert held.text.count("Taken: The relay clicks fast") == 1
    assert not held.unread


def test_items_of_several_groups_one_after_another(converse: Converse) -> None:
    held = converse("1", "3", "5", "fuse-holder-hot", "quit", "yes")
    back = converse("1", "3", "3", "3", "back", "")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}
    assert held.case.complaint == ("relay-chatters", "fuse-holder-hot")
    assert "Taken back: Water comes, but weakly." in back.text
    assert back.walk.told == CHATTERS


def test_words_go_with_what_was_picked_before(converse: Converse) -> None:
    held = converse("1", "3", "3", "the fuse holder is hot", "yes", "quit", "yes")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}
    assert held.case.complaint == ("relay-chatters", "the fuse holder is hot")


@pytest.mark.parametrize("typed", ["7", "0", "1 3", "99999999999999999999"])
def test_a_number_that_is_no_group_is_asked_again(converse: Converse, typed: str) -> None:
    held = converse(typed)

    assert "Type a number from 1 to 6." in held.flat
    assert held.prompts[0] == held.prompts[1]


def test_a_number_that_no_group_has_is_asked_again(converse: Converse) -> None:
    held = converse("1", "9", "3", "")

    assert "Type a number from 1 to 4." in held.text
    assert held.walk.told == CHATTERS


def test_help_shows_every_group_and_its_items(converse: Converse, bowser: Bench) -> None:
    held = converse("?")

    for complaint in complaints_of(bowser):
        assert complaint.say in held.flat


def test_a_complaint_in_ones_own_words_counts_once_confirmed(converse: Converse) -> None:
    words = "the relay chatters and the fuse holder is hot, xyzzy"

    held = converse(words, "?", "1 2", "quit", "yes")
    refused = converse(words, "no", "relay-chatters")
    some = converse(words, "19", "1")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}
    assert "Not understood: xyzzy." in held.text
    assert held.case.complaint == (words,)
    assert "Then say it in other words" in refused.flat
    assert refused.walk.told == CHATTERS
    assert "Type a number from 1 to" in some.text
    assert [item.id for item in some.walk.told] == ["fuse-holder-heat"]


def test_words_said_beforehand_are_confirmed_like_typed_ones(converse: Converse) -> None:
    words = "the relay chatters and the fuse holder is hot, xyzzy"

    held = converse("1 2", "quit", "yes", said=words)
    besides = converse("1 2", said=words, told=[Seen("battery-found", "charged")])
    taken_back = converse("1 2", "back", "relay-chatters", said=words)

    assert words in held.text.splitlines()[4:8]
    assert held.prompts[0] == "Right? yes, no, or the numbers that are> "
    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}
    assert held.case.complaint == (words,)
    assert len(besides.walk.evidence) == 3
    assert taken_back.walk.told[-1:] == CHATTERS


@pytest.mark.parametrize("words", ["xyzzy", "w" * 3000, "\x1b[2J"])
def test_words_said_beforehand_that_will_not_do_are_asked_for_again(
    converse: Converse, words: str
) -> None:
    held = converse("relay-chatters", said=words)

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

    assert "'relay' fits more than one: relay clicks once; relay chatters" in held.flat
    assert "'xyzzy' was not understood" in held.flat


def test_several_complaints_at_once(converse: Converse) -> None:
    held = converse("relay-chatters, fuse-holder-hot")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}


def test_complaints_that_exclude_each_other_are_asked_again(converse: Converse) -> None:
    held = converse("nothing-happens runs-slowly", "nothing-happens")

    assert "For pump action these say both silent and slow; keep one." in held.text
    assert held.walk.told == (Seen("pump-action", "silent"),)


def test_without_a_complaint_the_first_question_is_what_the_pump_does(converse: Converse) -> None:
    held = converse("")

    assert "What does the pump do when water is wanted?" in held.text
