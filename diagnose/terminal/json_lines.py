"""One line of the protocol as an object, and what stands in it."""

from __future__ import annotations

import json
import math
from typing import Any

from diagnose.errors import DiagnoseError
from diagnose.terminal.json_records import Record

LONGEST = 65536
"""Bytes in one line; a longer one is refused and passed over."""

EXAMPLE = 'write one object a line, such as {"answer": "unknown"}.'


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
