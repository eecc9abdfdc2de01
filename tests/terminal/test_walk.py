"""Whole walks, typed line by line, from the complaint to the case."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from diagnose.catalogue.records import Observation
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import cause_title, conclude
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.terminal.keeping import Keeper
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Talk, choice
from diagnose.terminal.views_question import question_view
from diagnose.terminal.views_result import result_view
from diagnose.terminal.walk_screen import Conversation
from diagnose.walkthrough import Bench, Walk

Converse = Callable[..., Any]

LOADED = "voltage battery+ battery- calling"
CHATTERS = (Seen("relay-sound", "chatters"),)
BAD_HOLDER = (
    *CHATTERS,
    Seen("fuse-holder-look", "corroded"),
    Measured(reading_of("voltage fuse.in fuse.out calling"), 1.2),
)
"""Enough to conclude on: 1.2 V lost in a holder where 0.1 V is the most (common practice)."""

ANSWERS = {
    "pump-action": "cuts in",
    "fuse-holder-heat": "3",
    "fuse-holder-look": "corr",
    "battery-found": "charged",
    LOADED: "12,4 V",
    "voltage fuse.in fuse.out calling": "1.2",
}
"""What a corroded fuse holder would have a person answer; everything else is not known."""


def answers(bench: Bench) -> list[str]:
    """What has to be typed at the questions of such a walk, in their order."""
    walk, lines = Walk(bench, CHATTERS), []
    while (question := walk.question()) is not None:
        lines.append(ANSWERS.get(question.id, "unknown"))
        if lines[-1] == "unknown":
            walk.pass_over(question, "unknown")
        elif isinstance(question.entry, Observation):
            walk.answer(question, choice(lines[-1], tuple(question.entry.options)))
        else:
            walk.answer(question, lines[-1])
    return lines


def test_a_walk_from_the_complaint_to_a_closed_case(converse: Converse, bowser: Bench) -> None:
    held = converse("3", *answers(bowser), "yes", "90 mV")

    case = held.case
    assert held.ended
    assert not held.unread
    assert case.complaint == ("relay-chatters",)
    assert case.status == "closed"
    assert case.repair == "replace-fuse-holder"
    assert case.verification is not None
    assert case.verification.value == pytest.approx(0.09)
    assert len(case.found) + len(case.passed_over) == 1 + len(answers(bowser))


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
    held = converse("3, 25")

    assert {item.id for item in held.walk.told} == {"relay-sound", "fuse-holder-heat"}


def test_complaints_that_exclude_each_other_are_asked_again(converse: Converse) -> None:
    held = converse("1 5", "1")

    assert "For pump action these say both silent and slow; keep one." in held.text
    assert held.walk.told == (Seen("pump-action", "silent"),)


def test_without_a_complaint_the_first_question_is_what_the_pump_does(converse: Converse) -> None:
    held = converse("")

    assert "What does the pump do when water is wanted?" in held.text


@pytest.mark.parametrize(
    ("typed", "option"),
    [("4", "normal"), ("normal", "normal"), ("NOR", "normal"), ("cuts in", "cuts-in-and-out")],
)
def test_ways_to_answer_an_observation(converse: Converse, typed: str, option: str) -> None:
    held = converse("", typed)

    assert held.walk.steps[0].item == Seen("pump-action", option)
    assert f"Taken as {option.replace('-', ' ')}." in held.text


@pytest.mark.parametrize(
    ("typed", "value", "echo"),
    [
        ("11.8", 11.8, "11.8 V: low"),
        ("11,8 V", 11.8, "11.8 V: low"),
        ("420 mV", 0.42, "420 mV: next to nothing"),
        ("12.5 volts", 12.5, "12.5 V: as it should be"),
        ("-12.5", -12.5, "-12.5 V: reversed"),
    ],
)
def test_readings_as_people_type_them_are_echoed(
    converse: Converse, typed: str, value: float, echo: str
) -> None:
    held = converse(typed, told=CHATTERS, asks=LOADED)

    item = held.walk.steps[0].item
    assert isinstance(item, Measured)
    assert item.value == pytest.approx(value)
    assert f"Taken as {echo}" in held.flat


def test_over_range_is_taken_for_ohms(converse: Converse) -> None:
    held = converse("OL", told=CHATTERS, asks="resistance relay.86 relay.85")

    assert "Taken as OL: open" in held.text


def test_over_range_is_not_taken_for_volts(converse: Converse) -> None:
    held = converse("OL", "11.8", told=CHATTERS, asks=LOADED)

    assert "'OL' is an ohms display" in held.flat
    assert len(held.walk.steps) == 1


def test_an_impossible_value_is_questioned_and_the_walk_goes_on(converse: Converse) -> None:
    held = converse("300", "11.8", told=CHATTERS, asks=LOADED)

    assert "300 V is not possible here" in held.flat
    assert [step.how for step in held.walk.steps] == ["answered"]


def test_a_contradiction_is_shown_once_and_then_stands(converse: Converse) -> None:
    told = [Seen("pump-action", "silent")]

    held = converse("normal", "normal", told=told, asks="flow")

    assert held.flat.count("A pump that stands gives no flow") == 1
    assert Seen("flow", "normal") in held.walk.evidence


def test_after_a_contradiction_another_answer_is_taken(converse: Converse) -> None:
    held = converse("normal", "none", told=[Seen("pump-action", "silent")], asks="flow")

    assert Seen("flow", "none") in held.walk.evidence


def test_back_takes_an_answer_back_without_a_trace(converse: Converse) -> None:
    held = converse("12.4", "back", "11.8", told=CHATTERS, asks=LOADED)
    again = converse("11.8", told=CHATTERS, asks=LOADED)

    assert f"Taken back: {LOADED}." in held.text
    assert held.walk.belief().ranking == again.walk.belief().ranking


def test_back_at_the_first_question_leads_to_the_complaint(converse: Converse) -> None:
    held = converse("3", "back", "5")

    assert held.walk.told == (Seen("pump-action", "slow"),)


def test_back_at_the_very_beginning(converse: Converse) -> None:
    assert "This is the beginning" in converse("back").text


def test_an_answer_that_does_not_fit_is_asked_for_once_more(
    bowser: Bench, wide: Screen, text_of: Callable[[Screen], str]
) -> None:
    question = replace(Walk(bowser).ask("relay-sound"), again=True)

    wide.show(*question_view(wide, question, 3))

    assert "Once more: the answer given before does not fit the rest." in text_of(wide)


def test_skip_and_unknown_are_steps_of_their_own(converse: Converse) -> None:
    held = converse("3", "skip", "unknown")

    assert [step.how for step in held.walk.steps] == ["skipped", "unknown"]
    assert held.walk.steps[0].minutes == 0


def test_why_tells_the_use_the_worth_and_the_leader(converse: Converse) -> None:
    text = converse("3", "why").flat

    assert re.search(r"On average it settles about \d+ % of what is still open", text)
    assert "points to" in text
    assert "In front: Corroded main fuse holder" in text
    assert "relay-sound: chatters speaks" in text


def test_why_not(converse: Converse) -> None:
    text = converse("3", "not motor-seized", "not float-inverted", "not motor", "not x").flat

    assert re.search(r"Motor seized: <?\d+ %, place \d+ of \d+", text)
    assert "this rig cannot have it; it needs control: float switch" in text.replace("_", " ")
    assert "there is no failure mode called 'motor'" in text
    assert "there is no failure mode called 'x'" in text


def test_list_offers_other_tests_and_one_can_be_picked(converse: Converse) -> None:
    held = converse("3", "list", "99", "2", "why")

    assert "Type a number from 1 to 12" in held.text
    picked = held.prompts[-1]
    first = held.prompts[1]
    assert picked != first


def test_list_can_be_left_again(converse: Converse) -> None:
    held = converse("list", "", "12.4", told=CHATTERS, asks=LOADED)

    assert held.prompts[0] == held.prompts[2]
    assert len(held.walk.steps) == 1


def test_a_caution_is_given_when_it_starts_to_hold_and_once(converse: Converse) -> None:
    held = converse("25", "skip", "skip", "skip")

    assert held.flat.count("STOP: The fuse holder is too hot to hold: switch off") == 1


def test_cautions_of_a_step_are_given_in_full_once(converse: Converse) -> None:
    held = converse("3", "skip", "skip", "skip", "skip", "skip", "skip")

    assert held.flat.count("The circuit is alive while this is read.") == 1
    assert "Cautions as before: " in held.text


def test_the_result_names_cause_repair_fix_and_proof(converse: Converse) -> None:
    text = converse(told=BAD_HOLDER).text

    parts = ("It comes to:", "Cautions", "What to do", "Parts", "Proof that it is mended")
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert re.search(r"This repair \(replace fuse holder\) cures it: >?\d+ %", text)
    assert "Has the repair been done now?" in text


def test_a_blown_fuse_is_a_result_with_causes_to_rule_out_first(
    bowser: Bench, wide: Screen, text_of: Callable[[Screen], str]
) -> None:
    told = (
        Seen("main-fuse-element", "open"),
        Seen("main-fuse-history", "blew-unseen"),
        Seen("motor-turns-by-hand", "free"),
        Seen("wiring-look", "sound"),
        Measured(reading_of("resistance fuse.out ground"), 4e7),
    )
    result = conclude(Walk(bowser, told))
    assert result.cause == "main-fuse-blown"

    wide.show(*result_view(wide, bowser, result))

    text = text_of(wide)
    assert "This is often a result. Rule out first:" in text
    assert cause_title(bowser, result.behind[0][0]) in text


def test_a_verification_outside_its_band_leaves_the_case_open(converse: Converse) -> None:
    held = converse("yes", "4 V", told=BAD_HOLDER)

    assert "4 V is outside" in held.text
    assert held.case.status == "open"
    assert held.case.verification is not None


def test_a_verification_that_cannot_be_read(converse: Converse) -> None:
    held = converse("yes", "unknown", told=BAD_HOLDER)

    assert "Without the reading the case stays open." in held.text
    assert held.case.status == "open"


def test_a_repair_not_done_is_an_open_case(converse: Converse) -> None:
    held = converse("no", told=BAD_HOLDER)

    assert held.case.status == "open"
    assert held.case.verification is None


def test_from_the_result_back_to_the_questions(converse: Converse) -> None:
    held = converse("1", "back", told=BAD_HOLDER, asks="fuse-holder-heat")

    assert held.walk.steps == []
    assert held.prompts[-1].startswith("fuse-holder-heat")


def test_from_the_result_on_to_another_test(converse: Converse) -> None:
    held = converse("list", "1", told=BAD_HOLDER)

    assert not held.prompts[-1].startswith("yes, no")


def test_pages_wait_for_enter_and_quit_leaves_the_rest_out(converse: Converse) -> None:
    turned = converse(*[""] * 12, told=BAD_HOLDER, height=24)
    left = converse("quit", told=BAD_HOLDER, height=24)

    assert "Why this cause" in turned.text
    assert "Why this cause" not in left.text
    assert left.prompts[-1].startswith("yes, no")


def test_quit_saves_when_asked_to(converse: Converse) -> None:
    held = converse("12.4", "quit", "yes", told=CHATTERS, asks=LOADED)

    assert held.ended
    assert held.case.status == "open"
    assert held.case.questions == 1


def test_quit_forgets_when_asked_to(converse: Converse) -> None:
    held = converse("12.4", "quit", "no", told=CHATTERS, asks=LOADED)

    assert held.ended
    assert not [*held.casebook.folder.rglob("*.yaml"), *held.casebook.folder.rglob("*.jsonl")]


def test_quit_can_be_taken_back(converse: Converse) -> None:
    held = converse("quit", "back", told=CHATTERS)

    assert held.prompts[0] == held.prompts[2]


def test_quitting_twice_still_saves(converse: Converse) -> None:
    held = converse("quit", "quit", told=CHATTERS)

    assert held.case.status == "open"


def test_at_the_end_of_the_input_the_answers_are_kept(converse: Converse) -> None:
    held = converse("12.4", told=CHATTERS, asks=LOADED)

    assert not held.ended
    assert len([*held.casebook.folder.rglob("*.jsonl")]) == 1


def test_nothing_is_kept_where_nothing_was_said(converse: Converse) -> None:
    held = converse("")

    assert not [*held.casebook.folder.rglob("*.jsonl")]


def test_a_walk_that_cannot_be_kept_says_so_and_goes_on(
    bowser: Bench, talk: Callable[..., Talk], tmp_path: Path, text_of: Callable[[Screen], str]
) -> None:
    folder = tmp_path / "cases"
    folder.write_text("this is a file")
    here = talk("12.4")
    conversation = Conversation.of(here, Keeper(Walk(bowser, CHATTERS), folder))
    conversation.chosen = conversation.walk.ask(LOADED)

    with pytest.raises(EOFError):
        conversation.hold()

    assert "This walk cannot be kept while it goes on:" in text_of(here.screen)
    assert len(conversation.walk.steps) == 1
