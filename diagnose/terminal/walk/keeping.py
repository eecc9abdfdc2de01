"""Keeping what was found: a walk in its journal while it goes on, as a case when it ends."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.bench import Bench
from diagnose.casebook.disk import NotHere
from diagnose.casebook.journal import Journal, Unfinished, unfinished
from diagnose.casebook.record import Verification
from diagnose.casebook.store import Casebook
from diagnose.casebook.walk_case import case_of
from diagnose.errors import DiagnoseError, Mistakes, Place
from diagnose.outcome import Result, conclude
from diagnose.terminal.layout import numbered
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, pick, yes_or_no
from diagnose.walkthrough import Walk

MOST_BROKEN = 5
"""Broken walks that are named at once."""


class NothingToResume(DiagnoseError):
    """No walk has been broken off."""


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
            return f"This walk cannot be kept while it goes on: {problem}"
        return ""

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
            told = "A folder that you may write to; the case goes there. quit gives it up."
            folder = ask(talk, Prompt("another folder, or quit", Path, told))
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
        answer = ask(
            talk,
            Prompt(
                "yes, no or back",
                yes_or_no,
                "yes keeps the answers and the ranking as an open case, which can be closed later; "
                "no forgets them; back goes on with the walk. Anything else counts as yes.",
                enter=True,
            ),
        )
        if answer is Word.BACK:
            return False
        if answer is False:
            self.forget()
        else:
            self.save(talk, conclude(self.walk))
        return True


def resume(talk: Talk | None, folder: Path | None, bench_of: Callable[..., Bench]) -> Keeper | None:
    """The walk that was broken off last, or where somebody can be asked the one picked of several;
    None when none was picked.

    bench_of: makes the bench for its rig, and for its own readings where it has any
    Raises DiagnoseError: there is none, or it can no longer be read.
    """
    casebook = Casebook.open(folder)
    walks, problems = unfinished(casebook)
    if problems and not walks:
        raise Mistakes(problems[:MOST_BROKEN])
    if not walks:
        nothing = "there is no walk to go on with; begin one with: diagnose walk"
        raise NothingToResume(nothing, Place(str(casebook.folder)))
    chosen: Unfinished | Word = walks[-1]
    if talk is not None:
        _name_broken(talk, problems)
        chosen = walks[0] if len(walks) == 1 else _pick_walk(talk, walks[::-1])
    if isinstance(chosen, Word):
        return None
    journal = Journal.resume(chosen.path, bench_of, casebook)
    return Keeper(journal.walk, folder, journal.opening.complaint, journal)


def _name_broken(talk: Talk, problems: Sequence[DiagnoseError]) -> None:
    """The walks that cannot be gone on with: kept as they are, and named."""
    for problem in problems[:MOST_BROKEN]:
        talk.screen.say(str(problem))
    if len(problems) > MOST_BROKEN:
        talk.screen.say(f"and {len(problems) - MOST_BROKEN} more; mend or move these first.")


def _pick_walk(talk: Talk, walks: Sequence[Unfinished]) -> Unfinished | Word:
    """One of several, the newest first."""
    talk.screen.say("Walks that were broken off, the latest first:", "bold")
    shown = [(f"{one.last:%Y-%m-%d %H:%M}", f"{one.answered} answers", one.rig) for one in walks]
    talk.screen.show(numbered(shown, [16, 11, None]))
    told = "The number of a walk goes on with it; Enter takes the latest. Times: UTC."
    label, read = "Number, Enter for the latest", lambda typed: pick(typed, walks, ", or quit")
    return ask(talk, Prompt(label, read, told, enter=walks[0]))
