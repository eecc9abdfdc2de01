"""What can go wrong round a command, each as a change to its box, its streams or its process, and
the statuses that it may end with then."""

from __future__ import annotations

import builtins
import ctypes
import io
import os
import pwd
import sys
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, tzinfo
from typing import Any, Protocol

from diagnose.casebook import disk
from tests.terminal.every_command import Box, Call

SLACK = 8.0
"""Seconds that a command may take under an adversity; four times so many where it computes."""


class Closing(Protocol):
    """What is held until it is closed."""

    def close(self) -> object: ...


def nothing(*_: object) -> None:
    """No change."""


def nothing_held(box: Box) -> tuple[Closing, ...]:
    return ()


def as_ever(call: Call) -> set[int]:
    """As without any adversity."""
    return {call.status}


def refused(call: Call) -> set[int]:
    """What needs the casebook is refused; a ranking may do without."""
    return {2} if call.reads and not call.talks else {2, call.status} | refused_to_write(call)


def refused_to_write(call: Call) -> set[int]:
    """What cannot be written is refused; a conversation may go on to its end without that."""
    return _unwritten(call) if call.writes else {call.status}


def refused_to_keep(call: Call) -> set[int]:
    """The same for casebook and trainees' files alone."""
    return _unwritten(call) if call.keeps else {call.status}


def _unwritten(call: Call) -> set[int]:
    return {2, call.status, 130} if call.talks else {2}


def nowhere(call: Call) -> set[int]:
    """No folder is known: what needs one is refused, or finds it empty."""
    return {0, 2, 130} if call.reads or call.keeps else {call.status}


def told(call: Call) -> set[int]:
    """What was asked for and could not be said makes a mistake of the call."""
    return {1, 2} if call.says else {call.status}


def unsaid(call: Call) -> set[int]:
    """Nobody wants to read it: either way will do."""
    return {0, 1, 2, call.status}


def without_lines(call: Call) -> set[int]:
    """A conversation without lines is over, or refused."""
    return {2, 130, 0} if call.talks else {call.status}


@dataclass(frozen=True)
class Adversity:
    """prepare: done to the box; hold: what another program holds meanwhile, to be closed after;
    enter: done in the process before the command; streams: what stands in place of standard input,
    output or errors, by number, None where it is closed; environment: variables, None where one is
    taken away; renamed: folders of the box that are called otherwise; more: words after the call;
    statuses: those allowed, by call; silent: nothing can be said on standard errors."""

    statuses: Callable[[Call], set[int]] = as_ever
    prepare: Callable[[Box], None] = nothing
    hold: Callable[[Box], Iterable[Closing]] = nothing_held
    enter: Callable[[Box], None] = nothing
    streams: Mapping[int, str | None] = field(default_factory=dict)
    environment: Mapping[str, str | None] = field(default_factory=dict)
    renamed: Mapping[str, str] = field(default_factory=dict)
    more: tuple[str, ...] = ()
    encoding: str = "utf-8"
    silent: bool = False


def nobody(box: Box) -> None:
    """No user of the system's list, as in a container."""

    def unknown(who: object) -> Any:
        raise KeyError(f"no user {who}")

    pwd.getpwuid = pwd.getpwnam = unknown


def stranger(box: Box) -> None:
    """Somebody to whom permissions apply. Root is let in everywhere, so root gives that up.

    The numbers are those of linux/capability.h (from memory): DAC_OVERRIDE is 1, DAC_READ_SEARCH 2.
    """
    if os.getuid() != 0:
        return
    libc = ctypes.CDLL(None, use_errno=True)
    head, body = (ctypes.c_uint32 * 2)(0x20080522, 0), (ctypes.c_uint32 * 6)()
    assert libc.capget(head, body) == 0
    for held in (0, 1):  # effective and permitted
        body[held] &= ~0b110
    assert libc.capset(head, body) == 0, os.strerror(ctypes.get_errno())


WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def refusing(number: int, opens: bool) -> Callable[[Box], None]:
    """The system refuses to make and change files; without `opens` only to fill them."""

    def enter(box: Box) -> None:
        trouble = OSError(number, os.strerror(number))

        def refuse(*given: Any, **more: Any) -> Any:
            raise trouble

        real_open, real_io, real_write = os.open, io.open, os.write

        def open_number(path: Any, flags: int, *rest: Any, **more: Any) -> int:
            if flags & WRITING and str(path) != os.devnull:
                raise trouble
            return real_open(path, flags, *rest, **more)

        def open_file(file: Any, mode: str = "r", *rest: Any, **more: Any) -> Any:
            if isinstance(file, str | os.PathLike) and {*mode} & {*"wxa+"}:
                raise trouble
            return real_io(file, mode, *rest, **more)

        def write(to: int, body: Any) -> int:
            return real_write(to, body) if to <= 2 else refuse()

        for name in ("replace", "rename", "mkdir", "fsync", "unlink") if opens else ("fsync",):
            setattr(os, name, refuse)
        os.write = write
        if opens:
            os.open, io.open, builtins.open = open_number, open_file, open_file

    return enter


def no_room(box: Box) -> None:
    """Any file that grows is refused by the system itself, in the database's own code too."""
    import resource

    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def in_a_hurry(box: Box) -> None:
    """What holds a lock is waited for only shortly."""
    disk.Lock.__init__.__defaults__ = (0.3,)


class Early(datetime):
    """A clock whose battery was flat."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> Early:
        return cls(1970, 1, 1, 0, 3, tzinfo=tz or UTC)


def clock_back(box: Box) -> None:
    time.time = lambda: 180.0
    for name, module in [*sys.modules.items()]:
        if name.startswith("diagnose") and getattr(module, "datetime", None) is datetime:
            module.datetime = Early  # type: ignore[attr-defined]
