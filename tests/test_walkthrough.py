"""The loop: what is asked, what is taken back, what is doubted, what it comes to."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.errors import DiagnoseError
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Impossible, Measured, NotOnThisRig, Seen, check_reading
from diagnose.walkthrough import FIRST, Contradiction, Walk


def answered(bench: Bench, *answers: tuple[str, str]) -> Walk:
    walk = Walk(bench)
    for test, text in answers:
        walk.answer(walk.ask(test), text)
    return walk


def test_the_complaint_comes_first(bowser: Bench) -> None:
    question = Walk(bowser).question()

    assert question is not None
    assert question.id == FIRST


def test_no_question_is_asked_twice_unless_its_answer_is_doubted(bowser: Bench) -> None:
    walk = Walk(bowser)
    asked = []
    while (question := walk.question()) is not None:
        asked.append(question.id)
        walk.pass_over(question, "unknown")

    assert len(asked) == len(set(asked))
    assert len(asked) > 5


def test_running_measurements_are_not_asked_of_a_silent_pump(bowser: Bench) -> None:
    """Common practice: no flow or pressure can be read from a pump that stands; its current can,
    for a moment: a locked motor draws several times its running current, silent or not."""
    walk = answered(bowser, ("pump-action", "silent"))

    allowed = walk.allowed(walk.conclusions())

    assert "flow-rate outlet calling" not in allowed
    assert "pressure outlet calling" not in allowed
    assert "current motor-feed calling" in allowed
    assert "voltage battery+ battery- calling" in allowed


def test_a_jumper_is_not_asked_for_where_a_fuse_blows_at_once(bowser: Bench) -> None:
    """Safety: never feed a short past its fuse (tool warnings, common practice)."""
    walk = answered(bowser, ("pump-action", "silent"), ("main-fuse-history", "blows-at-once"))

    allowed = walk.allowed(walk.conclusions())

    assert not [test for test in allowed if test.startswith("jumper-")]


def test_a_contradiction_is_asked_again_and_then_stands(bowser: Bench) -> None:
    walk = answered(bowser, ("pump-action", "silent"))
    question = walk.ask("flow")

    with pytest.raises(Contradiction):
        walk.answer(question, "normal")
    walk.answer(question, "normal")

    assert Seen("flow", "normal") in walk.evidence


def test_more_volts_than_the_battery_has_are_asked_for_once_more(bowser: Bench) -> None:
    """Kirchhoff's voltage law: with one source no point stands above its posts."""
    walk = answered(bowser, ("voltage battery+ battery- calling", "11.0 V"))
    question = walk.ask("voltage motor+ motor- calling")

    with pytest.raises(
        Contradiction, match=r"14.9 V is more than the battery's own posts .*11.0 V"
    ):
        walk.answer(question, "14.9 V")
    walk.answer(question, "14.9 V")

    assert "voltage motor+ motor- calling" in {item.id for item in walk.evidence}
    assert len(walk.contradictions()) == 1


def test_an_answer_on_which_much_rests_is_asked_for_once_more(bowser: Bench) -> None:
    """Only the frost speaks for ice in the head, and people often forget when it was: by what a
    second answer is worth, no other test pays as well where the motor cannot be got at."""
    walk = answered(
        bowser,
        ("pump-action", "silent"),
        ("voltage cfuse.out lug- calling", "0.01"),
        ("main-fuse-history", "blew-unseen"),
        ("onset", "after-freezing"),
        ("voltage fuse.in fuse.out calling", "12.75"),
        ("motor-turns-by-hand", "stiff"),
    )
    walk.pass_over(walk.ask("bench-run-motor"), "unknown")

    question = walk.question()

    assert question is not None
    assert question.again
    assert question.id == "onset"


def test_an_answer_given_twice_alike_is_sure(bowser: Bench) -> None:
    walk = answered(bowser, ("voltage motor- lug- calling", "2.3"))

    walk.answer(walk.ask("voltage motor- lug- calling"), "2.29 V")

    assert [item.sure for item in walk.evidence] == [True]


