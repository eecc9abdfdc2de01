"""The file of the index: used only where it is ours, so that nobody else's file is ever touched.

The name is our own, and the file says by its application id that this program made it. A link, a
database of somebody else, or anything else under that name is left as it is.
"""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import suppress
from pathlib import Path

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


def may_be_used(path: Path) -> bool:
    """Whether the index may be written here: nothing is there, or an index of this program."""
    beside = path.with_name(f"{path.name}-journal")
    own, begun = _start(path), _start(beside)
    if own is None or begun is None:
        return False
    return _is_index(own) and (not begun.strip(b"\0") or begun.startswith(_JOURNAL_MAGIC))


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
        if not stat.S_ISREG(os.lstat(path).st_mode):
            return None
        number = os.open(path, os.O_RDONLY | flags("O_BINARY", "O_NONBLOCK", "O_NOFOLLOW"))
    except FileNotFoundError:
        return b""
    except OSError:
        return None
    with open(number, "rb") as file:
        return file.read(_HEADER)


def connected(path: Path | str) -> sqlite3.Connection:
    """The database in a file, or in memory."""
    return sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)


def marked(base: sqlite3.Connection) -> bool:
    """Whether a database is ours, or holds nothing yet."""
    if base.execute("PRAGMA application_id").fetchone()[0] == APPLICATION:
        return True
    return not base.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()[0]


def throw_away(path: Path) -> None:
    """Remove a damaged index; the next one is made anew. Nothing else is removed."""
    if not may_be_used(path):
        return
    for suffix in ("", "-journal"):
        with suppress(OSError):
            path.with_name(path.name + suffix).unlink()
