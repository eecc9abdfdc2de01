"""Stops and cautions: how they look, and when a stop is over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.errors import NotUnderstood
from diagnose.pages.cautions import Alert
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.layout import items
from diagnose.terminal.plain import Renderable, mark
from diagnose.terminal.prompts import Prompt, Talk, Word, ask

SAFE = "safe"
"""What is typed when a stop has been dealt with."""


def stop_view(stop: ActiveStop) -> Iterator[Renderable]:
    """One stop: what to do stands right under its name."""
    yield mark(f"STOP: {stop.stop.title}", "bold red")
    yield from items(stop.do, "1")
    yield mark(stop.text)
    yield mark(stop.ends, "bold red")


def reminder_view(stops: Iterable[ActiveStop]) -> Iterator[Renderable]:
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

    label = f"{SAFE} when that is so; {going_on}"
    answer = ask(talk, Prompt(label, read, explain, stop.text, enter=False))
    return False if answer in (Word.SKIP, Word.UNKNOWN) else answer


def alert_view(alert: Alert) -> Renderable:
    """A caution."""
    return mark(f"Caution: {alert.sentence}", "yellow")
