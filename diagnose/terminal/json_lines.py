"""A walk as one JSON object a line: answers come in, questions, cautions and the result go out."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, TextIO

from diagnose.catalogue.records import Observation
from diagnose.errors import DiagnoseError
from diagnose.outcome import Result, conclude
from diagnose.terminal.cautions import Given
from diagnose.terminal.json_records import (
    Record,
    caution_record,
    error_record,
    not_kept_record,
    question_record,
    result_record,
    stop_record,
    written,
)
from diagnose.terminal.plain import NO_INPUT, complain, sentence
from diagnose.terminal.prompts import NotUnderstood, choice
from diagnose.terminal.why import why_stopped
from diagnose.walkthrough import Question, Walk

LONGEST = 65536
"""Bytes in one line; a longer one is refused and passed over."""

EXAMPLE = 'write one object a line, such as {"answer": "unknown"}.'


class NoRig(DiagnoseError):
    """The line protocol does not describe a rig; it has to be given."""


class BadLine(DiagnoseError):
    """A line that is not an answer."""


@dataclass(frozen=True)
class Wire:
    """Where lines come from and go to."""

    source: BinaryIO
    sink: TextIO

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


def hold(walk: Walk, casebook: Path | None = None, wire: Wire | None = None) -> bool:
    """The whole conversation, to the result, which is sent whatever becomes of the case; whether
    all was kept. casebook: where to save the case, None not to.

    Raises OSError when nothing can be sent any more; the case is then kept as far as it went.
    """
    wire = wire or Wire(sys.stdin.buffer, sys.stdout)
    try:
        _converse(walk, wire)
    except OSError:
        _kept(walk, conclude(walk), casebook)
        raise
    result = conclude(walk, why_stopped(walk))
    kept = _kept(walk, result, casebook)
    wire.put(result_record(walk, result) | kept)
    return not kept["not_kept"]


def _kept(walk: Walk, result: Result, casebook: Path | None) -> Record:
    """Save the case where one was asked for: `case`, its file; `not_kept`, what could not be."""
    if casebook is None:
        return {"not_kept": []}
    from diagnose.terminal.keeping import Keeper

    try:
        return {"case": str(Keeper(walk, casebook).finish(result)), "not_kept": []}
    except DiagnoseError as problem:
        complain(f"The case could not be kept. {sentence(problem)}")
        return {"not_kept": [not_kept_record("case", problem)]}


def _converse(walk: Walk, wire: Wire) -> None:
    """Ask and take answers until there is no question, "stop", or the end of the lines."""
    given = Given(walk.bench.shop.catalogue.cautions)
    wire.put(caution_record(given.of_the_book("local-codes")))
    lines, shown = wire.lines(), set[str]()
    while (question := _put_question(walk, wire, given, shown)) is not None:
        if not _answered(walk, wire, question, lines):
            return


def _put_question(walk: Walk, wire: Wire, given: Given, shown: set[str]) -> Question | None:
    """The next question, after the stops and cautions that have begun to hold and its own.

    shown: stops that were put before
    """
    for alert in given.raised(walk.conclusions()):
        wire.put(caution_record(alert))
    stops = walk.stops()
    for stop in stops:
        if stop.id not in shown:
            wire.put(stop_record(stop))
    shown.clear()
    shown.update(stop.id for stop in stops)
    question = walk.question()
    if question is not None:
        for alert in given.of_step(question):
            wire.put(caution_record(alert))
        wire.put(question_record(question, given.book))
    return question


def _answered(walk: Walk, wire: Wire, question: Question, lines: Iterator[bytes]) -> bool:
    """Take lines until one is an answer. False at "stop" and at the end."""
    for line in lines:
        try:
            record = object_of(line, as_written=True)
            if "made_safe" in record:
                walk.made_safe(_stop_of(record))
                return True
            return _take(walk, question, answer_of(record))
        except DiagnoseError as problem:
            wire.put(error_record(str(problem)))
            wire.put(question_record(question, walk.bench.shop.catalogue.cautions))
    return False


def _stop_of(record: Record) -> str:
    """The stop that a line says to be made safe. Raises BadLine."""
    name = record["made_safe"]
    if not isinstance(name, str):
        raise BadLine('made_safe names a stop as a text, such as {"made_safe": "too-hot"}.')
    return name


def _take(walk: Walk, question: Question, answer: str | Number) -> bool:
    """Do what an answer says. False at "stop". Raises DiagnoseError."""
    if answer == "stop":
        return False
    if answer == "back":
        if walk.back() is None:
            raise BadLine("This is the first question; there is nothing to take back.")
    elif answer in ("skip", "unknown"):
        walk.pass_over(question, "skipped" if answer == "skip" else "unknown")
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


def answer_of(record: Record) -> str | Number:
    """The answer in a line: a text, or a number in the unit asked for. Raises BadLine."""
    if "answer" not in record:
        raise BadLine(f"There is no answer in this line; {EXAMPLE}")
    answer, unit = record["answer"], record.get("unit", "")
    if not isinstance(unit, str):
        raise BadLine('The unit should be a text, such as "V".')
    if isinstance(answer, str) and answer.strip():
        text = " ".join(answer.split())
        return f"{text} {unit}".strip() if _is_bare(text) else text
    return _number(answer, unit)


def _is_bare(text: str) -> bool:
    """Whether a text is a number without a unit."""
    return text[-1].isdigit() or text[-1] in ".,"


class Number(float):
    """A number of a line, with the digits that were given: 12 says less than 12.00."""

    text: str

    @classmethod
    def of(cls, text: str) -> Number:
        number = cls(text)
        number.text = text
        return number


def _number(answer: Any, unit: str) -> str | Number:
    if isinstance(answer, bool) or not isinstance(answer, int | float):
        raise BadLine("The answer should be a text or a number.")
    if abs(answer) > 1e15 or not math.isfinite(answer):
        raise BadLine("The number is not one that a meter can show.")
    number = answer if isinstance(answer, Number) else Number.of(repr(answer))
    return f"{number.text} {unit}" if unit.strip() else number


def object_of(line: bytes, as_written: bool = False) -> Record:
    """The JSON object in one line; as_written: each number with its digits. Raises BadLine."""
    if len(line) > LONGEST:
        raise BadLine(f"The line is longer than {LONGEST} bytes.")
    try:
        number = Number.of if as_written else None
        record = json.loads(line.decode("utf-8"), parse_int=number, parse_float=number)
    except (ValueError, RecursionError):
        raise BadLine(f"This line is not JSON; {EXAMPLE}") from None
    if not isinstance(record, dict):
        raise BadLine(f"This line is not an object; {EXAMPLE}")
    return record
