"""Stops and cautions: how they look, which cautions have been given, and when a stop is over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from diagnose.catalogue.records import Caution
from diagnose.errors import NotUnderstood, one_line
from diagnose.reasoning.rules.conclusions import Conclusions
from diagnose.reasoning.stops import ActiveStop
from diagnose.steps import Question
from diagnose.terminal.layout import items
from diagnose.terminal.plain import Renderable, mark
from diagnose.terminal.prompts import Prompt, Talk, Word, ask

LOCAL_CODES = "Local codes and licensed practice go before anything that is said here."

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


@dataclass(frozen=True)
class Alert:
    """One caution to give. because: what raised it, "" when it belongs to a step; text: "" when it
    has been given in full before."""

    id: str
    because: str
    text: str

    @property
    def sentence(self) -> str:
        return " ".join(part for part in (self.because, self.text) if part)


def alert_view(alert: Alert) -> Renderable:
    """A caution."""
    return mark(f"Caution: {alert.sentence}", "yellow")


@dataclass
class Cautions:
    """The cautions of the book, and those already given in this walk."""

    book: Mapping[str, Caution]
    _rules: set[str] = field(default_factory=set)
    _texts: set[str] = field(default_factory=set)

    def raised(self, conclusions: Conclusions) -> tuple[Alert, ...]:
        """Those that the rules raise now and did not raise before."""
        new = [one for one in conclusions.cautions if one.rule.id not in self._rules]
        self._rules = {one.rule.id for one in conclusions.cautions}
        return tuple(self.first(one.then.caution, one_line(one.because)) for one in new)

    def of_step(self, question: Question) -> tuple[Alert, ...]:
        """Those that belong to a question, without the ones given before."""
        new = [name for name in question.entry.cautions if name not in self._texts]
        return tuple(map(self.first, new))

    def before(self, question: Question) -> tuple[str, ...]:
        """Ids of a question's cautions that were given at an earlier one."""
        return tuple(name for name in question.entry.cautions if name in self._texts)

    def first(self, name: str, because: str = "") -> Alert:
        """A caution to give now, its text at its first use only."""
        text = "" if name in self._texts else one_line(self.book[name].text)
        self._texts.add(name)
        return Alert(name, because, text)
