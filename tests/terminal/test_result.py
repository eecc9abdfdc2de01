"""The end of a walk: result, repair, proof, and what is kept of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import cause_title, conclude
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Talk
from diagnose.terminal.walk.conversation import Conversation
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.result import first_page
from diagnose.walkthrough import Walk
from tests.terminal.conftest import screen_of
from tests.terminal.told import BAD_HOLDER, CHATTERS, whole_result

Converse = Callable[..., Any]

LOADED = "voltage battery+ battery- calling"


def test_the_result_names_cause_repair_fix_and_proof(converse: Converse) -> None:
    held = converse("safe", told=BAD_HOLDER)
    text = held.text

    assert held.prompts[-1] == "Repaired and proved? yes, no, or ?> "
    parts = ("It comes to:", "What to do next", "Why", "How sure", "One word shows more")
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert re.search(r"certain, >?\d+ %: this repair \(replace fuse holder\) cures it", text)
    assert "First type cautions: " in text


def test_the_result_says_what_the_answers_say_together(converse: Converse) -> None:
    said = converse("safe", told=BAD_HOLDER).flat

    assert "Why - 1.2 V are lost across the main fuse and its holder." in said


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

    wide.show(*whole_result(wide, bowser, result))

    text = text_of(wide)
    first = " ".join(text.split())
    assert "1. This is often a result. Rule out first: " in first
    assert cause_title(bowser, result.behind[0][0]) in text


def test_a_verification_outside_its_band_leaves_the_case_open(converse: Converse) -> None:
    held = converse("safe", "yes", "yes", "1", "4 V", told=BAD_HOLDER)

    assert "4 V is outside" in held.text
    assert held.case.status == "open"
    assert held.case.verification is not None


def test_a_verification_that_cannot_be_read(converse: Converse) -> None:
    held = converse("safe", "yes", "yes", "in use", "unknown", "no", told=BAD_HOLDER)

    assert "Without the reading the case stays open." in held.text
    assert held.case.status == "open"


def test_no_drop_on_a_rig_that_stands_still_leaves_the_case_open(converse: Converse) -> None:
    """Ohm's law: without current there is no drop, whatever the joint."""
    held = converse("safe", "yes", "no", "3", "0", told=BAD_HOLDER)

    assert "Nothing flows, so nothing can be lost: a drop of 0 V on a rig that does" in held.flat
    assert "The case stays open." in held.text
    case = held.case
    assert case.status == "open"
    assert case.verification is not None
    assert (case.verification.runs, case.verification.load) == (False, "still")


def test_whether_it_runs_is_asked_before_the_reading(converse: Converse) -> None:
    held = converse("safe", "yes", "?", "why", "yes", "?", "why", "1", "0", "0.05", told=BAD_HOLDER)

    said = held.flat
    assert said.index("Does the pump do its job again?") < said.index("3 it does not run")
    assert said.index("3 it does not run") < said.index("Measure now:")
    assert "0 V may be anything from" in said
    assert "50 mV" not in said  # the digits that were typed are those that are shown
    assert "0.05 V is within" in said
    assert held.case.status == "closed"


@pytest.mark.parametrize("typed", [("skip",), ("unknown",), ("yes", "skip"), ("no", "quit")])
def test_a_proof_can_be_left(converse: Converse, typed: tuple[str, ...]) -> None:
    held = converse("safe", "yes", *typed, told=BAD_HOLDER)

    assert "Without the reading the case stays open." in held.text
    assert held.case.verification is None


def test_a_repair_not_done_is_an_open_case(converse: Converse) -> None:
    held = converse("safe", "no", "?", "", told=BAD_HOLDER)

    assert "1 it is not repaired yet" in held.flat
    assert "Close it later with: diagnose cases close" in held.text
    assert held.case.status == "open"
    assert held.case.verification is None


def test_where_nothing_can_be_read_the_changed_part_is_the_proof(converse: Converse) -> None:
    held = converse("safe", "yes", "yes", "1", "unknown", "?", "yes", told=BAD_HOLDER)

    assert "Did the trouble go when that was put right, with nothing else changed?" in held.text
    assert (held.case.status, held.case.confirmed_by) == ("closed", "part-swapped")
    assert held.case.true_cause == held.case.cause


def test_a_pump_that_does_not_do_its_job_is_no_proof_by_the_part(converse: Converse) -> None:
    held = converse("safe", "yes", "no", "1", "unknown", told=BAD_HOLDER)

    assert "Without the reading the case stays open." in held.text
    assert held.case.status == "open"


