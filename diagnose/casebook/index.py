"""The index of a casebook: a small database derived from the case files.

It is made when missing, brought up to date when a file has changed, thrown away and made again when
it is damaged, and kept in memory when the folder takes no file, when another program holds it, or
when something else lies under its name (index_file.py). It is never the only copy of anything:
every answer could be had from the case files, only later.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from diagnose.casebook.brief import Brief
from diagnose.casebook.files import Found, Stamp, Unreadable, case_files
from diagnose.casebook.index_file import (
    APPLICATION,
    FILE,
    NotOurs,
    connected,
    in_memory,
    marked,
    throw_away,
)
from diagnose.casebook.index_rows import (
    FORM,
    TABLES,
    brief_from,
    brief_row,
    finding_rows,
    problem_text,
    problems_from,
)
from diagnose.casebook.store import Casebook, case_in
from diagnose.errors import DiagnoseError, Place

Progress = Callable[[int, int], None]
"""Told now and then how many files of how many have been read."""

FOREIGN = "is not our index and is left alone; the index is kept in memory until it is moved away"
HELD = "another program holds the index; it is kept in memory this time"


class Index:
    """An index that agrees with the case files at the moment it was opened."""

    def __init__(self, base: sqlite3.Connection, folder: Path, listed: Found, remark: str = ""):
        """remark: why the index is not on the disk, where that is worth saying."""
        self._base, self._folder, self._listed, self.remark = base, folder, listed, remark

    def briefs(self) -> tuple[Brief, ...]:
        """Every good case in brief, oldest first."""
        return tuple(map(brief_from, self.query("SELECT * FROM brief ORDER BY opened, id")))

    @property
    def count(self) -> int:
        """How many good cases there are."""
        return int(self.query("SELECT COUNT(*) FROM brief")[0][0])

    def briefs_of(self, files: Iterable[int]) -> tuple[Brief, ...]:
        """The cases in the given files, by their numbers in the index."""
        rows = (self.query("SELECT * FROM brief WHERE file = ?", (file,)) for file in files)
        return tuple(brief_from(row) for found in rows for row in found)

    @property
    def problems(self) -> tuple[DiagnoseError, ...]:
        """What is wrong with the files that could not be taken."""
        rows = self.query("SELECT path, problems FROM file WHERE problems <> '' ORDER BY path")
        read = (p for path, text in rows for p in problems_from(self._folder / path, text))
        return (*self._listed.problems, *read)

    def query(self, sql: str, values: Iterable[object] = ()) -> list[tuple[Any, ...]]:
        """The rows of a question in SQL. Raises DiagnoseError when the index is damaged."""
        with self._damage_removed():
            return self._base.execute(sql, tuple(values)).fetchall()

    def choose(self, table: str, columns: str, rows: Iterable[tuple[object, ...]]) -> None:
        """Put rows into a table that lives as long as this index is open, for use in a query."""
        marks = ", ".join("?" for _ in columns.split(","))
        self._base.execute(f"DROP TABLE IF EXISTS temp.{table}")
        self._base.execute(f"CREATE TEMP TABLE {table} ({columns})")
        self._base.execute("BEGIN")
        self._base.executemany(f"INSERT INTO temp.{table} VALUES ({marks})", rows)
        self._base.execute("COMMIT")

    @contextmanager
    def _damage_removed(self) -> Iterator[None]:
        """An index found to be damaged is thrown away, so that the next one is made anew."""
        path = self._folder / FILE
        try:
            yield
        except sqlite3.OperationalError:  # locked, or out of reach by now
            sentence = "the index cannot be read just now; no case is lost, try again"
            raise DiagnoseError(sentence, Place(str(path))) from None
        except sqlite3.DatabaseError:
            self.close()
            throw_away(path)
            sentence = "the index was damaged and has been removed; no case is lost, try again"
            raise DiagnoseError(sentence, Place(str(path))) from None

    def close(self) -> None:
        """Let go of the database."""
        self._base.close()


@contextmanager
def opened_index(casebook: Casebook, progress: Progress | None = None) -> Iterator[Index]:
    """The index of a casebook, brought up to date first."""
    listed = case_files(casebook.folder)
    base, remark = _up_to_date(casebook, listed, progress)
    with closing(Index(base, casebook.folder, listed, remark)) as index:
        yield index


def _up_to_date(
    casebook: Casebook, listed: Found, progress: Progress | None
) -> tuple[sqlite3.Connection, str]:
    """A database that agrees with the files: on disk, else on disk anew, else in memory; and what
    is to be said of it."""
    path, remark = casebook.folder / FILE, ""
    for _ in range(2 if listed.files else 0):  # a folder without cases gets no file of ours
        try:
            return _refreshed(connected(path), casebook, listed, progress), ""
        except NotOurs:
            remark = f"{Place(str(path))}: {FOREIGN}"
            break
        except sqlite3.OperationalError as error:  # full, read-only, or locked for long
            remark = f"{Place(str(path))}: {HELD}" if _is_held(error) else ""
            break
        except sqlite3.DatabaseError:  # damaged
            throw_away(path)
    return _refreshed(in_memory(), casebook, listed, progress), remark


def _is_held(error: sqlite3.OperationalError) -> bool:
    return getattr(error, "sqlite_errorcode", None) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def _refreshed(
    base: sqlite3.Connection, casebook: Casebook, listed: Found, progress: Progress | None
) -> sqlite3.Connection:
    try:
        _refresh(base, casebook, listed.files, progress)
    except BaseException:
        base.close()
        raise
    return base


def _refresh(
    base: sqlite3.Connection,
    casebook: Casebook,
    there: dict[str, Stamp],
    progress: Progress | None,
) -> None:
    """Read what is new or changed, forget what is gone, all in one transaction."""
    if _known(base) == there:
        return
    base.execute("BEGIN IMMEDIATE")
    known = _known(base)
    if known is None:
        _lay_out(base)
        known = {}
    for path in known:
        if known[path] != there.get(path):
            _forget(base, path)
    new = [path for path in there if known.get(path) != there[path]]
    for count, path in enumerate(new):
        if progress and count % 100 == 0:
            progress(count, len(new))
        _take(base, casebook, path, there[path])
    base.execute("COMMIT")


def _known(base: sqlite3.Connection) -> dict[str, Stamp] | None:
    """The files as they were when they were read; None when the tables are of another form."""
    if base.execute("PRAGMA user_version").fetchone()[0] != FORM:
        return None
    rows = base.execute("SELECT path, changed, size, number FROM file")
    return {path: (changed, size, number) for path, changed, size, number in rows}


def _lay_out(base: sqlite3.Connection) -> None:
    """Empty tables of today's form, in a database of ours."""
    if not marked(base):
        raise sqlite3.OperationalError("this database is not ours")
    names = base.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    old = [f'DROP TABLE "{name}"' for (name,) in names]
    signs = (f"PRAGMA application_id = {APPLICATION}", f"PRAGMA user_version = {FORM}")
    for statement in (*old, *TABLES, *signs):
        base.execute(statement)


