"""The command rig new: questions in the trade's order, and a commented rig file."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from diagnose.design.describe import Entry, next_entry, proposal, rig_file, rig_of
from diagnose.errors import BadDocument, Place, harmless
from diagnose.terminal.layout import heading
from diagnose.terminal.plain import BROKEN_OFF, Screen
from diagnose.terminal.prompts import Keyboard, NotUnderstood, Prompt, Talk, Word, ask
from diagnose.terminal.rig_questions import QUESTIONS, Asked
from diagnose.terminal.rig_site import within
from diagnose.terminal.views_question import options_view

LONGEST_NAME = 60


@dataclass(frozen=True)
class _Quantity:
    """A question for a quantity that only this command asks. A bare number takes `unit`."""

    ask: str
    why: str
    unit: str
    low: float
    high: float

    def takes(self, typed: str) -> str:
        within(typed, self.unit, self.low, self.high, "answer")
        bare = re.fullmatch(r"[0-9.,]+", typed)
        return f"{typed} {self.unit}" if bare else typed


FURTHER = {
    "pump.pressure": _Quantity(
        "At what pressure does the pump work?",
        "Pressure and flow tell how hard the motor works, and what the gauge should show.",
        "psi",
        2,
        290,
    ),
    "pump.flow": _Quantity(
        "How much does it deliver?",
        "A weak flow is known by comparing.",
        "gal/min",
        0.02,
        79,
    ),
    "main_fuse.distance": _Quantity(
        "How far along the wire is the main fuse from the battery?",
        "Nothing protects the wire ahead of it.",
        "in",
        0,
        1900,
    ),
    "control_fuse.rating": _Quantity(
        "What is the control fuse's rating?",
        "It protects the thin wire to the switch and the coil.",
        "A",
        0.1,
        60,
    ),
    "relay.contact": _Quantity(
        "What is the relay's contact rated?",
        "A contact below running and starting current burns or welds.",
        "A",
        1,
        1000,
    ),
    "relay.coil": _Quantity(
        "How many ohms has its coil, between 86 and 85?",
        "A low one takes amperes all the time that the pump is called.",
        "ohm",
        0.5,
        2000,
    ),
}
KNOWN: dict[str, Asked] = {question.key: question for question in QUESTIONS}
"""Questions that the walk asks too."""

_REFUSED = "A name has one line of at most 60 letters."


def new_rig(file: Path | None) -> int:
    """Ask, show the file and write it; the exit status. Raises DiagnoseError, EOFError."""
    if file is not None:
        _free(str(file))
    talk = Talk(Screen.standard(), Keyboard())
    talk.screen.show(heading(talk.screen, "A new rig: Enter takes what is proposed"))
    said = _answers(talk)
    if said is None:
        return BROKEN_OFF
    text = rig_file(said)
    rig_of(said)
    talk.screen.gap()
    for line in text.split("\n"):
        talk.screen.line(line)
    path = file or _path(talk, said["name"])
    if path is None:
        return BROKEN_OFF
    _write(path, text)
    talk.screen.say(f"Written: {path}. Next: diagnose rig check {path}")
    return 0


def _answers(talk: Talk) -> dict[str, str] | None:
    """Every value of the rig file; None when the person leaves."""
    said: dict[str, str] = {}
    asked: list[str] = []
    while (entry := next_entry(said)) is not None:
        answer = ask(talk, _prompt(talk, entry, said))
        if answer is Word.QUIT:
            return None
        if answer is Word.BACK:
            _take_back(talk, said, asked)
            continue
        asked.append(entry.key)
        said[entry.key] = proposal(entry, said) if isinstance(answer, Word) else answer
    return said


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
    told = known.help if known else f"In the file: {entry.comment}."
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
    if len(typed) > LONGEST_NAME or harmless(typed, LONGEST_NAME) != typed:
        raise NotUnderstood(_REFUSED)
    return typed


def _path(talk: Talk, name: str) -> Path | None:
    """Where to write, proposed from the rig's name."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "rig"
    names = (f"{plain}{number}.yaml" for number in ("", *(f"-{n}" for n in range(2, 1000))))
    proposed = next(path for path in map(Path, names) if not path.exists())
    answer = ask(
        talk,
        Prompt(
            f"file, Enter for {proposed}",
            _free,
            help=lambda: talk.screen.say("Where the rig file is written; an existing one stays."),
            why=lambda: talk.screen.say("The other commands take the file's name."),
            enter=proposed,
        ),
    )
    return None if isinstance(answer, Word) else answer


def _free(name: str) -> Path:
    """The path of a file that is not there yet. Raises BadDocument."""
    try:
        taken = Path(name).exists()
    except OSError:
        taken = False
    if taken:
        raise BadDocument("there is such a file already; name another", Place(name))
    return Path(name)


def _write(path: Path, text: str) -> None:
    """Write a file that is not there yet. Raises BadDocument."""
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise BadDocument("there is such a file already; name another", Place(str(path))) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a file name"
        raise BadDocument(f"the rig file cannot be written: {reason}", Place(str(path))) from None
