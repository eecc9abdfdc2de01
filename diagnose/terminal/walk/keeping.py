"""Keeping what was found: a walk in its journal while it goes on, as a case when it ends."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from diagnose.casebook.closing import case_of
from diagnose.casebook.disk import NotHere
from diagnose.casebook.journal import Journal
from diagnose.casebook.record import Verification
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError
from diagnose.outcome import Result, conclude
from diagnose.reasoning.evidence import Evidence
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, yes_or_no
from diagnose.walkthrough import Question, Step, Walk


@dataclass
class Keeper:
    """Where one walk is kept. folder: None for the usual casebook; complaint: ids of the book;
    journal: None before the walk begins, and where nothing can be written."""

    walk: Walk
    folder: Path | None = None
    complaint: tuple[str, ...] = ()
    journal: Journal | None = None

    @property
    def casebook(self) -> Casebook:
        return Casebook.open(self.folder)

    def begin(self) -> str:
        """Open the journal with all that was told; why that is not possible, or ""."""
        try:
            self.journal = Journal.start(self.casebook, self.walk, self.complaint)
        except DiagnoseError as problem:
            return str(problem)
        return ""

    def answer(self, question: Question, typed: str) -> Step:
        """As Walk.answer, and kept."""
        return (self.journal or self.walk).answer(question, typed)

    def pass_over(self, question: Question, how: str) -> Step:
        """As Walk.pass_over, and kept."""
        return (self.journal or self.walk).pass_over(question, how)

    def made_safe(self, stop: str) -> Step:
        """As Walk.made_safe, and kept."""
        return (self.journal or self.walk).made_safe(stop)

    def can(self, said: str) -> Step:
        """As Walk.can, and kept."""
        return (self.journal or self.walk).can(said)

    def say(self, said: str) -> Step:
        """As Walk.note, and kept."""
        return self.journal.say(said) if self.journal else self.walk.note(said)

    def take(self, item: Evidence, asked: Question | None = None) -> Step:
        """As Walk.take, and kept."""
        return (self.journal or self.walk).take(item, asked)

    def back(self) -> Step | None:
        """As Walk.back, and kept."""
        return (self.journal or self.walk).back()

    def finish(self, result: Result, verification: Verification | None = None) -> Path:
        """Save the case; the journal has done its work. Raises DiagnoseError."""
        if self.journal is not None:
            return self.journal.finish(self.casebook, result, verification=verification)
        return self.casebook.save(
            case_of(self.walk, result, self.complaint, verification=verification)
        )

    def save(self, talk: Talk, result: Result, verification: Verification | None = None) -> Path:
        """As `finish`, and say where; another folder is asked for where that lets the case be
        written.

        Raises DiagnoseError when none is named, or none would help.
        """
        try:
            path = self.finish(result, verification)
        except NotHere as problem:
            talk.screen.say(str(problem), "bold")
            folder = ask(talk, _folder_prompt(talk))
            if isinstance(folder, Word):
                raise
            self.folder = folder
            return self.save(talk, result, verification)
        talk.screen.say(f"Saved: {path}")
        return path

    def forget(self) -> None:
        """Keep nothing of the walk."""
        if self.journal is not None:
            self.journal.discard()
            self.journal = None

    def leave(self) -> bool:
        """Break off: what was answered stays to be gone on with. False: there was nothing."""
        if self.journal is None:
            return False
        if not self.walk.evidence:
            self.forget()
            return False
        self.journal.close()
        return True

    def offer(self, talk: Talk) -> bool:
        """Ask whether to save an unfinished walk. False: go on with it instead."""
        talk.screen.say("Save what there is, as an open case?", "bold")
        answer = ask(talk, _save_prompt(talk))
        if answer is Word.BACK:
            return False
        if answer is False:
            self.forget()
            return True
        self.save(talk, conclude(self.walk))
        return True


def _folder_prompt(talk: Talk) -> Prompt[Path]:
    def explain() -> None:
        talk.screen.say("A folder that you may write to; the case goes there. quit gives it up.")

    return Prompt("another folder, or quit", Path, explain, explain)


def _save_prompt(talk: Talk) -> Prompt[bool]:
    def explain() -> None:
        talk.screen.say(
            "yes keeps the answers and the ranking as an open case, which can be closed later; "
            "no forgets them; back goes on with the walk. Anything else counts as yes."
        )

    return Prompt("yes, no or back", yes_or_no, explain, explain, enter=True)