def _forget(base: sqlite3.Connection, path: str) -> None:
    file = _number(base, path)
    for table in ("file", "brief", "finding"):
        base.execute(f"DELETE FROM {table} WHERE file = ?", (file,))


def _number(base: sqlite3.Connection, path: str) -> int | None:
    row = base.execute("SELECT file FROM file WHERE path = ?", (path,)).fetchone()
    return row[0] if row else None


def _take(base: sqlite3.Connection, casebook: Casebook, path: str, stamp: Stamp) -> None:
    """Read one file into the tables."""
    row = (path, *stamp, "")
    file = base.execute(f"INSERT INTO file VALUES (NULL, {_marks(5)})", row).lastrowid or 0
    try:
        case = case_in(casebook.folder / path)
    except DiagnoseError as problem:
        # What may become readable without a change of the file is tried again each time.
        size = -1 if isinstance(problem, Unreadable) else stamp[1]
        said = (problem_text(problem), size, file)
        base.execute("UPDATE file SET problems = ?, size = ? WHERE file = ?", said)
        return
    base.execute(f"INSERT INTO brief VALUES ({_marks(16)})", brief_row(file, case))
    base.executemany(f"INSERT INTO finding VALUES ({_marks(6)})", finding_rows(file, case))


def _marks(count: int) -> str:
    return ", ".join("?" * count)
