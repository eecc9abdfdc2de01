"""Stops on the screen: what ends a walk, what goes on meanwhile, and what has to be said first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnose.casebook.journal import Journal
from diagnose.reasoning.evidence import Seen
from tests.terminal.told import BAD_HOLDER, CHATTERS
from tests.tools.stops.promise import under_power

Converse = Callable[..., Any]

HOT = (Seen("fuse-holder-heat", "too-hot-to-hold"),)
SMOKED = (Seen("smoke", "seen"),)
SWOLLEN = (Seen("battery-look", "swollen"),)

GOES_ON = "safe when that is so; Enter goes on with what is safe meanwhile> "
ENDS = "safe when that is so; Enter ends with what is known> "
STAYS_OPEN = "safe when that is so; Enter leaves the case open> "
LAST = "Enter ends here; back if that was not so> "


def standing(held: Any) -> list[str]:
    return [one.id for one in held.walk.stops()]


# -- what nothing ends -----------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["", "quit", "safe", "yes", "skip"])
def test_what_nothing_ends_closes_the_walk_and_keeps_an_open_case(
    converse: Converse, typed: str
) -> None:
    """Whatever is said but back: no question, no repair, no proof."""
    held = converse(typed, told=SWOLLEN)

    assert held.ended
    assert held.prompts == [LAST]
    assert (held.case.status, held.case.standing) == ("open", ("battery-may-burst",))
    assert "Stand back, and keep others back." in held.flat
    assert "Leave the battery to somebody trained and equipped for it" in held.flat
    for words in ("It comes to", "What to do", "Parts", "Proof", "Repaired and proved"):
        assert words not in held.text


def test_it_ends_at_once_where_an_answer_brings_it_up(converse: Converse) -> None:
    held = converse("swollen", "", told=CHATTERS, asks="battery-look")

    assert held.ended
    assert held.prompts[1:] == [LAST]
    assert held.case.standing == ("battery-may-burst",)
    assert [item.answer for item in held.case.found] == ["chatters", "swollen"]


def test_what_nothing_ends_comes_before_what_can_be_made_safe(converse: Converse) -> None:
    held = converse("", told=(*HOT, *SWOLLEN))

    assert held.prompts == [LAST]
    assert set(held.case.standing) == {"battery-may-burst", "too-hot"}


def test_an_answer_that_was_a_slip_is_taken_back(converse: Converse) -> None:
    held = converse("swollen", "back", "1", told=CHATTERS, asks="battery-look")

    assert "Taken back: battery look." in held.text
    assert held.prompts[2] == held.prompts[0]
    assert standing(held) == []
    assert not held.ended


def test_help_and_why_before_the_end(converse: Converse) -> None:
    held = converse("?", "why", "", told=SWOLLEN)

    assert "Enter ends here and keeps the case, open." in held.flat
    assert held.flat.count("can burst and throw acid") == 2
    assert held.prompts == [LAST] * 3


# -- what goes on meanwhile ------------------------------------------------------------------------


def test_enter_goes_on_with_what_is_safe_meanwhile(converse: Converse) -> None:
    """Every question from there on is one that no power is needed for, by the state it names."""
    held = converse("", *["unknown"] * 30, told=SMOKED)

    bench = held.walk.bench
    asked = [step.test for step in held.walk.steps]
    assert len(asked) >= 3
    assert not [test for test in asked if under_power(bench.tests[test])]
    questions, waiting, _ = held.text.partition(
        "Nothing more can be asked before this is dealt with."
    )
    assert waiting
    assert questions.count("STOP stands: It has smoked.") == len(asked)
    assert held.prompts[len(asked) + 1] == ENDS


def test_without_the_stop_the_same_walk_asks_for_power(converse: Converse) -> None:
    """That the test above can fail."""
    held = converse("safe", *["unknown"] * 30, told=SMOKED)

    asked = [step.test for step in held.walk.steps if step.is_question]
    assert [test for test in asked if under_power(held.walk.bench.tests[test])]
    assert "STOP stands" not in held.text


@pytest.mark.parametrize("typed", ["safe", "SAFE", "yes"])
def test_safe_lifts_a_stop_when_it_is_shown(converse: Converse, typed: str) -> None:
    held = converse(typed, told=HOT)

    assert "Taken as made safe: Too hot to hold." in held.text
    assert standing(held) == []
    assert held.text.count("STOP") == 1


def test_it_is_on_the_disk_that_it_was_made_safe(converse: Converse) -> None:
    held = converse("safe", told=HOT)

    (path,) = held.casebook.folder.rglob("*.jsonl")
    journal = Journal.resume(path, lambda rig: held.walk.bench)
    journal.close()
    assert journal.walk.steps == held.walk.steps
    assert journal.walk.stops() == ()


def test_safe_lifts_it_later_at_any_question(converse: Converse) -> None:
    held = converse("", "unknown", "safe", told=HOT)

    assert standing(held) == []
    assert [step.how for step in held.walk.steps] == ["unknown", "made-safe"]
    assert "STOP stands" in held.text
    assert "STOP stands" not in held.text.partition("Taken as made safe")[2]


@pytest.mark.parametrize("typed", ["no", "not yet", "skip", "unknown"])
def test_what_is_not_safe_leaves_it_standing(converse: Converse, typed: str) -> None:
    held = converse(typed, told=HOT)

    assert standing(held) == ["too-hot"]
    assert held.prompts[0] == GOES_ON
    assert "STOP stands: Too hot to hold." in held.text


@pytest.mark.parametrize("typed", ["maybe", "3", "it is cool"])
def test_anything_else_is_asked_for_again(converse: Converse, typed: str) -> None:
    held = converse(typed, told=HOT)

    assert held.prompts == [GOES_ON] * 2
    assert "Type safe when that is so; Enter goes on with what is safe meanwhile." in held.flat


def test_help_and_why_at_a_stop(converse: Converse) -> None:
    held = converse("?", "why", told=HOT)

    assert held.flat.count("Nothing under power until it is switched off") == 2
    assert held.flat.count("A part that is too hot to hold burns skin") == 2
    assert "back takes the answer back" in held.flat


def test_back_brings_a_stop_back_that_was_made_safe(converse: Converse) -> None:
    held = converse("safe", "back", told=HOT)

    assert "Taken back: too hot." in held.text
    assert standing(held) == ["too-hot"]
    assert held.prompts[-1] == GOES_ON


def test_back_at_a_stop_takes_the_answer_back_that_raised_it(converse: Converse) -> None:
    held = converse("3", "back", told=CHATTERS, asks="fuse-holder-heat")

    assert "Taken back: fuse holder heat." in held.text
    assert held.prompts[2] == held.prompts[0]
    assert standing(held) == []


def test_what_is_seen_once_more_after_it_was_made_safe_stops_again(converse: Converse) -> None:
    held = converse("safe", "too-hot-to-hold", told=HOT, asks="relay-heat")

    assert held.text.count("STOP: Too hot to hold") == 2
    assert standing(held) == ["too-hot"]


def test_quit_at_a_stop_offers_to_save(converse: Converse) -> None:
    held = converse("quit", "yes", told=HOT)

    assert (held.case.status, held.case.standing) == ("open", ("too-hot",))


def test_safe_says_so_where_no_stop_stands(converse: Converse) -> None:
    held = converse("safe", told=CHATTERS)

    assert "No stop stands." in held.text
    assert held.walk.steps == []
    assert held.prompts[0] == held.prompts[1]


def test_of_two_stops_each_is_asked_for(converse: Converse) -> None:
    """Smoke and heat: at the question `safe` asks of each whether it has been dealt with."""
    held = converse("", "", "safe", "safe", "no", told=(*SMOKED, *HOT))

    leaves = "safe when that is so; Enter leaves it standing> "
    assert held.prompts[:2] == [GOES_ON] * 2
    assert held.prompts[3:5] == [leaves] * 2
    assert standing(held) == ["too-hot"]


def test_back_there_takes_the_last_answer_back(converse: Converse) -> None:
    held = converse("", "", "1", "safe", "back", "", "", told=(*SMOKED, *HOT))

    first, again = held.prompts[2], held.prompts[7]
    assert again == first != held.prompts[3]
    assert (held.walk.steps, standing(held)) == ([], ["smoked", "too-hot"])


def test_quit_there_leaves(converse: Converse) -> None:
    held = converse("", "", "safe", "quit", "yes", told=(*SMOKED, *HOT))

    assert held.prompts[4] == "yes, no or back> "
    assert set(held.case.standing) == {"smoked", "too-hot"}


# -- at the end ------------------------------------------------------------------------------------


def test_where_nothing_is_left_to_ask_it_waits_for_safe(converse: Converse) -> None:
    held = converse("", "safe", told=BAD_HOLDER)

    assert held.prompts == [GOES_ON, ENDS, "Repaired and proved? yes, no, or ?> "]
    assert standing(held) == []
    assert "It comes to: Corroded main fuse holder" in held.text


def test_enter_there_ends_with_what_is_known_and_the_stop_first(converse: Converse) -> None:
    held = converse("", "", "steps", "no", "", told=BAD_HOLDER)

    assert held.text.index("STOP stands: Too hot to hold.") < held.text.index("It comes to")
    first, steps = held.flat.partition("What to do next")[2].split("What to do")
    assert first.split("1. ")[1].startswith("Master switch off.")
    assert steps.split("1. ")[1].startswith("Master switch off.")
    assert steps.index("nothing in it is melted or soft") < steps.index("Cut the holder out")
    assert (held.case.status, held.case.standing) == ("open", ("too-hot",))


def test_before_the_proof_it_has_to_be_said_to_be_safe(converse: Converse) -> None:
    held = converse("", "", "yes", "safe", "yes", "1", "90 mV", told=BAD_HOLDER)

    assert held.prompts[3] == STAYS_OPEN
    assert held.text.rindex("STOP: Too hot to hold") < held.text.index("Measure now:")
    case = held.case
    assert (case.status, case.confirmed_by, case.standing) == ("closed", "verification", ())
    assert case.stops[0].lifted is not None


@pytest.mark.parametrize("typed", ["", "no", "unknown", "quit"])
def test_while_it_stands_nothing_is_proved(converse: Converse, typed: str) -> None:
    held = converse("", "", "yes", typed, told=BAD_HOLDER)

    assert held.ended
    assert "While this stands nothing is proved; the case stays open." in held.flat
    assert "Measure now" not in held.text
    assert (held.case.status, held.case.standing) == ("open", ("too-hot",))
    assert held.case.verification is None


def test_back_before_the_proof_takes_the_last_answer_back(converse: Converse) -> None:
    held = converse("", "1", "", "yes", "back", "", told=BAD_HOLDER, asks="smell")

    assert held.prompts[4] == STAYS_OPEN
    assert held.prompts[5:] == [GOES_ON, held.prompts[1]]
    assert held.walk.steps == []
    assert not held.ended
