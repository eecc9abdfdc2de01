"""The command in a real terminal: a pseudo-terminal of the system, typed at as a person would."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.casebook.store import Casebook

pytest.importorskip("pty")

from tests.terminal.pseudo import COLOUR, Terminal


def test_a_whole_walk_in_a_terminal(
    terminal: Callable[..., Terminal], environment: dict[str, str]
) -> None:
    told = ["--seen", "relay-sound=chatters", "--seen", "fuse-holder-look=corroded"]
    told += ["--seen", "fuse-holder-heat=too-hot-to-hold"]
    read = ["--read", "voltage fuse.in fuse.out calling = 1.2 V"]
    here = terminal("walk", "bowser", *told, *read)
    here.until("tree-watering bowser: relay")
    here.until("Switch off before you touch")
    here.until("STOP: Too hot to hold")
    here.until("Enter goes on with what is safe meanwhile>")
    here.type("safe")
    here.until("Taken as made safe")
    here.until("It comes to: Corroded main fuse holder")
    here.until("Repaired and proved? yes, no, or ?>")
    here.type("more")
    here.until("Enter for more>")
    here.type("quit")
    here.until("Repaired and proved? yes, no, or ?>")
    here.type("why")
    here.until("speaks")
    here.type("yes")
    here.until("Does the pump do its job again?")
    here.until("yes or no>")
    here.type("yes")
    here.until("How does it run while you read, 1 to 3>")
    here.type("1")
    here.until("Measure now: voltage fuse.in fuse.out, asked to run:")
    here.type("95 mV")
    here.until("the repair holds")
    here.until("Saved: ")

    assert here.status() == 0
    case = Casebook.open(environment["DIAGNOSE_CASEBOOK"]).cases().good[0]
    assert (case.status, case.confirmed_by) == ("closed", "verification")
    assert COLOUR.search(here.raw)


def test_broken_off_and_gone_on_with_in_a_narrow_terminal_without_colour(
    terminal: Callable[..., Terminal], environment: dict[str, str]
) -> None:
    here = terminal("walk", "van-shower", columns=40, from_nothing=True, NO_COLOR="1")
    here.until("your own words, or ?>")
    here.type("runs slowly")
    here.until("Question 1")
    here.until("or ?>")
    here.type("unknown")
    here.until("Question 2")
    here.until("or ?>")

    assert here.break_off() == 130
    assert "diagnose walk --resume" in here.flat
    assert not COLOUR.search(here.raw)
    assert "─" not in here.text
    shown = [line.rstrip() for line in here.text.splitlines() if "> " not in line]
    assert max(map(len, shown)) <= 40  # what is typed behind a prompt is wrapped by the terminal
    assert len([*Path(environment["DIAGNOSE_CASEBOOK"]).rglob("*.jsonl")]) == 1

    again = terminal("walk", "--resume", TERM="dumb")
    again.until("Question 2")
    again.until("or ?>")
    again.press(b"\x04")

    assert again.status() == 130
    assert "\x1b[3" not in again.raw
    assert "Traceback" not in again.text
