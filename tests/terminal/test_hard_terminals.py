"""Terminals as they also are: narrow, dumb, without colour or UTF-8, resized and broken off."""

from __future__ import annotations

import os
from collections.abc import Callable

import pytest

pytest.importorskip("pty")

from tests.terminal.pseudo import COLOUR, Terminal

Start = Callable[..., Terminal]

HOT_HOLDER = [
    *("--seen", "relay-sound=chatters", "--seen", "fuse-holder-look=corroded"),
    *("--seen", "fuse-holder-heat=too-hot-to-hold"),
    *("--read", "voltage fuse.in fuse.out calling = 1.2 V"),
]
BAD_HOLDER = [*HOT_HOLDER, "--made-safe", "too-hot"]


def widest(here: Terminal, start: int = 0) -> int:
    """Columns of the longest line that was shown, prompts with what is typed behind them aside."""
    lines = here.text[start:].splitlines()
    return max(len(line.rstrip()) for line in lines if "> " not in line)


PROMPTS = {
    "a complaint": (["walk", "bowser"], [], "your own words, or ?>"),
    "more of a page": (
        ["walk", "bowser", *BAD_HOLDER],
        ["Repaired and proved? yes, no, or ?>", "more"],
        "Enter for more>",
    ),
    "a question": (["walk", "bowser", "--seen", "pump-action=slow"], [], "or ?>"),
    "words understood": (
        ["walk", "bowser"],
        ["your own words, or ?>", "the relay rattles"],
        "Right? yes, no, or the numbers",
    ),
    "save what there is": (
        ["walk", "bowser", "--seen", "pump-action=slow"],
        ["or ?>", "quit"],
        "yes, no or back",
    ),
    "a stop": (["walk", "bowser", *HOT_HOLDER], [], "safe when that is so"),
    "a stop that nothing ends": (
        ["walk", "bowser", "--seen", "battery-look=swollen"],
        [],
        "Enter ends here; back if that was not so>",
    ),
    "a stop before the proof": (
        ["walk", "bowser", *HOT_HOLDER],
        [
            *(
                "Enter goes on with what is safe meanwhile>",
                "",
                "Enter ends with what is known>",
                "",
            ),
            *("Repaired and proved? yes, no, or ?>", "yes"),
        ],
        "Enter leaves the case open>",
    ),
    "repaired": (["walk", "bowser", *BAD_HOLDER], [], "Repaired and proved? yes, no, or ?>"),
    "a proof reading": (
        ["walk", "bowser", *BAD_HOLDER],
        [
            *("Repaired and proved? yes, no, or ?>", "yes"),
            *("yes or no>", "yes"),
            *("How does it run while you read, 1 to 3>", "1"),
        ],
        "Measure now:",
    ),
    "a rig": (["walk"], [], ">"),
    "a new rig": (["rig", "new"], [], ">"),
    "a drill": (["drill"], [], ">"),
}
"""Where a prompt is met: the command, what is waited for and typed, and the prompt itself."""


EVERYWHERE = bool(os.environ.get("DIAGNOSE_PROMPTS"))
"""Whether Ctrl-C is pressed at every prompt, or at those that are read in different ways."""

PRESSED = (
    PROMPTS
    if EVERYWHERE
    else ["more of a page", "a question", "a stop", "a proof reading", "a new rig"]
)


@pytest.mark.parametrize("where", PRESSED)
def test_ctrl_c_at_every_kind_of_prompt(terminal: Start, where: str) -> None:
    """Status 130 as a shell expects it, and no word of Python."""
    words, script, prompt = PROMPTS[where]
    here = terminal(*words, lines=24 if where == "more of a page" else 300)
    for waited, typed in zip(script[::2], script[1::2], strict=True):
        here.until(waited)
        here.type(typed)
    here.until(prompt)

    assert here.break_off() == 130
    assert "Traceback" not in here.text
    assert "KeyboardInterrupt" not in here.text


@pytest.mark.parametrize("where", ["a question", "a new rig"])
def test_the_end_of_the_input_is_as_ctrl_c(terminal: Start, where: str) -> None:
    words, _, prompt = PROMPTS[where]
    here = terminal(*words, lines=300)
    here.until(prompt)

    here.press(b"\x04")

    assert here.status() == 130
    assert "Traceback" not in here.text


def test_a_window_made_narrow_while_a_question_waits(terminal: Start) -> None:
    here = terminal("walk", "bowser", "--seen", "pump-action=slow", lines=300)
    here.until("Question 1")
    here.until("or ?>")
    before = len(here.text)
    assert widest(here) > 60

    here.resize(40, 300)
    here.type("unknown")
    here.until("Question 2")
    here.until("or ?>")

    assert widest(here, before + len("unknown")) <= 40
    before = len(here.text)
    here.resize(100, 300)
    here.type("unknown")
    here.until("Question 3")
    here.until("or ?>")
    assert 40 < widest(here, before + len("unknown")) <= 80
    assert here.break_off() == 130


@pytest.mark.parametrize("without", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_plain_terminals_of_forty_columns(terminal: Start, without: dict[str, str]) -> None:
    here = terminal("walk", "van-shower", columns=40, lines=300, **without)
    here.until("your own words, or ?>")
    here.type("weak flow")
    here.until("or ?>")
    assert here.break_off() == 130
    assert not COLOUR.search(here.raw)
    assert widest(here) <= 40


def test_a_terminal_without_utf_8(terminal: Start) -> None:
    """Nothing but ASCII goes out, and what is typed in another encoding does no harm."""
    plain = {"LC_ALL": "C", "LANG": None, "PYTHONUTF8": "0", "PYTHONIOENCODING": None}
    plain |= {"PYTHONCOERCECLOCALE": "0"}
    here = terminal("walk", "van-shower", lines=300, from_nothing=True, **plain)
    here.until("your own words, or ?>")
    here.type("\xe9t\xe9 \N{ROCKET}")
    here.until("or ?>")
    here.type("runs slowly")
    here.until("Question 1")
    here.until("or ?>")
    here.type("\xe9\xe9")
    here.until("or ?>")
    here.type("unknown")
    here.until("Question 2")
    here.until("or ?>")
    assert here.break_off() == 130
    shown = [line for line in here.raw.splitlines() if "> " not in line]
    assert all(line.isascii() for line in shown)
    assert "Traceback" not in here.text
