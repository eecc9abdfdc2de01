"""The file of the index: used only where it is ours, so that nobody else's file is ever touched.

The name is our own, and the file says by its application id that this program made it. A link, a
database of somebody else, or anything else under that name is left as it is.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from diagnose.casebook.files import flags

FILE = ".diagnose-index.sqlite"

APPLICATION = 0x44474E31
"""In the header of every index that this program makes ("DGN1")."""

PATIENCE = 1.0
"""Seconds to wait for another program that is writing the index."""

_MAGIC, _JOURNAL_MAGIC = b"SQLite format 3\0", bytes.fromhex("d9d505f920a163d7")
_HEADER = 72
"""Bytes up to the application id, a number of four bytes, the highest first, and with it. Source:
SQLite, Database File Format, 1.3 (header) and 3 (rollback journal), from memory."""


Opened = tuple[int, tuple[int, int]]
"""The number of an open file, and what the system knows it by: a device, and a number on that."""


class NotOurs(Exception):
    """What lies where the index should be is none of this program's."""


def may_be_used(path: Path) -> bool:
    """Whether the index may be written here: nothing is there, or an index of this program."""
    own = _start(path)
    return own is not None and _is_index(own) and _has_no_strange_journal(path)


def _has_no_strange_journal(path: Path) -> bool:
    """Whether nothing lies beside a database that the library would take for its journal, or what
    it has begun itself."""
    begun = _start(_journal(path))
    return begun is not None and _is_journal(begun)


def _journal(path: Path) -> Path:
    return path.with_name(f"{path.name}-journal")


def _is_journal(header: bytes) -> bool:
    return not header.strip(b"\0") or header.startswith(_JOURNAL_MAGIC)


def _is_index(header: bytes) -> bool:
    """Whether a file that begins so is an index of ours, or as empty as one is at first."""
    if not header:
        return True
    rollback = header[18:20] == b"\1\1"  # no other way of writing was ever used
    made_here = header[68:72] == APPLICATION.to_bytes(4, "big")
    return header.startswith(_MAGIC) and rollback and made_here


def _start(path: Path) -> bytes | None:
    """The first bytes of a file, none where there is no file; None for what is no regular file."""
    try:
        with _regular(path, os.O_RDONLY) as file:
            return file.read(_HEADER)
    except FileNotFoundError:
        return b""
    except (OSError, NotOurs):
        return None


def _regular(path: Path, how: int) -> BinaryIO:
    """A regular file opened, no link. Raises NotOurs for anything else, and OSError."""
    if os.path.lexists(path) and not stat.S_ISREG(os.lstat(path).st_mode):
        raise NotOurs
    safe = flags("O_BINARY", "O_NONBLOCK", "O_NOFOLLOW", "O_CLOEXEC")
    try:
        file = os.fdopen(os.open(path, how | safe, 0o644), "rb")
    except OSError as error:
        if error.errno == errno.ELOOP:  # a link since it was looked at
            raise NotOurs from None
        raise
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise NotOurs
    return file


def in_memory() -> sqlite3.Connection:
    """A database that is gone when it is closed."""
    return sqlite3.connect(":memory:", isolation_level=None)


def connected(path: Path) -> sqlite3.Connection:
    """The database in the file of an index, which is made where there is none. Nothing of the file
    has been read or changed by the library yet, and it is the one that was looked at: what takes
    its name meanwhile is not reached.

    Raises NotOurs; and sqlite3.OperationalError where the file cannot be used.
    """
    with _made_or_opened(path) as file:
        if not _is_index(file.read(_HEADER)) or not _has_no_strange_journal(path):
            raise NotOurs
        before = _opened()
        address = f"{path.absolute().as_uri()}?mode=rw"  # a file that has gone is not made anew
        base = sqlite3.connect(address, timeout=PATIENCE, isolation_level=None, uri=True)
        if not _is_the_same(file.fileno(), path, before):
            base.close()
            raise NotOurs
    return base


def _made_or_opened(path: Path) -> BinaryIO:
    """Where nothing may be written here, an index that is up to date can still be read."""
    try:
        try:
            return _regular(path, os.O_RDWR | os.O_CREAT)
        except OSError:
            return _regular(path, os.O_RDONLY)
    except OSError as error:
        raise sqlite3.OperationalError(str(error)) from None


def _is_the_same(number: int, path: Path, before: set[Opened]) -> bool:
    """Whether the library has opened the very file that is open under `number`."""
    there = os.fstat(number)
    wanted = (there.st_dev, there.st_ino)
    try:
        found = os.lstat(path)
    except OSError:
        return False
    return {(found.st_dev, found.st_ino), *(one for _, one in _opened() - before)} == {wanted}


def _opened() -> set[Opened]:
    """The files that this process has open, where the system lists them."""
    found = set()
    with suppress(OSError):
        for name in os.listdir("/dev/fd"):
            with suppress(OSError, ValueError):  # closed again, as the list itself is
                one = os.fstat(int(name))
                found.add((int(name), (one.st_dev, one.st_ino)))
    return found


def marked(base: sqlite3.Connection) -> bool:
    """Whether a database is ours, or holds nothing yet."""
    if base.execute("PRAGMA application_id").fetchone()[0] == APPLICATION:
        return True
    return not base.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()[0]


def throw_away(path: Path) -> None:
    """Empty a damaged index; the next one is made anew in it. It is reached through the file that
    was looked at and not by its name, and its journal goes first, lest it be rolled back."""
    if not may_be_used(path):
        return
    for one, is_ours in ((_journal(path), _is_journal), (path, _is_index)):
        with suppress(OSError, NotOurs), _regular(one, os.O_RDWR) as file:
            if is_ours(file.read(_HEADER)):
                os.ftruncate(file.fileno(), 0)
