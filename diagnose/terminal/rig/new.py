"""The command rig new: questions in the trade's order, and a commented rig file."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

from diagnose.casebook.disk import write_whole
from diagnose.casebook.outputs import check_folder
from diagnose.circuit.form import shipped_form
from diagnose.design.describe import Step, next_step, proposal, rig_of
from diagnose.design.draft import UNKNOWN, Said, listed
from diagnose.design.rig_writer import rig_file
from diagnose.errors import BadDocument, DiagnoseError, Place
from diagnose.terminal.layout import heading
from diagnose.terminal.paging import pages
from diagnose.terminal.plain import BROKEN_OFF, Screen, mark
from diagnose.terminal.prompts import Keyboard, Prompt, Talk, Word, ask
from diagnose.terminal.rig.interview import Interview, drawing


def new_rig(file: Path | None) -> int:
    """Ask, show the file and write it; the exit status. Raises DiagnoseError, EOFError."""
    if file is not None:
        _free(str(file))
    talk = Talk(Screen.standard(), Keyboard())
    talk.screen.show(heading(talk.screen, "A new rig: Enter takes what is proposed"))
    interview = Interview(talk, next_step, _AsProposed())
    while interview.finished():
        text = _shown(talk, interview.said)
        path = _written(talk, file, text) or _asked_path(talk, interview.said["name"], text)
        if path is Word.QUIT:
            break
        if isinstance(path, Path):
            talk.screen.say(f"Written: {path}. Next: diagnose rig check {path}")
            return 0
        file = None
        interview.take_back()
    talk.screen.say("Nothing was written.")
    return BROKEN_OFF


class _AsProposed:
    """Enter takes a sound value; what nobody knows is left open where it can be."""

    def enter(self, step: Step, said: Said) -> str:
        proposed = proposal(step, said)
        return shipped_form().said(proposed) if step.place else proposed

    def put(
        self, talk: Talk, step: Step, said: Said, asked: Callable[[], str | Word]
    ) -> str | Word:
        answer = asked()
        if not isinstance(answer, Word) or answer in (Word.BACK, Word.QUIT):
            return answer
        proposed = proposal(step, said)
        if answer is Word.SKIP and proposed == Word.UNKNOWN.value:
            return UNKNOWN
        if answer is Word.UNKNOWN and not _needed(step):
            talk.screen.say("Left open: the file says so, and a usual value is taken.", indent=2)
            return UNKNOWN
        if answer is Word.UNKNOWN:
            talk.screen.say(f"It cannot be left open: {proposed} is taken. Look it up.", indent=2)
        return proposed


def _needed(step: Step) -> bool:
    """Whether it cannot be left open: the rig's own needs, and what says what else is asked."""
    field = step.field
    leads_on = not (field.usual or field.usual_from or field.proposed or field.proposed_from)
    return field.needed or bool(step.place) or leads_on or field.key in LEADS_ON


LEADS_ON = ("circuit", "loads", "return", "control.tap", "load.at", "pump.switch")
"""Questions on whose answers others hang."""


def _shown(talk: Talk, said: Said) -> str:
    """The text of the file, after it was put on the screen, with the circuit where it was told part
    by part. Raises Mistakes."""
    text, rig = rig_file(said), rig_of(said)
    talk.screen.gap()
    drawn = drawing(talk.screen, rig) if listed(said) else []
    pages(talk, map(mark, [*drawn, *text.split("\n")]))
    return text


def _asked_path(talk: Talk, name: str, text: str) -> Path | Word:
    """Write where the person says, proposed from the rig's name; BACK or QUIT, if that is said."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "rig"
    names = (f"{plain}{number}.yaml" for number in ("", *(f"-{n}" for n in range(2, 1000))))
    proposed = next(path for path in map(Path, names) if not path.exists())

    def takes(typed: str) -> Path:
        return _write(_free(typed), text)

    prompt = Prompt(
        f"file, Enter for {proposed}",
        takes,
        help=lambda: talk.screen.say("Where the rig file is written; an existing one stays."),
        why=lambda: talk.screen.say("The other commands take the file's name."),
        enter=Word.SKIP,
    )
    while True:
        answer = ask(talk, prompt)
        if answer not in (Word.SKIP, Word.UNKNOWN):
            return answer
        if (path := _written(talk, proposed, text)) is not None:
            return path


def _written(talk: Talk, path: Path | None, text: str) -> Path | None:
    """The path after writing there; None when there is none or it cannot be written, with why."""
    if path is None:
        return None
    try:
        return _write(path, text)
    except DiagnoseError as problem:
        talk.screen.say(str(problem), "bold")
        return None


def _free(name: str) -> Path:
    """The path of a file that is not there yet. Raises BadDocument."""
    if os.path.lexists(name):
        raise _there(Path(name))
    return Path(name)


def _write(path: Path, text: str) -> Path:
    """Write a file that is not there yet; its path. Raises DiagnoseError."""
    check_folder(path)
    try:
        write_whole(path, text, new=True)
    except FileExistsError:
        raise _there(path) from None
    return path


def _there(path: Path) -> BadDocument:
    return BadDocument("there is such a file already; name another", Place(str(path)))
