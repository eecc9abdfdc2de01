"""A stop on the screen: what is wrong, what to do first, how it ends, and what may be typed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.layout import items
from diagnose.terminal.plain import mark
from diagnose.terminal.prompts import NotUnderstood, Prompt, Talk, Word, ask

if TYPE_CHECKING:
    from rich.console import RenderableType

SAFE = "safe"
"""What is typed when a stop has been dealt with."""


def stop_view(stop: ActiveStop) -> Iterator[RenderableType]:
    """One stop: what to do stands right under its name."""
    yield mark(f"STOP: {stop.stop.title}", "bold red")
    yield from items(stop.do, "1")
    yield mark(stop.text)
    yield mark(stop.ends, "bold red")


def reminder_view(stops: Iterable[ActiveStop]) -> Iterator[RenderableType]:
    """The stops that stand, a line each, above what may still be asked."""
    for stop in stops:
        yield mark(f"STOP stands: {stop.stop.title}. {stop.ends}", "red")


def ask_if_safe(talk: Talk, stop: ActiveStop, going_on: str) -> bool | Word:
    """Whether a stop has been dealt with, or a word that leads away. going_on: what Enter does."""

    def explain() -> None:
        talk.screen.say(stop.ends)
        talk.screen.say(f"{SAFE} says that this is so; {going_on}. back takes the answer back.")

    def read(typed: str) -> bool:
        if typed.lower() in (SAFE, "yes"):
            return True
        if typed.lower() in ("no", "not yet"):
            return False
        raise NotUnderstood(f"Type {SAFE} when that is so; {going_on}.")

    prompt = Prompt(
        label=f"{SAFE} when that is so; {going_on}",
        read=read,
        help=explain,
        why=lambda: talk.screen.say(stop.text),
        enter=False,
    )
    answer = ask(talk, prompt)
    return False if answer in (Word.SKIP, Word.UNKNOWN) else answer


def ask_to_end(talk: Talk, stop: ActiveStop) -> Word:
    """Wait before a walk ends on a stop that nothing ends: Word.QUIT, or Word.BACK."""

    def explain() -> None:
        talk.screen.say("Enter ends here and keeps the case, open. back takes the answer back.")

    prompt: Prompt[Word] = Prompt(
        label="Enter ends here; back if that was not so",
        read=lambda _: Word.QUIT,
        help=explain,
        why=lambda: talk.screen.say(stop.text),
        enter=Word.QUIT,
    )
    answer = ask(talk, prompt)
    return Word.BACK if answer is Word.BACK else Word.QUIT
