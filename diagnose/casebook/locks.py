"""One at a time: a lock on a file, given back by the system even when its holder is killed.

Where the system or the file system has no locks, a file that only one can create stands in; that
one stays behind when its holder is killed, and the message says which file to remove then.
"""

from __future__ import annotations

import errno
import os
import sys
import time
from contextlib import suppress
from pathlib import Path
from types import TracebackType

from diagnose.casebook.disk import NotHere, plain_trouble
from diagnose.casebook.files import flags
from diagnose.errors import Place

PATIENCE = 10.0
"""Seconds to wait for somebody else to finish."""

_PAUSE = 0.01
_BUSY = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)
_FAR = 2**30
"""Windows locks bytes and keeps others from reading them: one that no file reaches is taken."""


class LockingError(Exception):
    """The system, or the file system the file is on, has no locks."""


def system_lock(number: int) -> bool:
    """Try to lock an open file for this holder alone; False when another has it.

    number: its file descriptor. Raises LockingError where that cannot be done.
    """
    try:
        _lock_now(number)
    except OSError as error:
        if error.errno in _BUSY:
            return False
        raise LockingError from None
    return True


if sys.platform == "win32":
    import msvcrt

    def _lock_now(number: int) -> None:
        os.lseek(number, _FAR, os.SEEK_SET)
        msvcrt.locking(number, msvcrt.LK_NBLCK, 1)

else:
    try:
        import fcntl
    except ImportError:  # neither Windows nor POSIX, such as a browser's Python

        def _lock_now(number: int) -> None:
            raise OSError(errno.ENOSYS, "this system has no locks")

    else:

        def _lock_now(number: int) -> None:
            fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)


class Lock:
    """Holds a file for one process (and one Lock) at a time, as a context manager or by hand.

    path: the file; it is made when missing, and stays
    busy: what the message says when the waiting was in vain
    """

    def __init__(self, path: Path, busy: str, patience: float = PATIENCE):
        self._path, self._busy, self._patience = path, busy, patience
        self._number: int | None = None
        self._stand_in: Path | None = None

    def acquire(self) -> Lock:
        """Wait for the file and hold it. Raises DiagnoseError after `patience` seconds."""
        end = time.monotonic() + self._patience
        with plain_trouble(self._path):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            while not self._try():
                if time.monotonic() >= end:
                    raise NotHere(self._sentence(), Place(str(self._path)))
                time.sleep(_PAUSE)
        return self

    def release(self) -> None:
        """Let go of the file; more than once does no harm."""
        if self._number is not None:
            os.close(self._number)
        if self._stand_in is not None:
            with suppress(OSError):
                self._stand_in.unlink()
        self._number = self._stand_in = None

    def _try(self) -> bool:
        safe = flags("O_NOFOLLOW", "O_NONBLOCK")  # no file is made at the end of a link
        number = os.open(self._path, os.O_RDWR | os.O_CREAT | safe, 0o666)
        try:
            got = system_lock(number)
        except LockingError:
            os.close(number)
            return self._try_stand_in()
        if not got:
            os.close(number)
            return False
        self._number = number
        return True

    def _try_stand_in(self) -> bool:
        path = self._path.with_name(f"{self._path.name}.held")
        try:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        except FileExistsError:
            return False
        self._stand_in = path
        return True

    def _sentence(self) -> str:
        left = self._path.with_name(f"{self._path.name}.held")
        if not left.exists():
            return self._busy
        return f"{self._busy}; if none is running, remove the file {left.name} beside it"

    def __enter__(self) -> Lock:
        return self.acquire()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.release()
