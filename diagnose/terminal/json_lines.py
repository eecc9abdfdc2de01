"""JSON objects, one a line: how they are sent and taken, and what stands in all of them."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO, TextIO, TypeVar

from diagnose.circuit.meter import Reading
from diagnose.errors import DiagnoseError, one_line
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.plain import NO_INPUT, complain, sentence

T = TypeVar("T")
Record = dict[str, Any]

LONGEST = 65536
"""Bytes in one line; a longer one is refused and passed over."""

EXAMPLE = 'write one object a line, such as {"answer": "unknown"}.'


def written(record: Record, indent: int | None = None) -> str:
    """A record as JSON in plain ASCII, so that nothing in it can reach a terminal as a command."""
    return json.dumps(record, allow_nan=False, indent=indent)


def print_json(record: Record) -> None:
    """A record on standard output, to be read by people too."""
    print(written(record, indent=2))


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

    def exchange(
        self,
        do: Callable[[Record], T | None],
        again: Callable[[], None] = lambda: None,
        as_written: bool = True,
    ) -> T | None:
        """Do what each line says until that comes to something; None at the end of the lines. What
        cannot be done goes back as an error.

        again: after each line that came to nothing; as_written: of `object_of`
        """
        for line in self._lines():
            try:
                if (came := do(object_of(line, as_written))) is not None:
                    return came
            except DiagnoseError as problem:
                self.put({"type": "error", "text": str(problem)})
            again()
        return None

    def _lines(self) -> Iterator[bytes]:
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


class BadLine(DiagnoseError):
    """A line that is not an answer."""


def text_of(record: Record, key: str, longest: int = 500) -> str:
    """A text that must be there, on one line. Raises BadLine."""
    value = record.get(key)
    if not isinstance(value, str) or not value.strip():
        raise BadLine(f'{key} is a text, such as {{"{key}": "..."}}.')
    if len(value) > longest:
        raise BadLine(f"{key} is too long: say it in at most {longest} characters.")
    return " ".join(value.split())


def answer_of(record: Record) -> str | Number:
    """The answer in a line: a text, or a number in the unit asked for. Raises BadLine."""
    if "answer" not in record:
        raise BadLine(f"There is no answer in this line; {EXAMPLE}")
    answer, unit = record["answer"], record.get("unit", "")
    if not isinstance(unit, str):
        raise BadLine('The unit should be a text, such as "V".')
    if isinstance(answer, str) and answer.strip():
        text = " ".join(answer.split())
        without_unit = text[-1].isdigit() or text[-1] in ".,"
        return f"{text} {unit}".strip() if without_unit else text
    return _number(answer, unit)


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


def stop_record(stop: ActiveStop) -> Record:
    """A stop that stands; until: what has to be done first, None where nothing said ends it."""
    return {
        "type": "stop",
        "id": stop.id,
        "title": stop.stop.title,
        "text": stop.text,
        "do": [*stop.do],
        "until": one_line(stop.stop.until) or None,
        "leave_to": one_line(stop.stop.leave_to),
    }


def reading_record(reading: Reading) -> Record:
    """A reading: what is measured, from where to where, in which state of the rig."""
    return {
        "quantity": reading.quantity,
        "points": [*reading.points],
        "condition": reading.condition,
        "unit": reading.unit,
    }


def failure_record(what: str, problem: DiagnoseError, done: str = "kept") -> Record:
    """Complain of what could not be kept: a case, a drill; where it was to be, and why not."""
    complain(f"The {what} could not be {done}. {sentence(problem)}")
    where = problem.place.file if problem.place else ""
    return {"what": what, "where": where, "why": problem.message}
