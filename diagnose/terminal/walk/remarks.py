"""What can be said at any prompt of a walk: a note, what one can do, and findings unasked."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.errors import DiagnoseError
from diagnose.reasoning.available_tests import means_in_words
from diagnose.reasoning.evidence import Evidence, Measured
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.words import spaced
from diagnose.terminal.prompts import NotUnderstood, Talk, Word
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.own_words import understood
from diagnose.walkthrough import Question, Step

NOTE, CAN = "note", "can"
"""Words that work at every prompt of a walk."""


@dataclass(frozen=True)
class Unasked:
    """Takes what is said unasked."""

    talk: Talk
    keeper: Keeper

    def at_every_prompt(self) -> None:
        """Let these words work wherever something is asked."""
        self.talk.always.update({NOTE: self.note, CAN: self.can})

    def note(self, said: str) -> Word | None:
        """Keep words with the case."""
        if not said.strip():
            raise NotUnderstood("Say what to keep: note it rained all night.")
        self.keeper.say(said)
        self.talk.screen.say(f"Noted: {said}", "green")
        return None

    def can(self, said: str) -> Word | None:
        """Say what whoever answers can do, after taking what was said of it."""
        if said.strip():
            self.keeper.can(said)
        means, kit = self.keeper.walk.means, self.keeper.walk.bench.shop.catalogue.kit
        self.talk.screen.say(f"You are {means_in_words(means, kit)}.", "green")
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
        bench = self.keeper.walk.bench
        items = understood(self.talk, bench, typed, question.id, self.keeper.say)
        if isinstance(items, Word):
            return items
        if not items:
            raise problem
        for item in items:
            self.keeper.take(item, question)
            self.talk.screen.say(f"Taken: {_said(item)}.", "green")
        return Word.MOVED


def _said(item: Evidence) -> str:
    if isinstance(item, Measured):
        return f"{item.reading} = {value_words(item)}"
    return f"{spaced(item.observation)}: {spaced(item.option)}"
