"""Long texts a screenful at a time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from diagnose.terminal.prompts import Prompt, Talk, Word, ask

if TYPE_CHECKING:
    from rich.console import RenderableType


def pages(talk: Talk, parts: Iterable[RenderableType]) -> None:
    """Show blocks, and wait for Enter before one that would push another off the screen. Whoever
    types something else has read enough: it is for the prompt that follows."""
    used = 0
    for part in parts:
        lines = talk.screen.lines_of(part)
        if used and used + lines > talk.screen.height - 2:
            answer = _turn(talk)
            if answer is not True:
                _keep(talk, answer)
                return
            used = 0
        talk.screen.show(part)
        used += lines


def _keep(talk: Talk, answer: bool | str | Word) -> None:
    """What was typed instead of Enter, for the prompt that follows."""
    if isinstance(answer, str):
        talk.ahead.append(answer)
    elif isinstance(answer, Word) and answer is not Word.QUIT:
        talk.ahead.append(answer.value)


def _turn(talk: Talk) -> bool | str | Word:
    def explain() -> None:
        talk.screen.say(
            "Enter shows what follows, quit leaves it out; anything else is taken next."
        )

    more: Prompt[bool | str] = Prompt(
        "Enter for more", lambda typed: typed, explain, explain, enter=True
    )
    return ask(talk, more)
