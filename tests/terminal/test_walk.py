"""Whole walks, typed line by line, from the complaint to the case."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.catalogue.records import Observation
from diagnose.circuit.reading_words import reading_of
from diagnose.pages.reasons import why_question
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import choice
from diagnose.terminal.walk.question import question_view
from diagnose.walkthrough import Walk
from tests.terminal.told import CHATTERS

Converse = Callable[..., Any]

LOADED = "voltage battery+ battery- calling"
ANSWERS = {
    "pump-action": "cuts in",
    "fuse-holder-heat": "3",
    "fuse-holder-look": "corr",
    "battery-found": "charged",
    LOADED: "12,4 V",
    "voltage fuse.in fuse.out calling": "1.2",
}
"""What a corroded fuse holder would have a person answer; everything else is not known. The holder
is too hot to hold, and let cool as the stop asks."""


def answers(bench: Bench) -> list[str]:
    """What has to be typed at the questions and the stops of such a walk, in their order."""
    walk, lines = Walk(bench), []
    walk.tell(CHATTERS)
    while (question := walk.question()) is not None:
        lines.append(ANSWERS.get(question.id, "unknown"))
        if lines[-1] == "unknown":
            walk.pass_over(question, "unknown")
        elif isinstance(question.entry, Observation):
            walk.answer(question, choice(lines[-1], tuple(question.entry.options)))
        else:
            walk.answer(question, lines[-1])
        for stop in walk.stops():
            lines.append("safe")
            walk.made_safe(stop.id)
    return lines


def test_a_walk_from_the_complaint_to_a_closed_case(converse: Converse, bowser: Bench) -> None:
    typed = answers(bowser)

    held = converse("relay-chatters", *typed, "yes", "yes", "1", "90 mV")

    case = held.case
    assert held.ended
    assert not held.unread
    assert case.complaint == ("relay-chatters",)
    assert case.status == "closed"
    assert case.repair == "replace-fuse-holder"
    assert case.verification is not None
    assert case.verification.value == pytest.approx(0.09)
    assert len(case.found) + len(case.passed_over) == 1 + len(typed) - typed.count("safe")
    assert [stop.stop for stop in case.stops] == ["too-hot"]
    assert case.standing == ()


def test_what_was_told_and_cannot_be_together_is_said_before_the_first_question(
    converse: Converse,
) -> None:
    """Kirchhoff's voltage law: with one source no point stands above its posts."""
    told = ((LOADED, 11.0), ("voltage motor+ motor- calling", 14.9))
    held = converse(told=[Measured(reading_of(name), value) for name, value in told])

    start = held.flat.partition("Question 1")[0]
    assert "These do not go together; look at them again first:" in start
    assert "14.9 V is more than the battery's own posts show" in start
    sound = converse(told=[Measured(reading_of(LOADED), 12.4)])
    assert "do not go together" not in sound.flat


def test_why_says_what_was_found_so_far(converse: Converse) -> None:
    held = converse(
        "about 2", "why", told=[Seen("smell", "none")], asks="voltage motor- lug- calling"
    )

    assert "Taken as about 2 V: high (a sound rig:" in held.flat
    assert "Found so far:" in held.text
    assert (
        "about 2 V are lost in the return, from the motor to the battery. The motor's" in held.flat
    )


def test_why_is_silent_of_findings_where_there_are_none(converse: Converse) -> None:
    assert "Found so far:" not in converse("why", told=[Seen("smell", "none")], asks="flow").text


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

    assert "Taken back: voltage battery+ battery-, asked to run." in held.flat
    assert held.walk.belief().ranking == again.walk.belief().ranking


def test_back_at_the_first_question_leads_to_the_complaint(converse: Converse) -> None:
    held = converse("relay-chatters", "back", "runs-slowly")

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
    held = converse("relay-chatters", "skip", "unknown")

    assert [step.how for step in held.walk.steps] == ["skipped", "unknown"]
    assert held.walk.steps[0].minutes == 0


