"""Talk at every prompt of a walk: findings unasked, notes, what one can do, and enough."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.reasoning.evidence import Measured, Seen
from tests.terminal.conftest import Held

Converse = Callable[..., Held]
SILENT = (Seen("pump-action", "silent"),)


def found(held: Held) -> dict[str, str | float]:
    return {
        one.id: one.value if isinstance(one, Measured) else one.option for one in held.walk.evidence
    }


def test_what_is_volunteered_counts_once_it_is_confirmed(converse: Converse) -> None:
    held = converse("the main fuse is blown", "yes", "quit", "no", told=SILENT)

    assert "Understood, those marked * for sure:" in held.flat
    assert found(held)["main-fuse-element"] == "open"
    assert "Taken: main fuse element: open." in held.flat
    assert held.walk.questions == 0


def test_a_no_takes_nothing_and_the_question_stays(converse: Converse) -> None:
    held = converse("the main fuse is blown", "no", "quit", "no", told=SILENT)

    assert found(held) == {"pump-action": "silent"}
    assert held.prompts[0] == held.prompts[2]


def test_words_that_mean_nothing_are_said_to_be_none_of_the_answers(converse: Converse) -> None:
    held = converse("gizmo squiggles", "quit", "no", told=SILENT, asks="relay-sound")

    assert "'gizmo squiggles' is none of" in held.flat
    assert found(held) == {"pump-action": "silent"}


def test_a_note_is_kept_with_the_case(converse: Converse) -> None:
    held = converse("note it rained all night", "quit", "yes", told=SILENT)

    assert "Noted: it rained all night" in held.flat
    assert held.case.notes == "it rained all night"


def test_can_phone_ends_the_asking_for_readings(converse: Converse) -> None:
    held = converse("can phone", *["unknown"] * 6, "quit", "no", told=SILENT)

    assert "You are on the phone, with bucket" in held.flat
    assert not any("[V]" in prompt or "[A]" in prompt for prompt in held.prompts[1:])


def test_can_alone_says_what_there_is_to_say(converse: Converse) -> None:
    held = converse("can", "quit", "no", told=SILENT)

    assert "You are at the rig, with all that is asked for." in held.flat
    assert "spare-relay" in held.flat


@pytest.mark.parametrize("word", ["can voltmetr", "can fly"])
def test_what_nobody_has_is_asked_again(converse: Converse, word: str) -> None:
    held = converse(word, "quit", "no", told=SILENT)

    assert "there is no thing or place called" in held.flat
    assert held.walk.means.lacks == frozenset()


def test_enough_leads_to_the_result_and_back_to_the_questions(converse: Converse) -> None:
    held = converse("unknown", "enough", "back", "quit", "no", told=SILENT)

    assert "It comes to" in held.flat
    assert held.walk.questions == 0


@pytest.mark.parametrize(
    ("word", "notes", "lacks"),
    [
        ("note the label is gone", ("the label is gone",), ()),
        ("can no clamp", (), ("clamp",)),
    ],
)
def test_both_work_at_the_complaint_too(
    converse: Converse, word: str, notes: tuple[str, ...], lacks: tuple[str, ...]
) -> None:
    held = converse(word, "nothing happens", "yes", "quit", "yes")

    assert found(held)["pump-action"] == "silent"
    assert held.walk.notes == notes
    assert held.walk.means.lacks == {*lacks}


def test_what_was_not_understood_is_said_and_kept(converse: Converse) -> None:
    held = converse("main fuse is blown and the gizmo squiggles", "yes", "quit", "yes", told=SILENT)

    assert "Not understood, and kept as a note" in held.flat
    assert "gizmo" in held.case.notes


def test_a_line_says_where_one_is_taken_to_be(converse: Converse) -> None:
    held = converse("quit", "no")

    assert "You are at the rig, with all that is asked for." in held.flat
    assert "can phone" in held.flat


def test_the_answer_in_other_words_is_an_answer(converse: Converse) -> None:
    """It takes its time and counts as a question, as if the option had been typed."""
    lines = "the main fuse is blown", "yes", "quit", "no"
    in_words = converse(*lines, told=SILENT, asks="main-fuse-element")
    typed = converse("open", "quit", "no", told=SILENT, asks="main-fuse-element")

    assert in_words.walk.steps == typed.walk.steps
    assert in_words.walk.questions == 1


def test_what_says_nothing_of_the_question_may_say_something_by_itself(converse: Converse) -> None:
    held = converse("cuts in and out", "2", "quit", "no", told=(), asks="fuse-holder-heat")

    assert found(held)["pump-action"] == "cuts-in-and-out"


@pytest.mark.parametrize("words", ["no idea", "i cant tell", "dunno"])
def test_who_cannot_tell_has_said_so(converse: Converse, words: str) -> None:
    held = converse(words, "quit", "no", told=SILENT, asks="main-fuse-element")

    assert [step.how for step in held.walk.steps] == ["unknown"]
