"""What is typed where a page is turned is not lost: the prompt that follows takes it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.terminal.plain import para
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, pages
from tests.terminal.conftest import Typed, screen_of, shown

PARTS = [para("\n".join(f"line {part} {n}" for n in range(8))) for part in range(4)]


def paged(*typed: str) -> Talk:
    talk = Talk(screen_of(80, 12), Typed([*typed]))
    pages(talk, PARTS)
    return talk


def asked(talk: Talk) -> str | Word:
    say: Callable[[], None] = lambda: None  # noqa: E731
    return ask(talk, Prompt("Which", lambda typed: typed, say, say))


@pytest.mark.parametrize(("typed", "answer"), [("12.4", "12.4"), ("back", Word.BACK)])
def test_the_next_prompt_takes_it(typed: str, answer: str | Word) -> None:
    talk = paged(typed)

    assert asked(talk) == answer
    assert f"Which> {typed}" in shown(talk.screen)
    assert "line 3 0" not in shown(talk.screen)


def test_enter_turns_and_quit_leaves_out() -> None:
    assert "line 3 7" in shown(paged("", "", "").screen)
    left = paged("quit", "4")
    assert "line 1 0" not in shown(left.screen)
    assert asked(left) == "4"