def test_why_tells_the_use_the_worth_and_the_leader(converse: Converse) -> None:
    told = [*CHATTERS, Seen("fuse-holder-look", "corroded")]

    text = converse("why", told=told, asks="fuse-holder-heat").flat

    assert re.search(r"On average it settles about \d+ % of what is still open", text)
    assert "points to" in text
    assert "In front: Corroded main fuse holder" in text
    assert "relay sound: chatters speaks" in text


def test_why_not(converse: Converse) -> None:
    names = ("motor-seized", "float-inverted", "motor", "x")
    text = converse("relay-chatters", *(f"not {name}" for name in names)).flat

    assert re.search(r"Motor seized: <?\d+ %, place \d+ of \d+", text)
    assert "this rig cannot have it; it needs control: float switch" in text.replace("_", " ")
    assert "there is no failure mode called 'motor'" in text
    assert "there is no failure mode called 'x'" in text


@pytest.mark.parametrize(
    "name", ["Motor seized", "motor-seized", "MOTOR SEIZED", "seized", "motor-se", "seiz mot"]
)
def test_why_not_takes_a_name_as_the_screen_shows_it(converse: Converse, name: str) -> None:
    said = converse("relay-chatters", f"not {name}").flat

    assert re.search(r"Motor seized: <?\d+ %, place", said)


def test_why_not_names_those_that_it_could_be(converse: Converse) -> None:
    said = converse("relay-chatters", "not motor").flat

    assert "Known here: " in said
    assert "Motor seized" in said


def test_why_names_every_outcome_once_and_every_cause_once(converse: Converse) -> None:
    """Also before anything was read: nothing that has not been asked is spoken of."""
    for asked in ("other-loads", "voltage lug+ lug- calling", "voltage fuse.in fuse.out calling"):
        walk = Walk(converse(told=CHATTERS).walk.bench, CHATTERS)
        told = why_question(walk, walk.ask(asked))
        causes = [point.partition(" points to ")[2] for point in told.points]
        outcomes = [point.partition(" points to ")[0] for point in told.points]
        named = [cause for cause in causes if cause]

        assert told.sentences[-1] == "What each answer would mean on this rig:"
        assert len(set(named)) == len(named) > 0
        assert len(set(outcomes)) == len(outcomes)
        assert "reading before it" not in " ".join(told.sentences)


def test_list_offers_other_tests_and_one_can_be_picked(converse: Converse) -> None:
    held = converse("relay-chatters", "list", "99", "2", "why")

    assert "Type a number from 1 to 12" in held.text
    picked = held.prompts[-1]
    first = held.prompts[1]
    assert picked != first


def test_list_can_be_left_again(converse: Converse) -> None:
    held = converse("list", "", "12.4", told=CHATTERS, asks=LOADED)

    assert held.prompts[0] == held.prompts[2]
    assert len(held.walk.steps) == 1


def test_a_caution_is_given_when_it_starts_to_hold_and_once(converse: Converse) -> None:
    held = converse("cuts-in-and-out", "skip", "skip", "skip")

    assert held.flat.count("Caution: What stops by itself starts by itself: master switch off") == 1


def test_a_stop_is_given_in_full_when_it_starts_to_stand_and_then_in_one_line(
    converse: Converse,
) -> None:
    held = converse("fuse-holder-hot", "", "skip", "skip")

    assert held.walk.told == (Seen("fuse-holder-heat", "too-hot-to-hold"),)
    assert held.flat.count("STOP: Too hot to hold 1. Master switch off.") == 1
    assert held.flat.count("STOP stands: Too hot to hold. Nothing under power until") == 3


def test_cautions_of_a_step_are_given_in_full_once(converse: Converse) -> None:
    held = converse("relay-chatters", "skip", "skip", "skip", "skip", "skip", "skip")

    assert held.flat.count("The circuit is alive while this is read.") == 1
    assert "Cautions as before: " in held.text
