"""A rig described by answering: for a walk without a rig file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from diagnose.circuit.rig import Rig
from diagnose.design.describe import Step, draft, next_in_walk, usual_answer
from diagnose.design.draft import UNKNOWN, Said
from diagnose.terminal.layout import heading
from diagnose.terminal.prompts import Talk, Word
from diagnose.terminal.rig.interview import Interview

NAMED = "the rig described here"
ANOTHER = "With other parts than a fuse, a master switch, a relay and its switch: diagnose rig new."
NEEDED = ("topology", "pump.current")
"""What a rig file cannot do without."""


def describe(talk: Talk) -> Rig | None:
    """Ask for the rig; None when the person would rather not. Raises EOFError at the end."""
    talk.screen.show(heading(talk.screen, "First the rig: a few questions"))
    talk.screen.say(ANOTHER, "dim")
    interview = Interview(talk, next_in_walk, _AsUsual())
    return described(interview.said) if interview.finished() else None


def described(said: Said) -> Rig:
    """The rig that was described; what was needed and not known counts as assumed."""
    told = {key: answer for key, answer in said.items() if answer != UNKNOWN}
    guessed = tuple(key for key in NEEDED if key not in told)
    rig = draft({"name": NAMED, **told})
    return replace(rig, assumed=(*guessed, *rig.assumed))


class _AsUsual:
    """Who does not know is helped to tell, before the usual value is taken and said so."""

    def enter(self, step: Step, said: Said) -> str:
        return usual_answer(step, said).replace("_", " ")

    def put(
        self, talk: Talk, step: Step, said: Said, asked: Callable[[], str | Word]
    ) -> str | Word:
        answer = asked()
        if answer is Word.UNKNOWN:
            talk.screen.say(step.help, indent=2)
            talk.screen.say("If it still cannot be told, press Enter.", "dim")
            answer = asked()
        if answer in (Word.BACK, Word.QUIT):
            return answer
        if isinstance(answer, Word):
            talk.screen.say(f"Taken as usual: {self.enter(step, said)}.", "green")
            return UNKNOWN
        talk.screen.say(f"Taken as {answer}.", "green")
        return answer
