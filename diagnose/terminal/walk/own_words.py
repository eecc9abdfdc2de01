"""What somebody says in their own words: understood, shown, taken once confirmed; and what can be
said at any prompt of a walk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.errors import DiagnoseError, NotUnderstood
from diagnose.pages.meanings import (
    Meaning,
    all_of,
    findings_of,
    hear,
    in_full,
    is_sure,
    remainder,
)
from diagnose.phrases import Understood
from diagnose.reasoning.available_tests import means_in_words
from diagnose.reasoning.evidence import Evidence, Measured
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.words import spaced
from diagnose.terminal.layout import numbered
from diagnose.terminal.prompts import Prompt, Talk, Word, are_numbers, ask, pick
from diagnose.walkthrough import Question, Step, Walk

MAY_BE = "Not sure. It may be:"

NOTE, CAN = "note", "can"
"""Words that work at every prompt of a walk."""


def ask_meaning(
    talk: Talk,
    bench: Bench,
    text: str,
    asked: str | None = None,
    keep: Callable[[str], object] | None = None,
) -> tuple[Evidence, ...] | Word:
    """The findings that a text means and the person confirms; none where it means nothing, and
    Word.UNKNOWN where it says that nobody can tell. asked: the test that was asked for just before;
    keep: keeps what was not understood, where the text itself is not kept.

    Raises NotUnderstood when the person confirms none of them.
    """
    found = hear(bench, text, asked)
    if found.absent:
        words = ", ".join(dict.fromkeys(one.words for one in found.absent))
        talk.screen.say(f"This rig has no such thing: {words}.", "bold")
    if not all_of(found):
        return Word.UNKNOWN if found.cannot_tell else ()
    _show(talk, bench, found, keep is not None)
    answer = ask(talk, _prompt(bench, all_of(found)))
    if answer is Word.QUIT:
        return answer
    if isinstance(answer, Word) or not answer:
        raise NotUnderstood("Then say it in other words, or type a number from the list.")
    if keep and (left := remainder(found)):
        keep(left)
    return answer


def _show(talk: Talk, bench: Bench, found: Understood, kept: bool) -> None:
    sure = any(map(is_sure, all_of(found)))
    talk.screen.say("Understood, those marked * for sure:" if sure else MAY_BE, "bold")
    shown = [("*" if is_sure(one) else "", in_full(bench, one)) for one in all_of(found)]
    talk.screen.show(numbered(shown, [1, None]))
    if found.not_understood:
        said = "Not understood, and kept as a note" if kept else "Not understood"
        talk.screen.say(f"{said}: {', '.join(found.not_understood)}.", "bold")


def _prompt(bench: Bench, found: Sequence[Meaning]) -> Prompt[tuple[Evidence, ...]]:
    sure, alone = [*filter(is_sure, found)], len(found) == 1
    by_yes = found if alone else sure

    def read(typed: str) -> tuple[Evidence, ...]:
        parts = typed.replace(",", " ").lower().split()
        if parts in (["y"], ["yes"]) and by_yes:
            return findings_of(bench, by_yes)
        if parts in (["n"], ["no"]):
            return ()
        if not are_numbers(typed):
            known = "yes, no, or numbers" if by_yes else "no, or numbers"
            raise NotUnderstood(f"Type {known} such as 1 3.")
        return findings_of(bench, [pick(part, found) for part in parts])

    try:
        enter = findings_of(bench, sure) or None
    except NotUnderstood:  # two of them exclude each other
        enter = None
    several = "Right? yes, no, or the numbers that are" if sure else "Which? numbers, or no"
    return Prompt(
        "Right? yes or no" if alone else several,
        read,
        "yes takes what is marked with *, or the only one; numbers take what they stand for, such "
        "as 1 3; no takes nothing. Nothing is taken that you did not confirm, since words can "
        "mislead.",
        enter=enter,
    )


@dataclass(frozen=True)
class Remarks:
    """What is said of a walk without being asked: a note, what one can do, and findings."""

    talk: Talk
    walk: Walk

    def at_every_prompt(self) -> None:
        """Let these words work wherever something is asked."""
        self.talk.always.update({NOTE: self.note, CAN: self.can})

    def note(self, said: str) -> Word | None:
        """Keep words with the case."""
        if not said.strip():
            raise NotUnderstood("Say what to keep: note it rained all night.")
        self.walk.note(said)
        self.talk.screen.say(f"Noted: {said}", "green")
        return None

    def can(self, said: str) -> Word | None:
        """Say what whoever answers can do, after taking what was said of it."""
        kit = self.walk.bench.shop.catalogue.kit
        if said.strip():
            self.walk.can(said)
        self.talk.screen.say(f"You are {means_in_words(self.walk.means, kit)}.", "green")
        if not said.strip():
            self.talk.screen.say(
                f"Type can and: {', '.join(kit.places)}, nothing, everything, or things with no "
                f"or without before them: {', '.join(kit.things)}."
            )
        return None

    def volunteered(self, question: Question, typed: str, problem: DiagnoseError) -> Step | Word:
        """Take in what is no answer to the question as it stands, but says something of the rig,
        be it the answer in other words.
        Raises `problem` where it says nothing."""
        found = ask_meaning(self.talk, self.walk.bench, typed, question.id, self.walk.note)
        if isinstance(found, Word):
            return found
        if not found:
            raise problem
        for item in found:
            self.walk.take(item, question)
            named = (
                f"{item.reading} = {value_words(item)}"
                if isinstance(item, Measured)
                else f"{spaced(item.observation)}: {spaced(item.option)}"
            )
            self.talk.screen.say(f"Taken: {named}.", "green")
        return Word.MOVED
