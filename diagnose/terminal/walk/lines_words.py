"""What a line of the protocol says unasked: words to be confirmed, a note, what somebody can do.

in  {"tell": "motor- lug- 2.2 V, and the fuse holder is hot"}       out {"type": "confirm", ...}
in  {"confirm": ["fuse-holder-heat"]}, or true for all that is sure, or [] for none
in  {"note": "it rained"}, {"can": ["phone", "voltmeter"]}           then the question again
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.errors import quoted
from diagnose.phrases import Understood
from diagnose.reasoning.evidence import Evidence
from diagnose.steps import Question
from diagnose.terminal.json_lines import BadLine, text_of
from diagnose.terminal.json_records import Record
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.own_words_meaning import (
    Taken,
    all_of,
    answer_of,
    findings_of,
    heard,
    is_sure,
    name_of,
    unheard,
)


@dataclass(frozen=True)
class Waiting:
    """What was understood of a text, and waits to be confirmed."""

    text: str
    found: Understood

    @property
    def record(self) -> Record:
        """What is sent; nothing counts before the reply."""
        return {
            "type": "confirm",
            "text": self.text,
            "taken": [_taken(one) for one in all_of(self.found)],
            "absent": [one.words for one in self.found.absent],
            "not_understood": [*self.found.not_understood],
        }

    def chosen(self, reply: Any) -> tuple[Taken, ...]:
        """What a reply confirms: true, or names of tests, with =ANSWER where one stands twice.
        Raises BadLine."""
        if reply is True:
            return tuple(filter(is_sure, all_of(self.found)))
        if not isinstance(reply, list) or not all(isinstance(name, str) for name in reply):
            raise BadLine('confirm names what is right, such as {"confirm": ["relay-sound"]}.')
        return tuple(self._named(name) for name in reply)

    def _named(self, name: str) -> Taken:
        fitting = [
            one
            for one in all_of(self.found)
            if name in (name_of(one), f"{name_of(one)}={answer_of(one)}")
        ]
        if len(fitting) != 1:
            known = ", ".join(f"{name_of(one)}={answer_of(one)}" for one in all_of(self.found))
            raise BadLine(f"{quoted(name)} is not one of: {known or 'nothing was understood'}.")
        return fitting[0]


def _taken(one: Taken) -> Record:
    """One of the things understood: an observation, or a reading with its id."""
    kind = "observation" if hasattr(one, "observation") else "reading"
    sure = {"sure": is_sure(one), "words": one.words}
    return {kind: name_of(one), "answer": answer_of(one)} | sure


@dataclass
class Unasked:
    """The things said unasked in one walk. waiting: what has not been confirmed yet."""

    keeper: Keeper
    waiting: Waiting | None = None

    def tell(self, said: str, asked: str | None = None) -> Record:
        """Understand a text; the record that asks whether it is right. Raises DiagnoseError."""
        self.waiting = Waiting(said, heard(self.keeper.walk.bench, said, asked))
        return self.waiting.record

    def confirm(self, reply: Any, take: Callable[[Sequence[Evidence]], None]) -> str:
        """Take what is confirmed; what of the text was not. Raises DiagnoseError, and what waits
        goes on waiting."""
        if self.waiting is None:
            raise BadLine('Nothing waits to be confirmed; say something with {"tell": "..."}.')
        take(findings_of(self.keeper.walk.bench, self.waiting.chosen(reply)))
        left = unheard(self.waiting.found) if reply else self.waiting.text
        self.waiting = None
        return left

    def confirmed(self, reply: Any, question: Question) -> None:
        """Take what is confirmed while a question stands; the rest is a note. Raises
        DiagnoseError."""

        def take(items: Sequence[Evidence]) -> None:
            for item in items:
                self.keeper.take(item, question)

        left = self.confirm(reply, take)
        if left:
            self.keeper.say(left)

    def can(self, things: Any) -> None:
        """What whoever answers can do now. Raises DiagnoseError."""
        several = isinstance(things, list) and all(isinstance(one, str) for one in things)
        said = ", ".join(things) if several else things
        self.keeper.can(text_of({"can": said}, "can"))
