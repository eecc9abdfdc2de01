"""A rig described by answering, for the command rig new and for a walk without a rig file; and the
command rig draw."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from diagnose.casebook.disk import write_whole
from diagnose.casebook.outputs import check_folder, write_out
from diagnose.circuit.form import shipped_form
from diagnose.circuit.rig import Rig, rig_called
from diagnose.design.describe import (
    Step,
    draft,
    next_in_walk,
    next_step,
    proposal,
    rig_of,
    usual_answer,
)
from diagnose.design.draft import UNKNOWN, Said, listed
from diagnose.design.drawing import draw as draw_circuit
from diagnose.design.drawing import healthy_volts, probes_at
from diagnose.design.rig_writer import rig_file
from diagnose.errors import BadDocument, BadQuantity, DiagnoseError, Place, quoted
from diagnose.terminal.layout import heading
from diagnose.terminal.plain import BROKEN_OFF, Screen, mark
from diagnose.terminal.prompts import Keyboard, Prompt, Talk, Word, ask, pages
from diagnose.terminal.rig.interview import Interview, drawing

NAMED = "the rig described here"
ANOTHER = "With other parts than a fuse, a master switch, a relay and its switch: diagnose rig new."
NEEDED = ("topology", "pump.current")
"""What a rig file cannot do without."""

LEADS_ON = ("circuit", "loads", "return", "control.tap", "load.at", "pump.switch")
"""Questions on whose answers others hang."""


def describe(talk: Talk) -> Rig | None:
    """Ask for the rig of a walk; None when the person would rather not. Raises EOFError at the
    end."""
    talk.screen.show(heading(talk.screen, "First the rig: a few questions"))
    talk.screen.say(ANOTHER, "dim")
    interview = _WalkInterview(talk)
    return rig_from(interview.said) if interview.finished() else None


def rig_from(said: Said) -> Rig:
    """The rig that was described; what was needed and not known counts as assumed."""
    told = {key: answer for key, answer in said.items() if answer != UNKNOWN}
    guessed = tuple(key for key in NEEDED if key not in told)
    rig = draft({"name": NAMED, **told})
    return replace(rig, assumed=(*guessed, *rig.assumed))


class _WalkInterview(Interview):
    """Who does not know is helped to tell, before the usual value is taken and said so."""

    def next_step(self) -> Step | None:
        return next_in_walk(self.said)

    def enter(self, step: Step) -> str:
        return usual_answer(step, self.said).replace("_", " ")

    def put(self, step: Step, asked: Callable[[], str | Word]) -> str | Word:
        screen, answer = self.talk.screen, asked()
        if answer is Word.UNKNOWN:
            screen.say(step.help, indent=2)
            screen.say("If it still cannot be told, press Enter.", "dim")
            answer = asked()
        if answer in (Word.BACK, Word.QUIT):
            return answer
        if isinstance(answer, Word):
            screen.say(f"Taken as usual: {self.enter(step)}.", "green")
            return UNKNOWN
        screen.say(f"Taken as {answer}.", "green")
        return answer


def new(file: Path | None) -> int:
    """Ask in the trade's order, show a commented rig file and write it; the exit status. Raises
    DiagnoseError, EOFError."""
    if file is not None:
        _free(str(file))
    talk = Talk(Screen.standard(), Keyboard())
    talk.screen.show(heading(talk.screen, "A new rig: Enter takes what is proposed"))
    interview = _FileInterview(talk)
    while interview.finished():
        text = _show(talk, interview.said)
        path = (file and _try(talk, file, text)) or _ask_path(talk, interview.said["name"], text)
        if path is Word.QUIT:
            break
        if isinstance(path, Path):
            talk.screen.say(f"Written: {path}. Next: diagnose rig check {path}")
            return 0
        file = None
        interview.take_back()
    talk.screen.say("Nothing was written.")
    return BROKEN_OFF


class _FileInterview(Interview):
    """Enter takes a sound value; what nobody knows is left open where it can be."""

    def next_step(self) -> Step | None:
        return next_step(self.said)

    def enter(self, step: Step) -> str:
        proposed = proposal(step, self.said)
        return shipped_form().said(proposed) if step.place else proposed

    def put(self, step: Step, asked: Callable[[], str | Word]) -> str | Word:
        screen, answer = self.talk.screen, asked()
        if not isinstance(answer, Word) or answer in (Word.BACK, Word.QUIT):
            return answer
        proposed = proposal(step, self.said)
        if answer is Word.SKIP and proposed == Word.UNKNOWN.value:
            return UNKNOWN
        if answer is Word.UNKNOWN and not _needed(step):
            screen.say("Left open: the file says so, and a usual value is taken.", indent=2)
            return UNKNOWN
        if answer is Word.UNKNOWN:
            screen.say(f"It cannot be left open: {proposed} is taken. Look it up.", indent=2)
        return proposed


def _needed(step: Step) -> bool:
    """Whether it cannot be left open: the rig's own needs, and what says what else is asked."""
    field = step.field
    leads_on = not (field.usual or field.usual_from or field.proposed or field.proposed_from)
    return field.needed or bool(step.place) or leads_on or field.key in LEADS_ON


def _show(talk: Talk, said: Said) -> str:
    """The text of the file, after it was put on the screen, with the circuit where it was told part
    by part. Raises Mistakes."""
    text, rig = rig_file(said), rig_of(said)
    talk.screen.say("")
    drawn = drawing(talk.screen, rig) if listed(said) else []
    pages(talk, map(mark, [*drawn, *text.split("\n")]))
    return text


def _ask_path(talk: Talk, name: str, text: str) -> Path | Word:
    """Write where the person says, proposed from the rig's name; BACK or QUIT, if that is said."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "rig"
    names = (f"{plain}{number}.yaml" for number in ("", *(f"-{n}" for n in range(2, 1000))))
    proposed = next(path for path in map(Path, names) if not path.exists())
    prompt = Prompt(
        f"file, Enter for {proposed}",
        lambda typed: _write(_free(typed), text),
        "Where the rig file is written; an existing one stays.",
        "The other commands take the file's name.",
        enter=Word.SKIP,
    )
    while True:
        answer = ask(talk, prompt)
        if answer not in (Word.SKIP, Word.UNKNOWN):
            return answer
        if (path := _try(talk, proposed, text)) is not None:
            return path


def _try(talk: Talk, path: Path, text: str) -> Path | None:
    """The path after writing there; None when it cannot be written, with why."""
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


def draw(
    rig: str, ascii_only: bool, svg: Path | None, reading: str, expect: bool, force: bool
) -> None:
    """The circuit on the screen or as a picture. Raises DiagnoseError."""
    here = rig_called(rig)
    probes = _probes(here, reading) if reading else {}
    volts = healthy_volts(here) if expect else {}
    screen = Screen.standard()
    if svg is None:
        in_ascii = ascii_only or screen.ascii_only
        screen.drawing(draw_circuit(here, screen.width, in_ascii, probes, volts))
        return
    from diagnose.design.drawing_svg import draw_svg

    write_out(svg, draw_svg(here, probes, volts), force)
    screen.say(f"Written: {svg}")


def _probes(rig: Rig, reading: str) -> dict[str, str]:
    """Where the probes go, from "red black" or from a whole reading of volts or ohms."""
    words = reading.split()
    points = words[1:3] if words and words[0] in ("voltage", "resistance") else words
    if len(points) != 2:
        text = f"{quoted(reading)} does not name two test points, red then black"
        raise BadQuantity(text, Place("--reading"))
    return probes_at(rig, *points)