def test_something_else_is_asked_for_by_its_name(converse: Converse) -> None:
    """The name on the screen, without an id or an option."""
    held = converse("safe", "no", "3", "motor", "Aged battery", "yes", told=BAD_HOLDER)

    assert "Known here: " in held.text  # several begin with that word
    case = held.case
    assert (case.status, case.true_cause, case.confirmed_by) == (
        "closed",
        "battery-aged",
        "part-swapped",
    )


def test_something_that_is_not_in_the_book_is_kept_in_words(converse: Converse) -> None:
    held = converse("safe", "no", "3", "a mouse nest", "a mouse nest", "no", told=BAD_HOLDER)

    assert "The same again keeps it in your own words." in held.flat
    case = held.case
    assert (case.true_cause, case.true_words) == ("not-in-the-book", "a mouse nest")
    assert not case.confirmed


def test_repaired_and_still_there_offers_what_is_left(converse: Converse) -> None:
    held = converse("safe", "no", "2", "1", told=BAD_HOLDER)
    left = converse("safe", "no", "2", "", told=BAD_HOLDER)

    assert "Other tests now" in held.text
    assert not held.prompts[-1].startswith("Repaired")
    assert left.case.status == "open"


@pytest.mark.parametrize("size", [(80, 24), (40, 24)])
def test_the_first_page_is_one_screen(converse: Converse, size: tuple[int, int]) -> None:
    """With its prompt; of a long repair it says how many steps are left."""
    width, height = size
    told = [item for item in BAD_HOLDER if item.id != "fuse-holder-heat"]
    held = converse(told=told, width=width, height=height)
    page = held.text.partition("It comes to:")[2]

    assert held.prompts == ["Repaired and proved? yes, no, or ?> "]
    assert len(page.splitlines()) < height


@pytest.mark.parametrize("cause", ["control-diode-reversed", "battery-aged", "motor-seized"])
def test_no_repair_is_too_long_for_the_first_page(bowser: Bench, cause: str) -> None:
    """Also those with the most steps and cautions."""
    screen = screen_of(80, 24)
    result = replace(conclude(Walk(bowser, BAD_HOLDER)), stops=(), behind=())
    mode = bowser.shop.catalogue.failure_modes[cause]
    longest = replace(
        result, cause=cause, repair=mode.repair, fix=mode.fix, cautions=result.cautions
    )
    shown = first_page(screen, bowser, longest)

    assert sum(map(screen.lines_of, shown)) < 24


def test_a_cause_that_is_not_settled_is_called_no_more_than_the_likeliest(
    bowser: Bench, wide: Screen, text_of: Callable[[Screen], str]
) -> None:
    result = conclude(Walk(bowser, CHATTERS), "no question is left")
    assert result.repair_probability < 0.5

    wide.show(*first_page(wide, bowser, result))

    said = " ".join(text_of(wide).split())
    assert said.startswith("It comes to no sure cause yet; the likeliest: ")
    assert "Asking ended: no question is left." in said


def test_one_word_shows_a_part_and_more_shows_all(converse: Converse) -> None:
    held = converse("safe", "parts", "proof", "behind", "cautions", told=BAD_HOLDER)
    more = converse("safe", "more", told=BAD_HOLDER)

    for title in ("Parts", "Proof that it is mended", "Why it came about", "Cautions"):
        assert f"\n{title}\n" in held.text
        assert f"\n{title}\n" in more.text
    assert "Or it could be" in more.text
    assert "Or it could be" not in held.text


def test_no_screen_of_a_walk_speaks_in_ids_of_states(converse: Converse) -> None:
    held = converse("?", "why", "list", "", "12.4", told=CHATTERS, asks=LOADED)
    end = converse("safe", "more", "yes", "yes", "1", "?", told=BAD_HOLDER)

    for text in (held.text, end.text, *held.prompts, *end.prompts):
        assert not re.search(r"\bcalling\b|satisfied|\bbits?\b", text)


def test_from_the_result_back_to_the_questions(converse: Converse) -> None:
    held = converse("safe", "1", "back", told=BAD_HOLDER, asks="fuse-holder-heat")

    assert [step.test for step in held.walk.steps] == ["too-hot"]
    assert held.prompts[-1].startswith("fuse-holder-heat")


def test_from_the_result_on_to_another_test(converse: Converse) -> None:
    held = converse("safe", "list", "1", told=BAD_HOLDER)

    assert not held.prompts[-1].startswith("Repaired")


def test_pages_wait_for_enter_and_quit_leaves_the_rest_out(converse: Converse) -> None:
    turned = converse("safe", "more", *[""] * 12, told=BAD_HOLDER, height=24)
    left = converse("safe", "more", "quit", told=BAD_HOLDER, height=24)

    assert "Why this cause" in turned.text
    assert "Why this cause" not in left.text
    assert left.prompts[-1].startswith("Repaired and proved?")


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
