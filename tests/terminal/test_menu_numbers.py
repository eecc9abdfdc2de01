"""Numbers of menus: one reader for all of them, which no number leads astray."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.journal import Journal
from diagnose.casebook.store import Casebook
from diagnose.errors import NotUnderstood
from diagnose.pages.complaints import complaints_of
from diagnose.reasoning.evidence import Seen
from diagnose.terminal.drill.room import _kind_prompt
from diagnose.terminal.prompts import Talk, choice, pick
from diagnose.terminal.walk.complaint import pick_several
from diagnose.terminal.walk.keeping import resume
from diagnose.walkthrough import Walk
from tests.terminal.told import CHATTERS

BEYOND = ["0000000019", "00000000019", "0", "000", "4294967297", "9" * 400, "18446744073709551617"]
"""Numbers whose first nine digits, or last bits, are those of a number in the list."""
NO_NUMBERS = ["", "1.0", "-1", "+1", "1 2", "²", "١", "1e0", "0x1"]


@pytest.mark.parametrize("typed", [*BEYOND, *NO_NUMBERS])
def test_what_is_no_number_of_the_list(typed: str) -> None:
    with pytest.raises(NotUnderstood):
        pick(typed, (1, 2, 3))


@pytest.mark.parametrize(
    ("typed", "number"), [("1", 1), ("3", 3), ("0003", 3), ("0" * 400 + "2", 2)]
)
def test_noughts_in_front_change_no_number(typed: str, number: int) -> None:
    assert pick(typed, (1, 2, 3)) == number


@pytest.mark.parametrize("typed", BEYOND)
def test_no_menu_is_led_astray(bowser: Bench, talk: Callable[..., Talk], typed: str) -> None:
    readers: tuple[Callable[[str], object], ...] = (
        _kind_prompt().read,
        lambda typed: choice(typed, ("a", "b")),
        lambda typed: pick_several(typed, complaints_of(bowser)[:9]),
    )
    for read in readers:
        with pytest.raises(NotUnderstood):
            read(typed)


@pytest.mark.parametrize("typed", BEYOND)
def test_the_list_of_tests_is_asked_again(converse: Callable[..., Any], typed: str) -> None:
    held = converse("list", typed, told=CHATTERS)

    assert "Type a number from 1 to" in held.flat


def test_a_walk_is_picked_by_a_number_of_the_list_only(
    talk: Callable[..., Talk], bowser: Bench, tmp_path: Path
) -> None:
    for option in ("chatters", "silent"):
        walk = Walk(bowser, (Seen("relay-sound", option),))
        journal = Journal.start(Casebook.open(tmp_path), walk)
        journal.walk.answer(walk.ask("battery-found"), "charged")
        journal.close()
    here = talk(*BEYOND, "2")

    assert resume(here, tmp_path, lambda _: bowser) is not None

    said = here.screen.console.file.getvalue()  # type: ignore[attr-defined]
    assert said.count("Type a number from 1 to 2, or quit.") == len(BEYOND)
