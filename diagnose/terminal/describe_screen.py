"""A rig described by answering: for a walk without a rig file."""

from __future__ import annotations

from diagnose.circuit.rig import Rig
from diagnose.reasoning.words import usual
from diagnose.terminal.layout import heading
from diagnose.terminal.prompts import Prompt, Talk, Word, ask
from diagnose.terminal.rig_questions import Asked, Said, described, next_question, usual_rig
from diagnose.terminal.views_question import options_view


def describe(talk: Talk) -> Rig | None:
    """Ask for the rig; None when the person would rather not. Raises EOFError at the end."""
    talk.screen.show(heading(talk.screen, "First the rig: a few questions"))
    said: Said = {}
    asked: list[Asked] = []
    while (question := next_question(said)) is not None:
        answer = _ask(talk, question, said)
        if answer is Word.QUIT:
            return None
        if answer is Word.BACK:
            _take_back(talk, said, asked)
            continue
        asked.append(question)
        said[question.key] = _taken(talk, question, said, answer)
    return described(said)


def _take_back(talk: Talk, said: Said, asked: list[Asked]) -> None:
    if not asked:
        talk.screen.say("This is the first question.")
        return
    del said[asked.pop().key]


def _ask(talk: Talk, question: Asked, said: Said) -> str | Word:
    """The answer; who does not know is helped to tell before the usual value is taken."""
    screen = talk.screen
    screen.say(question.ask, "bold")
    if question.options:
        screen.show(options_view(screen, question.options.items()))
    for helped in (False, True):
        answer = ask(talk, _prompt(talk, question, said))
        if answer is not Word.UNKNOWN or helped:
            return answer
        screen.say(question.help, indent=2)
        screen.say("If it still cannot be told, press Enter.", "dim")
    return Word.UNKNOWN


def _prompt(talk: Talk, question: Asked, said: Said) -> Prompt[str]:
    return Prompt(
        f"{usual([question.key])}, Enter for {_usual(question, said)}",
        question.takes,
        help=lambda: talk.screen.say(question.help, indent=2),
        why=lambda: talk.screen.say(question.why),
        enter=Word.SKIP,
    )


def _usual(question: Asked, said: Said) -> str:
    """The usual answer to a question, by its name."""
    return question.usual(usual_rig(said)).replace("_", " ")


def _taken(talk: Talk, question: Asked, said: Said, answer: str | Word) -> str:
    """What is noted; the usual value is noted as not said."""
    if isinstance(answer, Word):
        talk.screen.say(f"Taken as usual: {_usual(question, said)}.", "green")
        return ""
    talk.screen.say(f"Taken as {answer}.", "green")
    return answer
