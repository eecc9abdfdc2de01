"""Long texts a screenful at a time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from diagnose.terminal.prompts import Prompt, Talk, Word, ask

if TYPE_CHECKING:
    from rich.console import RenderableType


def pages(talk: Talk, parts: Iterable[RenderableType]) -> None:
    """Show blocks, and wait for Enter before one that would push another off the screen."""
    used = 0
    for part in parts:
        lines = talk.screen.lines_of(part)
        if used and used + lines > talk.screen.height - 2:
            if _turn(talk) is Word.QUIT:
                return
            used = 0
        talk.screen.show(part)
        used += lines


def _turn(talk: Talk) -> bool | Word:
    def explain() -> None:
        talk.screen.say("Enter shows what follows, quit leaves it out. Nothing is asked here.")

    return ask(talk, Prompt("Enter for more", lambda _: True, explain, explain, enter=True))
