"""Going on with a walk that was broken off."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from diagnose.bench import Bench
from diagnose.casebook.journal import Journal, Unfinished, unfinished
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError, Mistakes, Place
from diagnose.terminal.layout import rows
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, menu_number
from diagnose.terminal.walk.keeping import Keeper

MOST_BROKEN = 5
"""Broken walks that are named at once."""


class NothingToResume(DiagnoseError):
    """No walk has been broken off."""


def latest(folder: Path | None, bench_of: Callable[..., Bench]) -> Journal:
    """The journal of the walk that was broken off last. Raises DiagnoseError: there is none."""
    casebook = Casebook.open(folder)
    walks, problems = unfinished(casebook)
    if not walks:
        raise _nothing(casebook, problems)
    return Journal.resume(walks[-1].path, bench_of, casebook)


def _nothing(casebook: Casebook, problems: Sequence[DiagnoseError]) -> DiagnoseError:
    """Why there is no walk to go on with."""
    if problems:
        return Mistakes([*problems[:MOST_BROKEN]])
    nothing = "there is no walk to go on with; begin one with: diagnose walk"
    return NothingToResume(nothing, Place(str(casebook.folder)))


def resumed(talk: Talk, folder: Path | None, bench_of: Callable[..., Bench]) -> Keeper | None:
    """The walk that was broken off, or the one picked of several; None when none was picked.

    bench_of: makes the bench for its rig, and for its own readings where it has any
    Raises DiagnoseError: there is none, or it can no longer be read.
    """
    casebook = Casebook.open(folder)
    walks, problems = unfinished(casebook)
    if not walks:
        raise _nothing(casebook, problems)
    _name_broken(talk, problems)
    chosen = walks[0] if len(walks) == 1 else _picked(talk, walks[::-1])
    if not isinstance(chosen, Unfinished):
        return None
    journal = Journal.resume(chosen.path, bench_of, casebook)
    return Keeper(journal.walk, folder, journal.opening.complaint, journal)


def _name_broken(talk: Talk, problems: Sequence[DiagnoseError]) -> None:
    """The walks that cannot be gone on with: kept as they are, and named."""
    for problem in problems[:MOST_BROKEN]:
        talk.screen.say(str(problem))
    if len(problems) > MOST_BROKEN:
        talk.screen.say(f"and {len(problems) - MOST_BROKEN} more; mend or move these first.")


def _picked(talk: Talk, walks: Sequence[Unfinished]) -> Unfinished | Word:
    """One of several, the newest first."""
    talk.screen.say("Walks that were broken off, the latest first:", "bold")
    shown = [
        (str(n), f"{one.last:%Y-%m-%d %H:%M}", f"{one.answered} answers", one.rig)
        for n, one in enumerate(walks, 1)
    ]
    talk.screen.show(rows(shown, [2, 16, 11, None], indent=0, styles=["bold"], right=[0]))

    def read(typed: str) -> Unfinished:
        wanted = f"Type a number from 1 to {len(walks)}, or quit."
        return walks[menu_number(typed, len(walks), wanted) - 1]

    def explain() -> None:
        talk.screen.say("The number of a walk goes on with it; Enter takes the latest. Times: UTC.")

    return ask(talk, Prompt("Number, Enter for the latest", read, explain, explain, enter=walks[0]))
