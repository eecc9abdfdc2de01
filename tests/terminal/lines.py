"""Lines of the protocol, put to one question."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.steps import Question
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.lines import Spoken, Wire
from diagnose.terminal.walk.lines_words import Unasked
from diagnose.walkthrough import Walk


def answered(walk: Walk, wire: Wire, question: Question, lines: Iterator[bytes]) -> bool:
    """Put lines to one question; whether the walk goes on."""
    keeper = Keeper(walk)
    return Spoken(keeper, wire)._answered(question, Unasked(keeper), lines)
