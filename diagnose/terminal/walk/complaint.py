"""The complaint: what is the matter, picked group by group or told in a person's own words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.catalogue.records import Complaint
from diagnose.errors import DiagnoseError
from diagnose.pages.complaints import (
    Complaints,
    Group,
    by_name,
    complaints_of,
    evidence_of,
    groups_of,
    unique,
    with_words,
)
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.words import spaced
from diagnose.terminal.layout import NARROW, numbered
from diagnose.terminal.plain import Renderable, Screen, mark
from diagnose.terminal.prompts import Prompt, Talk, Word, are_numbers, ask, pages, pick
from diagnose.terminal.walk.own_words import ask_meaning
from diagnose.walkthrough import Contradiction, Walk

ROOM = 4
"""Lines of a screen that a group leaves to its heading, what was just said, and the prompt."""

WHY = (
    "What the customer says first narrows the search more than any single test, and costs nothing. "
    "It is taken as a report: it may be wrong, and later answers can outweigh it."
)


@dataclass(frozen=True)
class Report:
    """A complaint. words: ids of the book, or the person's own; items: what it says; echo: how
    it was taken, in sentences."""

    words: tuple[str, ...] = ()
    items: tuple[Evidence, ...] = ()
    echo: tuple[str, ...] = ()


class ComplaintScreen:
    """Asks for the complaint of a walk: groups, the items of one, and words at any time."""

    def __init__(self, talk: Talk, walk: Walk) -> None:
        self.talk, self.walk = talk, walk
        self.found = complaints_of(walk.bench)
        self.groups = groups_of(self.found)
        self.chosen: Complaints = ()
        self._doubted: tuple[Evidence, ...] = ()

    def ask(self, said: str = "") -> Report | Word:
        """The complaint, or the word that leads away. said: in a person's own words, beforehand."""
        self.talk.screen.say("What is the matter?", "bold")
        answer = self._beforehand(said) if said else self._by_group()
        if isinstance(answer, Report):
            self._say_taken(answer.echo)
        return answer

    def _beforehand(self, text: str) -> Report | Word:
        """What was said beforehand, or what is told instead when that does not do."""
        self.talk.screen.say(text)
        try:
            return self._words(text)
        except DiagnoseError as problem:
            self.talk.screen.say(problem.message, "yellow")
            return self._by_group()

    def _say_taken(self, sentences: Iterable[str]) -> None:
        for sentence in sentences:
            self.talk.screen.say(f"Taken: {sentence}", "green")

    # -- groups, and the items of one ------------------------------------------------------------

    def _by_group(self) -> Report | Word:
        """Group after group, until Enter goes on, with or without a complaint."""
        while True:
            self.talk.screen.show(numbered((group.title,) for group in self.groups))
            answer: Report | Group | Word | None = ask(self.talk, self._groups_prompt())
            if isinstance(answer, Group):
                answer = self._items(answer)
            elif answer is Word.BACK and self.chosen:
                *kept, last = self.chosen
                self.chosen = tuple(kept)
                self.talk.screen.say(f"Taken back: {last.say}")
                answer = None
            elif answer in (Word.SKIP, Word.UNKNOWN):
                answer = self._so_far()
            if answer is not None:
                return answer

    def _items(self, group: Group) -> Report | Word | None:
        """What is told while the items of a group stand there; None to go back to the groups."""
        *turned, last = group_pages(self.talk.screen, group)
        self.talk.screen.show(*turned[:1])
        for page in turned[1:]:
            self.talk.screen.show(page)
            answer = ask(self.talk, self._items_prompt(group, "Enter for more"))
            if answer != ():
                return self._after(answer)
        self.talk.screen.show(last)
        answer = ask(self.talk, self._items_prompt(group, "back"))
        return self._after(answer)

    def _after(self, answer: Report | Complaints | Word) -> Report | Word | None:
        """What an answer to the items of a group leads to."""
        if isinstance(answer, Report) or answer is Word.QUIT:
            return answer
        if isinstance(answer, tuple):
            new = tuple(one for one in answer if one not in self.chosen)
            self.chosen = (*self.chosen, *new)
            self._say_taken(one.say for one in new)
        return None

    def _so_far(self) -> Report:
        """What was picked; how it was taken has been said."""
        return Report(tuple(one.id for one in self.chosen), evidence_of(self.chosen))

    def _groups_prompt(self) -> Prompt[Report | Group]:
        label = "A number, or in your own words, or ?"
        if self.chosen:
            label = "More? Number, words; Enter goes on"

        def read(typed: str) -> Report | Group | Word:
            if are_numbers(typed):
                return pick(typed.strip(" ,"), self.groups)
            return self._words(typed)

        return Prompt(label, read, self._help, WHY, enter=self._so_far())

    def _items_prompt(self, group: Group, enter: str) -> Prompt[Report | Complaints]:
        def read(typed: str) -> Report | Complaints | Word:
            if not are_numbers(typed):
                return self._words(typed)
            chosen = pick_several(typed, group.items)
            self._check(evidence_of(unique((*self.chosen, *chosen))))
            return chosen

        def help_here() -> None:
            self.talk.screen.show(items_view(group.items))
            self.talk.screen.say(
                "Numbers take what stands there, such as 1 or 1 3; more can be picked from other "
                "groups afterwards. back goes to the groups. Your own words work here too."
            )

        return Prompt(f"Numbers (1 3), words, or {enter}", read, help_here, WHY, enter=())

    # -- words -----------------------------------------------------------------------------------

    def _words(self, typed: str) -> Report | Word:
        """What ids or a person's own words say, with what was picked before."""
        chosen = by_name(typed, self.found)
        if not chosen:
            told = ask_meaning(self.talk, self.walk.bench, typed)
            if isinstance(told, Word):
                return told
            if told:
                before = self._so_far()
                told = tuple(dict.fromkeys((*before.items, *told)))
                self._check(told)
                return Report((*before.words, typed), told)
            chosen = (with_words(typed, self.found),)
        everything = unique((*self.chosen, *chosen))
        items = evidence_of(everything)
        self._check(items)
        new = tuple(one.say for one in everything if one not in self.chosen)
        return Report(tuple(one.id for one in everything), items, new)

    def _check(self, items: tuple[Evidence, ...]) -> None:
        """Once, question what the rules find impossible together."""
        trial = self.walk.forked()
        trial.tell(items)
        rejections = trial.conclusions().rejections
        if rejections and items != self._doubted:
            self._doubted = items
            raise Contradiction(f"{rejections[0].because} Type it again if it is so.")

    def _help(self) -> None:
        parts = ((mark(f"{one.title}:", "bold"), items_view(one.items)) for one in self.groups)
        pages(self.talk, (part for pair in parts for part in pair))
        self.talk.screen.say(
            "Type the number of a group, then the numbers of what fits; or say in a sentence what "
            "it does. Enter goes on; without a complaint the first question is what the pump does."
        )


def group_pages(screen: Screen, group: Group) -> Iterator[Renderable]:
    """The items of a group: in the customer's words where they fit a screen, else by their short
    names, and on as few screens as that takes."""
    room = max(screen.height - ROOM, 5)
    yield mark(f"{group.title}:", "bold")
    if screen.width >= NARROW and screen.lines_of(items_view(group.items)) <= room:
        yield items_view(group.items)
        return
    for start in range(0, len(group.items), room):
        part = group.items[start : start + room]
        yield numbered(((spaced(one.id),) for one in part), first=start + 1)


def items_view(items: Iterable[Complaint]) -> Renderable:
    """Complaints with their numbers, in the customer's words."""
    return numbered((one.say,) for one in items)


def pick_several(typed: str, listed: Sequence[Complaint]) -> Complaints:
    """The complaints of a list that numbers mean. Raises NotUnderstood."""
    return unique(pick(part, listed) for part in typed.replace(",", " ").split())
