"""Files that are whole or not there: written beside, forced to the disk, then put in place; and
locks, so that one writes at a time."""

from __future__ import annotations

import errno
import os
import re
import secrets
import sys
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from diagnose.errors import DiagnoseError, Place

if TYPE_CHECKING:
    from filelock import BaseFileLock

TEMPORARY = ".tmp"
READERS_BLOCK = sys.platform == "win32"
"""Whether a file cannot be replaced while somebody, a virus scanner too, has it open."""

PATIENCE = 2.0
"""Seconds to wait for such a reader."""

LOCKED = 10.0
"""Seconds to wait for somebody else to finish writing."""

_NO_LOCKS = {getattr(errno, name, -1) for name in ("ENOLCK", "ENOSYS", "ENOTSUP", "EOPNOTSUPP")}
"""What a file system says that has no locks."""

_OURS = re.compile(rf"\.(.+\.yaml\.[0-9a-f]{{8}}|[0-9a-f]{{16}}){re.escape(TEMPORARY)}")
"""Names that `write_whole` gives, today's and those of before; all others are somebody else's."""

_FULL = {errno.ENOSPC, errno.EFBIG} | {getattr(errno, "EDQUOT", errno.ENOSPC)}


class NotHere(DiagnoseError):
    """A file or folder that cannot be used where it is; in another folder it may go."""


def given_path(path: Path | str) -> Path:
    """A path as a person gave it, `~` followed. Raises DiagnoseError where it leads nowhere."""
    try:
        return Path(path).expanduser()
    except RuntimeError:
        sentence = "~ leads to no home folder here; write the folder out in full"
        raise NotHere(sentence, Place(str(path))) from None


@contextmanager
def plain_trouble(path: Path) -> Iterator[None]:
    """Turns what the system says about a file into one sentence that names it."""
    try:
        yield
    except OSError as error:
        raise trouble(error, path) from None
    except ValueError as error:
        if isinstance(error, DiagnoseError):
            raise
        raise NotHere("is not a file name; name another", Place(str(path))) from None


def trouble(error: OSError, path: Path) -> NotHere:
    """The sentence for a file that could not be written or read."""
    if error.errno in _FULL:
        sentence = "the disk is full; what was saved is unharmed; free some space, then go on"
    else:
        reason = error.strerror or "the system refused it"
        sentence = f"the file cannot be used ({reason}); choose another folder, or put this right"
    return NotHere(sentence, Place(str(path)))


class Lock:
    """Holds a file for one process (and one Lock) at a time, as a context manager or by hand; the
    system gives it back even when its holder is killed.

    The locking is filelock's; ours is what it leaves to the caller: a sentence for a person, a file
    that only one can create on file systems that refuse locks (by itself it falls back for ENOSYS
    alone), and taking away a lock's file that nobody will want again.

    path: a file for this alone; it is made when missing, and stays
    busy: what the message says when the waiting was in vain
    """

    def __init__(self, path: Path, busy: str, patience: float = LOCKED):
        self._path, self._busy, self._patience = path, busy, patience
        self._stand_in = path.with_name(f"{path.name}.held")
        self._held: BaseFileLock | None = None

    def acquire(self) -> Lock:
        """Wait for the file and hold it. Raises DiagnoseError after `patience` seconds."""
        library = _library()
        with plain_trouble(self._path):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            try:
                if library.FileLock is library.SoftFileLock:
                    raise OSError(errno.ENOSYS, "this system has no locks")
                self._held = self._taken(library.FileLock(self._path, thread_local=False))
            except OSError as error:
                if error.errno not in _NO_LOCKS:
                    raise
                self._held = self._taken(library.SoftFileLock(self._stand_in, thread_local=False))
        return self

    def _taken(self, lock: BaseFileLock) -> BaseFileLock:
        try:
            lock.acquire(timeout=self._patience, poll_interval=0.01)
        except TimeoutError:
            raise NotHere(self._sentence(), Place(str(self._path))) from None
        return lock

    def release(self) -> None:
        """Let go of the file; more than once does no harm."""
        if self._held is not None:
            self._held.release()
        self._held = None

    def remove(self) -> None:
        """The same, and take the file away: nobody will want it any more."""
        if self._held is not None:
            with suppress(OSError):  # some systems keep a file that is open
                self._path.unlink()
        self.release()

    def _sentence(self) -> str:
        if not self._stand_in.exists():
            return self._busy
        left = self._stand_in.name
        return f"{self._busy}; if none is running, remove the file {left} beside it"

    def __enter__(self) -> Lock:
        return self.acquire()

    def __exit__(self, *_: object) -> None:
        self.release()


def _library() -> ModuleType:
    """The library of locks, imported when first needed, without what it says of other systems."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import filelock
    return filelock


def write_whole(path: Path, body: str | bytes, new: bool = False) -> None:
    """Put `body` into the file so that at every moment the old or the new one is there, whole.

    new: what is there already stays, and FileExistsError is raised
    Raises DiagnoseError with one sentence when the disk is full or the folder refuses; the file
    is then as it was.
    """
    with plain_trouble(path):
        beside = path.with_name(f".{secrets.token_hex(8)}{TEMPORARY}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            _write_new(beside, body if isinstance(body, bytes) else body.encode("utf-8"))
            taken = new and not _put_where_nothing_is(beside, path)
            if not new:
                _put_in_place(beside, path)
        finally:
            with suppress(OSError):
                if os.path.lexists(beside):
                    beside.unlink()
        sync_folder(path.parent)
    if taken:
        raise FileExistsError(path)


def _put_where_nothing_is(beside: Path, path: Path) -> bool:
    """Give the file its name unless something has that name; whether it got it."""
    try:
        os.link(beside, path)
    except FileExistsError:
        return False
    except OSError:  # a file system without links
        if os.path.lexists(path):
            return False
        os.replace(beside, path)
    return True


def _put_in_place(beside: Path, path: Path) -> None:
    """Replace the file, waiting for its readers where they would block that."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            os.replace(beside, path)
            return
        except PermissionError:
            if not READERS_BLOCK or time.monotonic() >= end:
                raise
        time.sleep(0.01)


def _write_new(path: Path, body: bytes) -> None:
    with path.open("xb") as file:
        file.write(body)
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Force the folder's list of names to the disk, where the system has such a thing."""
    try:
        number = os.open(folder, os.O_RDONLY)
    except OSError:  # a folder cannot be opened on Windows, which needs no such call
        return
    try:
        with suppress(OSError):
            os.fsync(number)
    finally:
        os.close(number)


def remove_leftovers(folder: Path) -> None:
    """Take away what a killed process left half written. Only for who holds the lock."""
    for path in folder.glob(f".*{TEMPORARY}"):
        if _OURS.fullmatch(path.name):
            with suppress(OSError):
                path.unlink()