def test_a_reading_taken_again_otherwise_replaces_the_first(bowser: Bench) -> None:
    walk = answered(bowser, ("voltage motor- lug- calling", "2.3"))

    walk.answer(walk.ask("voltage motor- lug- calling"), "0.11 V")

    reading = reading_of("voltage motor- lug- calling")
    assert walk.evidence == (Measured(reading, pytest.approx(0.11), resolution=0.01),)


@pytest.mark.parametrize(
    ("text", "volts"), [("11.8", 11.8), ("11,8 V", 11.8), ("420 mV", 0.42), ("-0.02v", -0.02)]
)
def test_readings_as_people_type_them(bowser: Bench, text: str, volts: float) -> None:
    walk = answered(bowser, ("voltage motor+ motor- calling", text))

    (item,) = walk.evidence
    assert isinstance(item, Measured)
    assert item.value == pytest.approx(volts)


@pytest.mark.parametrize("text", ["40 V", "-60", "1e999", "nan", "12 A", "twelve", ""])
def test_what_no_meter_on_this_rig_can_show_is_refused(bowser: Bench, text: str) -> None:
    walk = Walk(bowser)

    with pytest.raises(DiagnoseError):
        walk.answer(walk.ask("voltage motor+ motor- calling"), text)

    assert walk.evidence == ()


def test_over_range_is_an_answer_for_ohms_only(bowser: Bench) -> None:
    walk = answered(bowser, ("resistance relay.86 relay.85", "OL"))
    assert dict(walk.belief().ranking)["relay-coil-open"] > 0.3

    with pytest.raises(DiagnoseError):
        walk.answer(walk.ask("voltage motor+ motor- calling"), "OL")


def test_a_point_that_the_rig_does_not_have_is_named(bowser: Bench) -> None:
    with pytest.raises(NotOnThisRig, match="no such point"):
        check_reading(
            bowser.shop.catalogue,
            bowser.rig,
            reading_of("voltage float.in float.out calling"),
            "0.1",
        )


def test_the_impossible_says_why(bowser: Bench) -> None:
    walk = Walk(bowser)

    with pytest.raises(Impossible, match="16 V"):
        walk.answer(walk.ask("voltage motor+ motor- calling"), "118 V")


RESULTS = {
    "main-fuse-blown": (
        ("pump-action", "silent"),
        ("main-fuse-element", "open"),
        ("main-fuse-history", "blew-unseen"),
        ("motor-turns-by-hand", "free"),
    ),
    "control-fuse-blown": (
        ("pump-action", "silent"),
        ("relay-sound", "silent"),
        ("control-fuse-element", "open"),
        ("control-fuse-history", "blows-at-times"),
    ),
    "relay-contacts-welded": (
        ("pump-when-satisfied", "keeps-running"),
        ("voltage relay.86 relay.85 satisfied", "0.01"),
        ("swap-relay", "cured"),
    ),
}


@pytest.mark.parametrize("mode", RESULTS)
def test_a_walk_never_ends_on_a_result_alone(bowser: Bench, mode: str) -> None:
    result = conclude(answered(bowser, *RESULTS[mode]))

    assert result.cause == mode
    assert result.behind
    assert result.root_causes


def test_the_result_proves_the_fix_with_a_band_around_the_healthy_value(bowser: Bench) -> None:
    walk = answered(
        bowser,
        ("relay-sound", "chatters"),
        ("voltage battery+ battery- calling", "12.4"),
        ("voltage fuse.in fuse.out calling", "4.6"),
    )

    result = conclude(walk)

    assert result.repair == "replace-fuse-holder"
    assert result.verify is not None
    assert str(result.verify.reading) == "voltage fuse.in fuse.out calling"
    assert result.verify.low < 0.084 < result.verify.high < 0.3
    assert result.because[0].startswith("voltage fuse.in fuse.out, asked to run = 4.6 V")


def test_the_minutes_are_those_of_the_tests_done(bowser: Bench) -> None:
    walk = answered(bowser, ("pump-action", "slow"))
    spent = walk.minutes
    question = walk.ask("voltage battery+ battery- rest")

    walk.answer(question, "12.6")

    assert walk.minutes == pytest.approx(spent + question.minutes)
    assert question.minutes > 1
