"""The command rig new: questions in the trade's order, and a commented rig file."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from diagnose.casebook.disk import write_whole
from diagnose.casebook.outputs import check_folder
from diagnose.circuit.bounds import NAME, bounds
from diagnose.design.describe import (
    NEEDED,
    UNKNOWN,
    Entry,
    next_entry,
    proposal,
    rig_file,
    rig_of,
)
from diagnose.errors import BadDocument, DiagnoseError, Place, harmless
from diagnose.terminal.layout import heading
from diagnose.terminal.plain import BROKEN_OFF, Screen
from diagnose.terminal.prompts import Keyboard, NotUnderstood, Prompt, Talk, Word, ask
from diagnose.terminal.rig_questions import QUESTIONS, Asked
from diagnose.terminal.rig_site import within
from diagnose.terminal.views_question import options_view


@dataclass(frozen=True)
class _Quantity:
    """A question for a quantity that only this command asks. A bare number takes `unit`."""

    key: str
    ask: str
    help: str
    why: str
    unit: str

    def takes(self, typed: str) -> str:
        within(typed, self.key, self.unit, "answer")
        bare = re.fullmatch(r"[0-9.,]+", typed)
        return f"{typed} {self.unit}" if bare else typed


FURTHER = {
    "pump.pressure": _Quantity(
        "pump.pressure",
        "At what pressure does the pump cut out, by its label?",
        "The pressure on the pump's label, at which its switch lets go, in psi, bar or kPa. At "
        "work a gauge shows less, about four fifths of it. A bare number is psi.",
        "Pressure and flow tell how hard the motor works, and what the gauge should show.",
        "psi",
    ),
    "pump.flow": _Quantity(
        "pump.flow",
        "How much does it give with nothing in the way, by its label?",
        "The most that it delivers, on the pump's label: 4 gal/min, or 15 L/min. At work it gives "
        "less. A bare number is gallons a minute.",
        "A weak flow is known by comparing.",
        "gal/min",
    ),
    "main_fuse.distance": _Quantity(
        "main_fuse.distance",
        "How far along the wire is the main fuse from the battery?",
        "Measure along the wire from the positive lug to the fuse: 5 in, or 130 mm. A bare "
        "number is inches.",
        "Nothing protects the wire ahead of it.",
        "in",
    ),
    "control_fuse.rating": _Quantity(
        "control_fuse.rating",
        "What is the control fuse's rating?",
        "The number on the small fuse in the thin wire to switch and coil, in amperes.",
        "It protects the thin wire to the switch and the coil.",
        "A",
    ),
    "relay.contact": _Quantity(
        "relay.contact",
        "What is the relay's contact rated?",
        "Printed on the relay beside 30 and 87: amperes at 12 or 14 V. Of two numbers take "
        "that of 87.",
        "A contact below running and starting current burns or welds.",
        "A",
    ),
    "relay.coil": _Quantity(
        "relay.coil",
        "How many ohms has its coil, between 86 and 85?",
        "Printed on the relay, or measured with the relay out of its socket; 60 to 110 ohm is "
        "usual. Of watts: 12 x 12 over the watts.",
        "A low one takes amperes all the time that the pump is asked to run.",
        "ohm",
    ),
}
KNOWN: dict[str, Asked] = {question.key: question for question in QUESTIONS}
"""Questions that the walk asks too."""

_NAMING = "Any words by which you know it: the bowser, hose reel 2. At most {} letters."


def new_rig(file: Path | None) -> int:
    """Ask, show the file and write it; the exit status. Raises DiagnoseError, EOFError."""
    if file is not None:
        _free(str(file))
    talk = Talk(Screen.standard(), Keyboard())
    talk.screen.show(heading(talk.screen, "A new rig: Enter takes what is proposed"))
    said: dict[str, str] = {}
    asked: list[str] = []
    while _answered(talk, said, asked):
        text = _shown(talk, said)
        path = _written(talk, file, text) or _asked_path(talk, said["name"], text)
        if path is Word.QUIT:
            break
        if isinstance(path, Path):
            talk.screen.say(f"Written: {path}. Next: diagnose rig check {path}")
            return 0
        file = None
        _take_back(talk, said, asked)
    talk.screen.say("Nothing was written.")
    return BROKEN_OFF


def _answered(talk: Talk, said: dict[str, str], asked: list[str]) -> bool:
    """Ask for every value that is left; whether the person stayed to the end."""
    while (entry := next_entry(said)) is not None:
        answer = ask(talk, _prompt(talk, entry, said))
        if answer is Word.QUIT:
            return False
        if answer is Word.BACK:
            _take_back(talk, said, asked)
            continue
        asked.append(entry.key)
        said[entry.key] = _taken(talk, entry, said, answer)
    return True


def _taken(talk: Talk, entry: Entry, said: dict[str, str], answer: str | Word) -> str:
    """What an answer or a word comes to: what nobody knows is left open where it can be."""
    if not isinstance(answer, Word):
        return answer
    if answer is Word.UNKNOWN and entry.key not in NEEDED:
        talk.screen.say("Left open: the file says so, and a usual value is taken.", indent=2)
        return UNKNOWN
    proposed = proposal(entry, said)
    if answer is Word.UNKNOWN:
        talk.screen.say(f"It cannot be left open: {proposed} is taken. Look it up.", indent=2)
    return proposed


def _shown(talk: Talk, said: dict[str, str]) -> str:
    """The text of the file, after it was put on the screen. Raises Mistakes."""
    text = rig_file(said)
    rig_of(said)
    talk.screen.gap()
    for line in text.split("\n"):
        talk.screen.line(line)
    return text


def _take_back(talk: Talk, said: dict[str, str], asked: list[str]) -> None:
    if not asked:
        talk.screen.say("This is the first question.")
        return
    del said[asked.pop()]


def _prompt(talk: Talk, entry: Entry, said: dict[str, str]) -> Prompt[str]:
    """Show the question and make its prompt; Enter stands for the proposal."""
    screen, known, further = talk.screen, KNOWN.get(entry.key), FURTHER.get(entry.key)
    question = known or further
    screen.say(question.ask if question else "What do you call this rig?", "bold")
    if known and known.options:
        screen.show(options_view(screen, known.options.items()))
    why = question.why if question else "The name stands over drawings and cases."
    told = question.help if question else _NAMING.format(_longest_name())
    return Prompt(
        f"{entry.key}, Enter for {proposal(entry, said)}",
        _taker(question),
        help=lambda: screen.say(told, indent=2),
        why=lambda: screen.say(why),
        enter=Word.SKIP,
    )


def _taker(question: Asked | _Quantity | None) -> Callable[[str], str]:
    return question.takes if question else _name


def _name(typed: str) -> str:
    longest = _longest_name()
    if len(typed) > longest or harmless(typed, longest) != typed:
        raise NotUnderstood(f"A name has one line of at most {longest} letters.")
    return typed


def _longest_name() -> int:
    return int(bounds()[NAME].highest)


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
