"""A walk as one JSON object a line: answers come in, questions, cautions and the result go out.

What is said unasked:

in  {"tell": "motor- lug- 2.2 V, and the fuse holder is hot"}       out {"type": "confirm", ...}
in  {"confirm": ["fuse-holder-heat"]}, or true for all that is sure, or [] for none
in  {"note": "it rained"}, {"can": ["phone", "voltmeter"]}           then the question again
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.catalogue.records import Observation
from diagnose.errors import DiagnoseError, NotUnderstood, quoted
from diagnose.outcome import Result, conclude
from diagnose.pages.cautions import Cautions
from diagnose.pages.meanings import (
    Meaning,
    all_of,
    findings_of,
    hear,
    is_sure,
    name_of,
    remainder,
    told_answer,
)
from diagnose.pages.reasons import why_stopped
from diagnose.phrases import Understood
from diagnose.reasoning.evidence import Evidence
from diagnose.steps import SKIPPED, UNKNOWN, Question
from diagnose.terminal.json_lines import (
    BadLine,
    Number,
    Record,
    Wire,
    answer_of,
    failure_record,
    stop_record,
    text_of,
)
from diagnose.terminal.plain import complain
from diagnose.terminal.prompts import choice
from diagnose.terminal.walk.closing import close_by_lines
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.records import (
    caution_record,
    contradiction_record,
    question_record,
    result_record,
)
from diagnose.walkthrough import Walk

LONGEST_SAID = 2000
"""Characters of what is told or noted in one line."""


@dataclass(frozen=True)
class Confirmation:
    """What was understood of a text, and waits to be confirmed."""

    text: str
    found: Understood

    @property
    def record(self) -> Record:
        """What is sent; nothing counts before the reply."""
        return {
            "type": "confirm",
            "text": self.text,
            "taken": [_meaning_record(one) for one in all_of(self.found)],
            "absent": [one.words for one in self.found.absent],
            "not_understood": [*self.found.not_understood],
        }

    def chosen(self, reply: Any) -> tuple[Meaning, ...]:
        """What a reply confirms: true, or names of tests, with =ANSWER where one stands twice.
        Raises BadLine."""
        if reply is True:
            return tuple(filter(is_sure, all_of(self.found)))
        if not isinstance(reply, list) or not all(isinstance(name, str) for name in reply):
            raise BadLine('confirm names what is right, such as {"confirm": ["relay-sound"]}.')
        return tuple(map(self._named, reply))

    def _named(self, name: str) -> Meaning:
        full = [(one, f"{name_of(one)}={told_answer(one)}") for one in all_of(self.found)]
        fitting = [one for one, text in full if name in (name_of(one), text)]
        if len(fitting) != 1:
            known = ", ".join(text for _, text in full) or "nothing was understood"
            raise BadLine(f"{quoted(name)} is not one of: {known}.")
        return fitting[0]


def _meaning_record(one: Meaning) -> Record:
    """One of the things understood: an observation, or a reading with its id."""
    kind = "observation" if hasattr(one, "observation") else "reading"
    sure = {"sure": is_sure(one), "words": one.words}
    return {kind: name_of(one), "answer": told_answer(one)} | sure


@dataclass
class LineConversation:
    """One conversation in lines. keeper: where it is kept, if it has a folder; closing: somebody
    means to prove and close the case in it; waiting: what has not been confirmed yet; given,
    stops: cautions and stops that were sent."""

    keeper: Keeper
    wire: Wire
    closing: bool = False
    waiting: Confirmation | None = None
    given: Cautions = field(init=False)
    stops: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.given = Cautions(self.walk.bench.shop.catalogue.cautions)

    @property
    def walk(self) -> Walk:
        return self.keeper.walk

    def hold(self, complaint: str = "") -> bool:
        """The whole conversation, to the result, which is sent whatever becomes of the case;
        whether all was kept. complaint: what is the matter in somebody's own words, confirmed first

        Raises OSError when nothing can be sent any more; the case is then kept as far as it went.
        """
        try:
            self.converse(complaint)
        except OSError:
            self._kept(conclude(self.walk))
            raise
        result = conclude(self.walk, why_stopped(self.walk))
        kept = self._kept(result)
        self.wire.put(result_record(self.walk, result) | kept)
        if self.closing and "case" in kept:
            close_by_lines(self.keeper, result, kept["case"], self.wire)
        return not kept["not_kept"]

    def _kept(self, result: Result) -> Record:
        """Save the case where one was asked for: `case`, its file; `not_kept`, what could not."""
        if self.keeper.folder is None:
            return {"not_kept": []}
        try:
            return {"case": str(self.keeper.finish(result)), "not_kept": []}
        except DiagnoseError as problem:
            return {"not_kept": [failure_record("case", problem)]}

    def converse(self, complaint: str = "") -> None:
        """Ask and take answers until there is no question, "stop", or the end of the lines."""
        self.wire.put(caution_record(self.given.first("local-codes")))
        if complaint and not self._complained(complaint):
            return
        if self.keeper.folder and not self.keeper.journal and (trouble := self.keeper.begin()):
            complain(trouble)
        for said in self.walk.contradictions():
            self.wire.put(contradiction_record(said))
        while (question := self._next()) is not None and self.take_answer(question):
            pass

    def _complained(self, text: str) -> bool:
        """Have a complaint confirmed, or what is told in its place. False at "stop" and at the
        end. All that was said stays the complaint of the case."""
        said = [text]
        self.keeper.complaint = (text,)
        self.tell(text)

        def do(record: Record) -> bool | None:
            if "tell" in record:
                said.append(text_of(record, "tell", LONGEST_SAID))
                self.tell(said[-1])
                return None
            if record.get("answer") == "stop":
                return False
            self.confirm(record.get("confirm"), self.walk.tell)
            self.keeper.complaint = tuple(said)
            return True

        return bool(self.wire.exchange(do))

    def _next(self) -> Question | None:
        """The next question, after the stops and cautions that have begun to hold and its own."""
        walk, stops = self.walk, self.walk.stops()
        for alert in self.given.raised(walk.conclusions()):
            self.wire.put(caution_record(alert))
        for stop in stops:
            if stop.id not in self.stops:
                self.wire.put(stop_record(stop))
        self.stops = {stop.id for stop in stops}
        question = walk.question()
        if question is not None:
            for alert in self.given.of_step(question):
                self.wire.put(caution_record(alert))
            self._put(question)
        return question

    def _put(self, question: Question) -> None:
        self.wire.put(question_record(question, self.walk.bench.shop.catalogue))

    def take_answer(self, question: Question) -> bool:
        """Take lines until one changes what is known. False at "stop" and at the end."""
        done = self.wire.exchange(
            lambda record: self._do(question, record), lambda: self._put(question)
        )
        return bool(done)

    def _do(self, question: Question, record: Record) -> bool | None:
        """Do what a line says. False at "stop"; None where the question stays. Raises
        DiagnoseError."""
        if "tell" in record:
            self.tell(text_of(record, "tell", LONGEST_SAID), question.id)
        elif "note" in record:
            self.walk.note(text_of(record, "note", LONGEST_SAID))
        elif "closing" in record:
            self.closing = record["closing"] is True
        elif "made_safe" in record:
            self.walk.made_safe(text_of(record, "made_safe"))
            return True
        elif "confirm" in record:
            self._confirmed(record["confirm"], question)
            return True
        elif "can" in record:
            self._can(record["can"])
            return True
        else:
            return _take(self.walk, question, answer_of(record))
        return None

    def tell(self, said: str, asked: str | None = None) -> None:
        """Understand a text, and ask whether it is right. Raises DiagnoseError."""
        self.waiting = Confirmation(said, hear(self.walk.bench, said, asked))
        self.wire.put(self.waiting.record)

    def confirm(self, reply: Any, take: Callable[[Sequence[Evidence]], None]) -> str:
        """Take what is confirmed; what of the text was not. Raises DiagnoseError, and what waits
        goes on waiting."""
        if self.waiting is None:
            raise BadLine('Nothing waits to be confirmed; say something with {"tell": "..."}.')
        take(findings_of(self.walk.bench, self.waiting.chosen(reply)))
        left = remainder(self.waiting.found) if reply else self.waiting.text
        self.waiting = None
        return left

    def _confirmed(self, reply: Any, question: Question) -> None:
        """Take what is confirmed while a question stands; the rest is a note. Raises
        DiagnoseError."""

        def take(items: Sequence[Evidence]) -> None:
            for item in items:
                self.walk.take(item, question)

        if left := self.confirm(reply, take):
            self.walk.note(left)

    def _can(self, things: Any) -> None:
        """What whoever answers can do now. Raises DiagnoseError."""
        several = isinstance(things, list) and all(isinstance(one, str) for one in things)
        self.walk.can(text_of({"can": ", ".join(things) if several else things}, "can"))


def _take(walk: Walk, question: Question, answer: str | Number) -> bool:
    """Do what an answer says. False at "stop". Raises DiagnoseError."""
    if answer == "stop":
        return False
    if answer == "back":
        if walk.back() is None:
            raise BadLine("This is the first question; there is nothing to take back.")
    elif answer in ("skip", "unknown"):
        walk.pass_over(question, SKIPPED if answer == "skip" else UNKNOWN)
    else:
        walk.answer(question, _typed(question, answer))
    return True


def _typed(question: Question, answer: str | Number) -> str:
    """The answer as a person would type it."""
    if not isinstance(question.entry, Observation):
        return answer.text if isinstance(answer, Number) else answer
    if not isinstance(answer, str):
        raise NotUnderstood(f"{question.id} is answered with one of its options, as a text.")
    return choice(answer, tuple(question.entry.options))
