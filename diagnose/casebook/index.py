"""The index of a casebook: a small database derived from the case files.

It is made when missing, brought up to date when a file has changed, thrown away and made again when
it is damaged, and kept in memory when the folder takes no file. It is never the only copy of
anything: every answer could be had from the case files, only later.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from diagnose.casebook.brief import Brief
from diagnose.casebook.index_rows import (
    FORM,
    TABLES,
    brief_from,
    brief_row,
    finding_rows,
    problem_text,
    problems_from,
)
from diagnose.casebook.store import YEARS, Casebook, case_in
from diagnose.errors import DiagnoseError, Place

FILE = "index.sqlite"

Progress = Callable[[int, int], None]
"""Told now and then how many files of how many have been read."""


Stamp = tuple[int, int, int]
"""How a file looked when it was read: time of its last change [ns], size [bytes], and the number
that the file system knows it by."""


class Index:
    """An index that agrees with the case files at the moment it was opened."""

    def __init__(self, base: sqlite3.Connection, folder: Path):
        self._base, self._folder = base, folder

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
        return tuple(p for path, text in rows for p in problems_from(self._folder / path, text))

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
        try:
            yield
        except sqlite3.DatabaseError:
            path = self._folder / FILE
            self.close()
            _throw_away(path)
            sentence = "the index was damaged and has been removed; no case is lost, try again"
            raise DiagnoseError(sentence, Place(str(path))) from None

    def close(self) -> None:
        """Let go of the database."""
        self._base.close()


@contextmanager
def opened_index(casebook: Casebook, progress: Progress | None = None) -> Iterator[Index]:
    """The index of a casebook, brought up to date first."""
    base = _up_to_date(casebook, progress)
    with closing(Index(base, casebook.folder)) as index:
        yield index


def _up_to_date(casebook: Casebook, progress: Progress | None) -> sqlite3.Connection:
    """A database that agrees with the files: on disk, else on disk anew, else in memory."""
    path = casebook.folder / FILE
    if casebook.folder.is_dir():
        for _ in range(2):
            try:
                return _refreshed(path, casebook, progress)
            except sqlite3.OperationalError:  # full, read-only, or locked for very long
                break
            except sqlite3.DatabaseError:  # damaged
                _throw_away(path)
    return _refreshed(":memory:", casebook, progress)


def _throw_away(path: Path) -> None:
    for suffix in ("", "-journal"):
        with suppress(OSError):
            path.with_name(path.name + suffix).unlink()


def _refreshed(
    path: Path | str, casebook: Casebook, progress: Progress | None
) -> sqlite3.Connection:
    base = sqlite3.connect(path, timeout=30, isolation_level=None)
    try:
        _refresh(base, casebook, progress)
    except BaseException:
        base.close()
        raise
    return base


def _refresh(base: sqlite3.Connection, casebook: Casebook, progress: Progress | None) -> None:
    """Read what is new or changed, forget what is gone, all in one transaction."""
    there = _stamps(casebook)
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
    """Empty tables of today's form."""
    names = base.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    old = [f'DROP TABLE "{name}"' for (name,) in names]
    for statement in (*old, *TABLES, f"PRAGMA user_version = {FORM}"):
        base.execute(statement)


def _stamps(casebook: Casebook) -> dict[str, Stamp]:
    """Every case file, by its path in the casebook."""
    found = {}
    for year in sorted(casebook.folder.glob(YEARS)):
        with suppress(NotADirectoryError), os.scandir(year) as entries:
            for entry in entries:
                if entry.name.endswith(".yaml"):
                    with suppress(FileNotFoundError):
                        found[f"{year.name}/{entry.name}"] = _stamp(entry.stat())
    return found


def _stamp(stat: os.stat_result) -> Stamp:
    return stat.st_mtime_ns, stat.st_size, stat.st_ino & 0x7FFFFFFFFFFFFFFF


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
        said = (problem_text(problem), file)
        base.execute("UPDATE file SET problems = ? WHERE file = ?", said)
        return
    base.execute(f"INSERT INTO brief VALUES ({_marks(16)})", brief_row(file, case))
    base.executemany(f"INSERT INTO finding VALUES ({_marks(6)})", finding_rows(file, case))


def _marks(count: int) -> str:
    return ", ".join("?" * count)
