"""The complaint: what is the matter, picked group by group or told in a person's own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.catalogue.records import Complaint
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Evidence
from diagnose.terminal.paging import pages
from diagnose.terminal.plain import mark
from diagnose.terminal.prompts import Prompt, Talk, Word, ask
from diagnose.terminal.walk.complaint_list import (
    Group,
    are_numbers,
    complaints_of,
    evidence_of,
    group_numbered,
    group_pages,
    groups_of,
    groups_view,
    items_view,
    named,
    once,
    picked,
    with_words,
)
from diagnose.terminal.walk.own_words import understood
from diagnose.walkthrough import Contradiction, Walk


@dataclass(frozen=True)
class Told:
    """A complaint. words: ids of the book, or the person's own; items: what it says; echo: how
    it was taken, in sentences."""

    words: tuple[str, ...] = ()
    items: tuple[Evidence, ...] = ()
    echo: tuple[str, ...] = ()


Picked = tuple[Complaint, ...]


class ComplaintScreen:
    """Asks for the complaint of a walk: groups, the items of one, and words at any time."""

    def __init__(self, talk: Talk, walk: Walk) -> None:
        self.talk, self.walk = talk, walk
        self.found = complaints_of(walk.bench)
        self.groups = groups_of(self.found)
        self.chosen: Picked = ()
        self._doubted: tuple[Evidence, ...] = ()

    def ask(self, said: str = "") -> Told | Word:
        """The complaint, or the word that leads away. said: in a person's own words, beforehand."""
        self.talk.screen.say("What is the matter?", "bold")
        answer = self._said(said) if said else self._by_group()
        if isinstance(answer, Told):
            self._say_taken(answer.echo)
        return answer

    def _said(self, text: str) -> Told | Word:
        """What was said beforehand, or what is told instead when that does not do."""
        self.talk.screen.say(text)
        try:
            return self._words(text)
        except DiagnoseError as problem:
            self.talk.screen.say(problem.message, "yellow")
            return self._by_group()

    def _say_taken(self, sentences: Sequence[str]) -> None:
        for sentence in sentences:
            self.talk.screen.say(f"Taken: {sentence}", "green")

    # -- groups, and the items of one ------------------------------------------------------------

    def _by_group(self) -> Told | Word:
        """Group after group, until Enter goes on, with or without a complaint."""
        while True:
            self.talk.screen.show(groups_view(self.groups))
            answer: Told | Group | Word | None = ask(self.talk, self._groups_prompt())
            if isinstance(answer, Group):
                answer = self._items(answer)
            elif answer is Word.BACK and self.chosen:
                self._take_back()
                answer = None
            elif answer in (Word.SKIP, Word.UNKNOWN):
                answer = self._so_far()
            if answer is not None:
                return answer

    def _items(self, group: Group) -> Told | Word | None:
        """What is told while the items of a group stand there; None to go back to the groups."""
        *turned, last = group_pages(self.talk.screen, group)
        for page in turned[:1]:
            self.talk.screen.show(page)
        for page in turned[1:]:
            self.talk.screen.show(page)
            answer = ask(self.talk, self._items_prompt(group, "Enter for more"))
            if answer != ():
                return self._after(answer)
        self.talk.screen.show(last)
        answer = ask(self.talk, self._items_prompt(group, "back"))
        return self._after(answer)

    def _after(self, answer: Told | Picked | Word) -> Told | Word | None:
        """What an answer to the items of a group leads to."""
        if isinstance(answer, Told) or answer is Word.QUIT:
            return answer
        if isinstance(answer, tuple):
            new = tuple(one for one in answer if one not in self.chosen)
            self.chosen = (*self.chosen, *new)
            self._say_taken([one.say for one in new])
        return None

    def _take_back(self) -> None:
        *kept, last = self.chosen
        self.chosen = tuple(kept)
        self.talk.screen.say(f"Taken back: {last.say}")

    def _so_far(self) -> Told:
        """What was picked; how it was taken has been said."""
        return Told(tuple(one.id for one in self.chosen), evidence_of(self.chosen))

    def _groups_prompt(self) -> Prompt[Told | Group]:
        label = "More? Number, words; Enter goes on" if self.chosen else FIRST
        return Prompt(label, self._group_or_words, self._help, self._why, enter=self._so_far())

    def _group_or_words(self, typed: str) -> Told | Group | Word:
        if are_numbers(typed):
            return group_numbered(typed, self.groups)
        return self._words(typed)

    def _items_prompt(self, group: Group, enter: str) -> Prompt[Told | Picked]:
        def read(typed: str) -> Told | Picked | Word:
            if not are_numbers(typed):
                return self._words(typed)
            chosen = picked(typed, group.items)
            self._check(evidence_of(once((*self.chosen, *chosen))))
            return chosen

        def help_here() -> None:
            self.talk.screen.show(items_view(group.items))
            self.talk.screen.say(
                "Numbers take what stands there, such as 1 or 1 3; more can be picked from other "
                "groups afterwards. back goes to the groups. Your own words work here too."
            )

        label = f"Numbers (1 3), words, or {enter}"
        return Prompt(label, read, help_here, self._why, enter=())

    # -- words -----------------------------------------------------------------------------------

    def _words(self, typed: str) -> Told | Word:
        """What ids or a person's own words say, with what was picked before."""
        chosen = named(typed, self.found)
        if not chosen:
            items = understood(self.talk, self.walk.bench, typed)
            if isinstance(items, Word):
                return items
            if items:
                before = self._so_far()
                items = tuple(dict.fromkeys((*before.items, *items)))
                self._check(items)
                return Told((*before.words, typed), items)
            chosen = (with_words(typed, self.found),)
        everything = once((*self.chosen, *chosen))
        items = evidence_of(everything)
        self._check(items)
        new = [one.say for one in everything if one not in self.chosen]
        return Told(tuple(one.id for one in everything), items, tuple(new))

    def _check(self, items: Sequence[Evidence]) -> None:
        """Once, question what the rules find impossible together."""
        trial = self.walk.forked()
        trial.tell(items)
        rejections = trial.conclusions().rejections
        if rejections and tuple(items) != self._doubted:
            self._doubted = tuple(items)
            raise Contradiction(f"{rejections[0].because} Type it again if it is so.")

    def _help(self) -> None:
        parts = (
            part
            for group in self.groups
            for part in (mark(f"{group.title}:", "bold"), items_view(group.items))
        )
        pages(self.talk, parts)
        self.talk.screen.say(
            "Type the number of a group, then the numbers of what fits; or say in a sentence what "
            "it does. Enter goes on; without a complaint the first question is what the pump does."
        )

    def _why(self) -> None:
        self.talk.screen.say(
            "What the customer says first narrows the search more than any single test, and costs "
            "nothing. It is taken as a report: it may be wrong, and later answers can outweigh it."
        )


FIRST = "A number, or in your own words, or ?"
"""Before anything was picked."""
