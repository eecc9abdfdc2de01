"""JSON Lines that only ever grow, each line on the disk before the next thing happens.

A process can be killed, or the disk can be full, in the middle of a line. Such a torn last line
(without its end, or with bytes that were never written) was never promised to anybody: reading
leaves it out, and the next writer cuts it off. A whole line that is not understood stays.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, NoReturn

from diagnose.casebook.disk import plain_trouble
from diagnose.casebook.files import read_regular
from diagnose.errors import BadDocument, Place

LARGEST = 10_000_000
"""Bytes; the longest walk is far below."""


class Lines:
    """An open file of lines, to add to."""

    def __init__(self, path: Path):
        """Opens an existing file and cuts off a torn last line. Raises DiagnoseError."""
        self.path = path
        with plain_trouble(path):
            self._number: int | None = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
            self._size = _whole_size(path.read_bytes())
            os.ftruncate(self._number, self._size)

    def append(self, entry: Mapping[str, Any]) -> None:
        """Add a line; it is on the disk when this returns.

        Raises DiagnoseError when it cannot be; the file then ends where it ended before.
        """
        assert self._number is not None
        body = line_of(entry)
        with plain_trouble(self.path):
            try:
                os.lseek(self._number, self._size, os.SEEK_SET)
                _write_all(self._number, body)
                os.fsync(self._number)
            except BaseException:
                with suppress(OSError):
                    os.ftruncate(self._number, self._size)
                raise
        self._size += len(body)

    def close(self) -> None:
        """Close the file; more than once does no harm."""
        if self._number is not None:
            os.close(self._number)
        self._number = None


def line_of(entry: Mapping[str, Any]) -> bytes:
    """One entry as a line of ASCII."""
    return json.dumps(entry, allow_nan=False).encode("ascii") + b"\n"


def _write_all(number: int, body: bytes) -> None:
    """A write may take fewer bytes than it was given."""
    while body:
        body = body[os.write(number, body) :]


def read_lines(path: Path) -> list[tuple[int, dict[str, Any]]]:
    """The entries of a file with their line numbers; a torn last line is left out.

    Raises BadDocument, with the line, when any other line is no JSON object.
    """
    body = read_regular(path, LARGEST + 1)
    if len(body) > LARGEST:
        raise BadDocument("is over 10 MB; this is no walk of this program", Place(str(path)))
    pieces = body[: _whole_size(body)].split(b"\n")[:-1]
    return [(n, _entry(piece, Place(str(path), n))) for n, piece in enumerate(pieces, 1)]


def _whole_size(body: bytes) -> int:
    """Bytes up to the end of the last whole line."""
    end = body.rfind(b"\n") + 1
    start = body.rfind(b"\n", 0, max(end - 1, 0)) + 1
    return start if b"\0" in body[start:end] else end


def _entry(piece: bytes, place: Place) -> dict[str, Any]:
    entry = _object(piece)
    if entry is None:
        raise BadDocument("is not a line of a walk; the file was changed or damaged here", place)
    return entry


def _object(piece: bytes) -> dict[str, Any] | None:
    try:
        entry = json.loads(piece, parse_constant=_refuse, parse_int=_whole_number)
    except (ValueError, RecursionError):
        return None
    return entry if isinstance(entry, dict) else None


def _whole_number(text: str) -> int:
    return int(text) if len(text) < _MOST_DIGITS else _refuse(text)


_MOST_DIGITS = 300
"""Of a number that a float can hold."""


def _refuse(word: str) -> NoReturn:
    raise ValueError(word)
