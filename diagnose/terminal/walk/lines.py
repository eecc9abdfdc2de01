"""A walk as one JSON object a line: answers come in, questions, cautions and the result go out."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, TextIO

from diagnose.catalogue.records import Observation
from diagnose.errors import DiagnoseError
from diagnose.outcome import Result, conclude
from diagnose.steps import SKIPPED, UNKNOWN, Question
from diagnose.terminal.cautions import Given
from diagnose.terminal.json_lines import LONGEST, BadLine, Number, answer_of, object_of, text_of
from diagnose.terminal.json_records import (
    Record,
    caution_record,
    contradiction_record,
    error_record,
    not_kept_record,
    question_record,
    result_record,
    stop_record,
    written,
)
from diagnose.terminal.plain import NO_INPUT, complain, sentence
from diagnose.terminal.prompts import NotUnderstood, choice
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.lines_closing import close_by_lines
from diagnose.terminal.walk.lines_words import Unasked
from diagnose.terminal.walk.why import why_stopped
from diagnose.walkthrough import Walk

LONGEST_SAID = 2000
"""Characters of what is told or noted in one line."""


class NoRig(DiagnoseError):
    """The line protocol does not describe a rig; it has to be given."""


@dataclass(frozen=True)
class Wire:
    """Where lines come from and go to."""

    source: BinaryIO
    sink: TextIO

    @classmethod
    def standard(cls) -> Wire:
        """Standard input and output."""
        return cls(sys.stdin.buffer, sys.stdout)

    def put(self, record: Record) -> None:
        """One object, at once."""
        self.sink.write(written(record) + "\n")
        self.sink.flush()

    def lines(self) -> Iterator[bytes]:
        """Lines until the end; of one that is too long only the beginning."""
        while line := self._line():
            rest = line
            while len(rest) > LONGEST and not rest.endswith(b"\n"):
                rest = self._line()
            yield line

    def _line(self) -> bytes:
        """As much of a line as is taken at once; nothing where there is nothing to read from."""
        try:
            return self.source.readline(LONGEST + 1)
        except (OSError, ValueError):
            complain(NO_INPUT)
            return b""


def hold(
    walk: Walk, casebook: Path | None = None, wire: Wire | None = None, complaint: str = ""
) -> bool:
    """The whole conversation, to the result, which is sent whatever becomes of the case; whether
    all was kept. casebook: where to keep the walk and its case, None not to; complaint: what is the
    matter in somebody's own words, confirmed first.

    Raises OSError when nothing can be sent any more; the case is then kept as far as it went.
    """
    return Spoken(Keeper(walk, casebook), wire or Wire.standard()).hold(complaint)


@dataclass
class Spoken:
    """One conversation in lines. keeper: where it is kept, if it has a folder; kept_out: what could
    not be kept so far; closing: somebody means to prove and close the case in it."""

    keeper: Keeper
    wire: Wire
    kept_out: list[Record] = field(default_factory=list)
    closing: bool = False

    @property
    def walk(self) -> Walk:
        return self.keeper.walk

    def hold(self, complaint: str = "") -> bool:
        """As the function of that name. A walk gone on with has its journal already."""
        lines = self.wire.lines()
        try:
            self._converse(lines, complaint)
        except OSError:
            self._kept(conclude(self.walk))
            raise
        result = conclude(self.walk, why_stopped(self.walk))
        kept = self._kept(result)
        self.wire.put(result_record(self.walk, result) | kept)
        if self.closing and "case" in kept:
            close_by_lines(self.keeper, result, kept["case"], self.wire.put, lines)
        return not kept["not_kept"]

    def _kept(self, result: Result) -> Record:
        """Save the case where one was asked for: `case`, its file; `not_kept`, what could not."""
        if self.keeper.folder is None:
            return {"not_kept": []}
        try:
            return {"case": str(self.keeper.finish(result)), "not_kept": []}
        except DiagnoseError as problem:
            return {"not_kept": [*self.kept_out, self._not_kept("case", problem)]}

    def _not_kept(self, what: str, problem: DiagnoseError) -> Record:
        complain(f"The {what} could not be kept. {sentence(problem)}")
        return not_kept_record(what, problem)

    def _converse(self, lines: Iterator[bytes], complaint: str) -> None:
        """Ask and take answers until there is no question, "stop", or the end of the lines."""
        given, shown = Given(self.walk.bench.shop.catalogue.cautions), set[str]()
        self.wire.put(caution_record(given.of_the_book("local-codes")))
        unasked = Unasked(self.keeper)
        if complaint and not self._complained(complaint, unasked, lines):
            return
        self._begin()
        for said in self.walk.contradictions():
            self.wire.put(contradiction_record(said))
        while (question := self._put_question(given, shown)) is not None:
            if not self._answered(question, unasked, lines):
                return

    def _begin(self) -> None:
        """From here on every answer is kept at once, where a casebook was named."""
        if self.keeper.folder is None or self.keeper.journal:
            return
        trouble = self.keeper.begin()
        if trouble:
            complain(f"This walk cannot be kept while it goes on: {trouble}")

    def _complained(self, text: str, unasked: Unasked, lines: Iterator[bytes]) -> bool:
        """Have a complaint confirmed, or what is told in its place. False at "stop" and at the
        end. All that was said stays the complaint of the case."""
        said = [text]
        self.keeper.complaint = (text,)
        self.wire.put(unasked.tell(text))
        for line in lines:
            try:
                record = object_of(line, as_written=True)
                if "tell" in record:
                    said.append(text_of(record, "tell", LONGEST_SAID))
                    self.wire.put(unasked.tell(said[-1]))
                    continue
                if record.get("answer") == "stop":
                    return False
                unasked.confirm(record.get("confirm"), self.walk.tell)
                self.keeper.complaint = tuple(said)
                return True
            except DiagnoseError as problem:
                self.wire.put(error_record(str(problem)))
        return False

    def _put_question(self, given: Given, shown: set[str]) -> Question | None:
        """The next question, after the stops and cautions that have begun to hold and its own.

        shown: stops that were put before
        """
        walk = self.walk
        for alert in given.raised(walk.conclusions()):
            self.wire.put(caution_record(alert))
        stops = walk.stops()
        for stop in stops:
            if stop.id not in shown:
                self.wire.put(stop_record(stop))
        shown.clear()
        shown.update(stop.id for stop in stops)
        question = walk.question()
        if question is not None:
            for alert in given.of_step(question):
                self.wire.put(caution_record(alert))
            self.wire.put(question_record(question, walk.bench.shop.catalogue))
        return question

    def _answered(self, question: Question, unasked: Unasked, lines: Iterator[bytes]) -> bool:
        """Take lines until one changes what is known. False at "stop" and at the end."""
        for line in lines:
            try:
                going_on = self._did(question, unasked, object_of(line, as_written=True))
                if going_on is not None:
                    return going_on
            except DiagnoseError as problem:
                self.wire.put(error_record(str(problem)))
            self.wire.put(question_record(question, self.walk.bench.shop.catalogue))
        return False

    def _did(self, question: Question, unasked: Unasked, record: Record) -> bool | None:
        """Do what a line says. False at "stop"; None where the question stays. Raises
        DiagnoseError."""
        if "tell" in record:
            self.wire.put(unasked.tell(text_of(record, "tell", LONGEST_SAID), question.id))
        elif "note" in record:
            self.keeper.say(text_of(record, "note", LONGEST_SAID))
        elif "closing" in record:
            self.closing = record["closing"] is True
        elif "made_safe" in record:
            self.keeper.made_safe(text_of(record, "made_safe"))
            return True
        elif "confirm" in record:
            unasked.confirmed(record["confirm"], question)
            return True
        elif "can" in record:
            unasked.can(record["can"])
            return True
        else:
            return _take(self.keeper, question, answer_of(record))
        return None


def _take(keeper: Keeper, question: Question, answer: str | Number) -> bool:
    """Do what an answer says. False at "stop". Raises DiagnoseError."""
    if answer == "stop":
        return False
    if answer == "back":
        if keeper.back() is None:
            raise BadLine("This is the first question; there is nothing to take back.")
    elif answer in ("skip", "unknown"):
        keeper.pass_over(question, SKIPPED if answer == "skip" else UNKNOWN)
    else:
        keeper.answer(question, _typed(question, answer))
    return True


def _typed(question: Question, answer: str | Number) -> str:
    """The answer as a person would type it."""
    if not isinstance(question.entry, Observation):
        return answer.text if isinstance(answer, Number) else answer
    if not isinstance(answer, str):
        raise NotUnderstood(f"{question.id} is answered with one of its options, as a text.")
    return choice(answer, tuple(question.entry.options))
