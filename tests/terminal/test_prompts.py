"""Every prompt answers the same six words, and goes on asking until it makes sense."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.journal import Journal
from diagnose.casebook.store import Casebook
from diagnose.circuit.form import shipped_form
from diagnose.errors import NotUnderstood
from diagnose.reasoning.evidence import Seen
from diagnose.terminal.prompts import Talk, choice
from diagnose.terminal.rig.describe import describe
from diagnose.terminal.walk.keeping import resume
from diagnose.walkthrough import Walk
from tests.terminal.told import BAD_HOLDER, CHATTERS

Converse = Callable[..., Any]

PROMPTS: dict[str, tuple[list[str], dict[str, Any]]] = {
    "complaint": ([], {}),
    "own words": (["the relay chatters and the fuse holder is hot"], {}),
    "observation": ([], {"told": CHATTERS, "asks": "fuse-holder-heat"}),
    "reading": ([], {"told": CHATTERS, "asks": "voltage motor+ motor- calling"}),
    "list": (["list"], {"told": CHATTERS}),
    "page": ([], {"told": BAD_HOLDER, "height": 24}),
    "stop": ([], {"told": BAD_HOLDER}),
    "done": (["safe"], {"told": BAD_HOLDER}),
    "does it run": (["safe", "yes"], {"told": BAD_HOLDER}),
    "under which load": (["safe", "yes", "yes"], {"told": BAD_HOLDER}),
    "proof": (["safe", "yes", "yes", "1"], {"told": BAD_HOLDER}),
    "save": (["quit"], {"told": CHATTERS}),
}
"""How to get to each prompt of a walk."""


HARMLESS = ("xyzzy", "\x1b[31m", "[bold]", "é" * 600)
"""Typed where they make no sense."""


@pytest.mark.parametrize("prompt", PROMPTS)
def test_help_and_why_are_answered_and_the_prompt_comes_again(
    converse: Converse, prompt: str
) -> None:
    lead, options = PROMPTS[prompt]

    held = converse(*lead, "?", "why", "HELP", "why?", **options)

    asked = held.prompts[len(lead) :]
    assert len(asked) == 5
    assert len(set(asked)) == 1
    assert "is none of" not in held.text
    assert "not a number" not in held.text


@pytest.mark.parametrize("word", ["?", "why"])
def test_help_and_why_say_something(converse: Converse, word: str) -> None:
    told = {"told": CHATTERS, "asks": "fuse-holder-heat"}

    assert len(converse(word, **told).text) > len(converse(**told).text) + 100


@pytest.mark.parametrize(
    ("prompt", "word"),
    [
        (prompt, word)
        for prompt in PROMPTS
        for word in ("back", "skip", "unknown", "Quit")
        if (prompt, word) != ("complaint", "back")  # nothing lies before it
    ],
)
def test_the_words_that_lead_away_lead_away(converse: Converse, prompt: str, word: str) -> None:
    lead, options = PROMPTS[prompt]

    held = converse(*lead, word, **options)

    here, *then = held.prompts[len(lead) :]
    assert held.ended == (not then)
    assert here not in then
    assert "is none of" not in held.text
    assert "is not a number" not in held.text


@pytest.mark.parametrize("prompt", sorted(set(PROMPTS) - {"page"}))
def test_what_makes_no_sense_is_asked_again_and_shown_harmless(
    converse: Converse, prompt: str
) -> None:
    lead, options = PROMPTS[prompt]

    held = converse(*lead, *HARMLESS, **options)

    assert len(set(held.prompts[len(lead) :])) == 1
    assert "\x1b" not in held.text
    assert "That is 600 characters long" in held.flat


def test_every_question_about_a_rig_answers_help_and_why(talk: Callable[..., Talk]) -> None:
    lines = ["relay", "1", "no", "10 A", "yes", "20 A", "8 AWG", "14 ft", "1", "agm", "90 Ah"]
    asking = [word for line in lines for word in ("?", "why", line)]
    plain, asked = talk(*lines), talk(*asking)

    assert describe(plain) == describe(asked)
    for field in (*shipped_form().order("walk"), *shipped_form().order("details")):
        assert field.help.format(part="main fuse") in flat(asked)
        assert field.why in flat(asked)
        assert field.why not in flat(plain)


def flat(talk: Talk) -> str:
    """All that was shown, as one line."""
    return " ".join(talk.screen.console.file.getvalue().split())  # type: ignore[attr-defined]


def test_a_rig_that_is_described(talk: Callable[..., Talk]) -> None:
    rig = describe(
        talk("relay", "2", "yes", "11,5 A", "yes", "15", "6 mm^2", "4 m", "lug+", "gel", "60")
    )

    assert rig is not None
    assert (rig.topology, rig.control, rig.remote) == ("relay", "float_switch", True)
    assert rig.pump_current == pytest.approx(11.5)
    assert rig.wire_length == pytest.approx(4.0)
    assert rig.wire_area == pytest.approx(6.0)
    assert (rig.control_tap, rig.battery_kind, rig.battery_capacity) == ("lug+", "gel", 60)
    assert "pump.current" not in rig.assumed


def test_a_rig_of_which_nothing_is_known(talk: Callable[..., Talk]) -> None:
    rig = describe(talk("unknown", "", "", "skip", "", ""))

    assert rig is not None
    assert {"topology", "pump.current", "control", "wire.gauge"} <= set(rig.assumed)


def test_a_direct_rig_is_not_asked_for_what_only_relays_have(talk: Callable[..., Talk]) -> None:
    here = talk("direct", "3", "7 A", "no")

    rig = describe(here)

    assert rig is not None
    assert (rig.topology, rig.control, rig.remote) == ("direct", "manual", False)


def test_back_and_quit_while_describing(talk: Callable[..., Talk]) -> None:
    rig = describe(talk("back", "relay", "1", "back", "2", "no", "7", "no"))

    assert rig is not None
    assert rig.control == "float_switch"
    assert describe(talk("relay", "quit")) is None


@pytest.mark.parametrize("typed", ["1e999 A", "14 V", "0 A", "-3", "nan", "[14]", "14: 3"])
def test_a_current_that_cannot_be_is_asked_again(talk: Callable[..., Talk], typed: str) -> None:
    rig = describe(talk("direct", "1", typed, "7 A", "no"))

    assert rig is not None
    assert rig.pump_current == 7


def test_a_walk_is_gone_on_with(talk: Callable[..., Talk], bowser: Bench, tmp_path: Path) -> None:
    for option in ("chatters", "silent"):
        walk = Walk(bowser, (Seen("relay-sound", option),))
        journal = Journal.start(Casebook.open(tmp_path), walk, ("relay-chatters",))
        journal.walk.answer(walk.ask("battery-found"), "charged")
        journal.close()

    keeper = resume(talk("?", "why", "7", "2"), tmp_path, lambda rig: bowser)

    assert keeper is not None
    assert [step.test for step in keeper.walk.steps] == ["battery-found"]
    assert keeper.complaint == ("relay-chatters",)
    assert resume(talk("quit"), tmp_path, lambda rig: bowser) is None


OPTIONS = ("too-hot-to-hold", "too-cold", "warm", "not-tried")


@pytest.mark.parametrize(
    ("typed", "option"),
    [
        ("1", "too-hot-to-hold"),
        ("too hot", "too-hot-to-hold"),
        ("TOO-C", "too-cold"),
        ("warm", "warm"),
        ("w", "warm"),
        ("not", "not-tried"),
    ],
)
def test_choices(typed: str, option: str) -> None:
    assert choice(typed, OPTIONS) == option


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("too", "could be too-hot-to-hold or too-cold"),
        ("0", "Type a number from 1 to 4"),
        ("5", "Type a number from 1 to 4"),
        ("9" * 400, "Type a number from 1 to 4"),
        ("wrm", "Did you mean warm?"),
        ("bakc", "Did you mean back?"),
        ("\u0663", "is none of"),
    ],
)
def test_choices_that_are_none(typed: str, words: str) -> None:
    with pytest.raises(NotUnderstood, match=words.replace("?", r"\?")):
        choice(typed, OPTIONS)
