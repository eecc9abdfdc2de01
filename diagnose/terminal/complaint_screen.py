"""The complaint: what is the matter, picked from a list or told in a person's own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Evidence
from diagnose.terminal.complaint_list import (
    complaints_of,
    evidence_of,
    list_pages,
    picked,
    said,
    with_words,
)
from diagnose.terminal.paging import pages
from diagnose.terminal.plain_complaint import understood
from diagnose.terminal.prompts import Prompt, Talk, Word, ask
from diagnose.walkthrough import Contradiction, Walk


@dataclass(frozen=True)
class Told:
    """A complaint. words: ids of the book, or the person's own; items: what it says; echo: how
    it was taken, in sentences."""

    words: tuple[str, ...] = ()
    items: tuple[Evidence, ...] = ()
    echo: tuple[str, ...] = ()


NOTHING = Told()


class ComplaintScreen:
    """Asks for the complaint of a walk."""

    def __init__(self, talk: Talk, walk: Walk) -> None:
        self.talk, self.walk = talk, walk
        self.found = complaints_of(walk.bench)
        self._doubted: tuple[Evidence, ...] = ()

    def ask(self, said: str = "") -> Told | Word:
        """The complaint, or the word that leads away. said: in a person's own words, beforehand."""
        self.talk.screen.say("What is the matter?", "bold")
        answer = self._said(said) if said else self._pages()
        if isinstance(answer, Told):
            for sentence in answer.echo:
                self.talk.screen.say(f"Taken: {sentence}", "green")
        return answer

    def _said(self, text: str) -> Told | Word:
        """What was said beforehand, or what is told instead when that does not do."""
        self.talk.screen.say(text)
        try:
            return self._read(text)
        except DiagnoseError as problem:
            self.talk.screen.say(problem.message, "yellow")
            return self._pages()

    def _pages(self) -> Told | Word:
        """Page by page; Enter turns to the next one and at the end asks on without a complaint."""
        shown = [*list_pages(self.talk.screen, self.found)]
        for page in shown[:-1]:
            self.talk.screen.show(page)
            answer = ask(self.talk, self._prompt("Number, Enter for more"))
            if answer != NOTHING:
                return answer
        self.talk.screen.show(shown[-1])
        return ask(self.talk, self._prompt("Numbers (3 7), your own words, or ?"))

    def _prompt(self, label: str) -> Prompt[Told]:
        return Prompt(label, self._read, self._help, self._why, enter=NOTHING)

    def _read(self, typed: str) -> Told | Word:
        chosen = picked(typed, self.found)
        if not chosen:
            items = understood(self.talk, self.walk.bench, typed)
            if isinstance(items, Word):
                return items
            if items:
                self._check(items)
                return Told((typed,), items)
            chosen = (with_words(typed, self.found),)
        items = evidence_of(chosen)
        self._check(items)
        return Told(tuple(one.id for one in chosen), items, tuple(one.say for one in chosen))

    def _check(self, items: Sequence[Evidence]) -> None:
        """Once, question what the rules find impossible together."""
        trial = self.walk.forked()
        trial.tell(items)
        rejections = trial.conclusions().rejections
        if rejections and tuple(items) != self._doubted:
            self._doubted = tuple(items)
            raise Contradiction(f"{rejections[0].because} Type it again if it is so.")

    def _help(self) -> None:
        pages(self.talk, (said(n, one) for n, one in enumerate(self.found, 1)))
        self.talk.screen.say(
            "Type one number or several, or say in a sentence what it does. Enter: none of these."
        )

    def _why(self) -> None:
        self.talk.screen.say(
            "What the customer says first narrows the search more than any single test, and costs "
            "nothing. It is taken as a report: it may be wrong, and later answers can outweigh it."
        )
