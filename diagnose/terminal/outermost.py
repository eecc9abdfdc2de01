"""The outermost layer: what the system refuses becomes one sentence and an exit status.

0 done; 1 the output could not be written in full, or what a command says of itself (lint: mistakes;
rig check: unsafe); 2 a mistake in what was given, or a file that refuses; 130 broken off. Where a
reader goes away the output ends with 1 and without a word, as the documentation of Python's module
`signal` advises (from memory). Errors that nobody can read change no status.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path

from diagnose.casebook.disk import trouble
from diagnose.errors import DiagnoseError
from diagnose.terminal.plain import (
    BROKEN_OFF,
    MISTAKE,
    UNWRITTEN,
    complain,
    complain_no_more,
    sentence,
    to_nowhere,
)


def open_standard_streams() -> None:
    """Give a closed standard stream something that refuses in its place. Otherwise the next file
    that is opened takes its number, and output would be written into that file."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            the_wrong_way = os.O_WRONLY if mode == "r" else os.O_RDONLY
            number = os.open(os.devnull, the_wrong_way)
            setattr(sys, name, os.fdopen(number, mode, encoding="utf-8"))


def status_of(call: Callable[[], object]) -> int:
    """Run a command; the status to leave with."""
    try:
        status = _called(call)
    except OSError as error:
        status = _refused(error)
    return _written_out(status)


def _called(call: Callable[[], object]) -> int:
    """The command's own status; a mistake of the person who typed is told."""
    try:
        status = call()
    except DiagnoseError as problem:
        complain(sentence(problem))
        return MISTAKE
    except SystemExit as left:
        status = left.code
    except KeyboardInterrupt:
        return BROKEN_OFF
    return status if isinstance(status, int) else 0


def _refused(error: OSError) -> int:
    """What the system refused: a file, which has a name, or else the output."""
    if isinstance(error.filename, str | bytes):
        path = Path(os.fsdecode(error.filename))
        complain(sentence(trouble(error, path)))
        return MISTAKE
    _tell_lost(error)
    return UNWRITTEN


def _written_out(status: int) -> int:
    """The status, once all that was said has left; UNWRITTEN in place of 0 where it has not."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError) as error:
        _tell_lost(error)
        status = status or UNWRITTEN
    complain_no_more()
    return status


def _tell_lost(error: OSError | ValueError) -> None:
    """Say that output is lost, unless its reader went away; the interpreter then ends in peace."""
    number = getattr(error, "errno", None)
    to_nowhere(sys.stdout)
    if number != errno.EPIPE:
        closed = number in (None, errno.EBADF)
        reason = "it is closed" if closed else os.strerror(number or 0)
        complain(f"The output could not be written in full: {reason}.")
