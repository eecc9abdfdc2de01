"""Other tests that can be done now, with what they are worth; one can be picked."""

from __future__ import annotations

import numpy as np

from diagnose.reasoning import words
from diagnose.reasoning.information import entropy
from diagnose.reasoning.next_test import ExpectedGain
from diagnose.reasoning.posterior import by_repair
from diagnose.terminal.layout import rows
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, menu_number
from diagnose.terminal.walk.question_view import asked
from diagnose.walkthrough import Question, Walk

MOST = 12
"""Tests shown: the best of those that may be asked."""


def pick(talk: Talk, walk: Walk) -> Question | None:
    """Show the best tests and ask for one; None to stay where one was."""
    belief = walk.belief()
    worths = walk.worths(belief)[:MOST]
    if not worths:
        talk.screen.say("Nothing else can be asked safely now.")
        return None
    doubt = entropy(np.array([*by_repair(belief.ranking, walk.bench.shop.repair).values()]))
    _show(talk, walk, worths, float(doubt))
    answer = ask(talk, _prompt(talk, walk, worths))
    return answer if isinstance(answer, Question) else None


def _show(talk: Talk, walk: Walk, worths: tuple[ExpectedGain, ...], doubt: float) -> None:
    """Number, time, part of the doubt that the test settles on average, and what it is."""
    shown = [
        (
            str(number),
            f"{worth.minutes:g} min",
            words.per_cent(worth.bits / doubt if doubt > 1e-6 else 0.0),
            asked(walk.ask(worth.test.id)),
        )
        for number, worth in enumerate(worths, 1)
    ]
    talk.screen.say("Other tests now: time, part of the doubt it settles, and the test")
    talk.screen.show(rows(shown, [2, 7, 5, None], indent=0, styles=["bold"], right=[0, 1, 2]))


def _prompt(talk: Talk, walk: Walk, worths: tuple[ExpectedGain, ...]) -> Prompt[Question]:
    def read(typed: str) -> Question:
        wanted = f"Type a number from 1 to {len(worths)}, or Enter to stay."
        return walk.ask(worths[menu_number(typed, len(worths), wanted) - 1].test.id)

    return Prompt(
        label="Number, Enter to stay",
        read=read,
        help=lambda: talk.screen.say("The number of a test asks it next. Enter changes nothing."),
        why=lambda: talk.screen.say(
            "The list is ordered by what a test is expected to settle for each minute it takes. "
            "Tests that would be unsafe or useless now are not in it."
        ),
        enter=Word.SKIP,
    )
