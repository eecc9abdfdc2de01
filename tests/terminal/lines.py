"""Lines of the protocol, put to a walk or to one question."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TextIO

from diagnose.steps import Question
from diagnose.terminal.json_lines import Wire
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.lines import LineConversation
from diagnose.walkthrough import Walk


def conversation(
    walk: Walk, casebook: Path | None, body: bytes, sink: TextIO | None = None
) -> LineConversation:
    """One whose lines are all there. casebook: where it is kept, None for nowhere."""
    return LineConversation(Keeper(walk, casebook), Wire(io.BytesIO(body), sink or io.StringIO()))


def hold(walk: Walk, casebook: Path | None, body: bytes, sink: TextIO, complaint: str = "") -> bool:
    """The whole of it; whether all was kept."""
    return conversation(walk, casebook, body, sink).hold(complaint)


def answered(walk: Walk, question: Question, body: bytes, sink: TextIO | None = None) -> bool:
    """Put lines to one question; whether the walk goes on."""
    return conversation(walk, None, body, sink).take_answer(question)
