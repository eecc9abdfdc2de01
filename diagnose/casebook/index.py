"""The index of a casebook: a small database derived from the case files.

It is made when missing, brought up to date when a file has changed, thrown away and made again when
it is damaged, and kept in memory when the folder takes no file. It is never the only copy of
anything: every answer could be had from the case files, only later.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagnose.casebook.brief import Brief, brief_of
from diagnose.casebook.case_file import time_of, written_time
from diagnose.casebook.case_reading import load_case
from diagnose.casebook.record import Case, ComeBack
from diagnose.casebook.store import YEARS, Casebook, singly
from diagnose.errors import DiagnoseError, Place

FORM = 1
"""Of the tables; an index of another form is made anew."""

FILE = "index.sqlite"

_TABLES = """
CREATE TABLE file (
    path TEXT PRIMARY KEY, changed INTEGER, size INTEGER, number INTEGER, problems TEXT);
CREATE TABLE brief (
    path TEXT PRIMARY KEY, id TEXT, opened TEXT, closed TEXT, rig TEXT, topology TEXT, control TEXT,
    status TEXT, confirmed_by TEXT, cause TEXT, true_cause TEXT, place INTEGER, minutes REAL,
    questions INTEGER, parts TEXT, came_back TEXT);
CREATE TABLE finding (path TEXT, test TEXT, answer TEXT, how TEXT, minutes REAL, moved REAL);
CREATE INDEX brief_id ON brief (id);
CREATE INDEX finding_path ON finding (path);
CREATE INDEX finding_test ON finding (test, answer, path);
"""

Progress = Callable[[int, int], None]
"""Told now and then how many files of how many have been read."""


@dataclass(frozen=True)
class Stamp:
    """How a file looked when it was read: time of its last change [ns], size [bytes], and the
    number that the file system knows it by."""

    changed: int
    size: int
    number: int


class Index:
    """An index that agrees with the case files at the moment it was opened."""

    def __init__(self, base: sqlite3.Connection, folder: Path):
        self._base, self._folder = base, folder

    def briefs(self) -> tuple[Brief, ...]:
        """Every good case in brief, oldest first."""
        rows = self._base.execute("SELECT * FROM brief ORDER BY opened, id")
        return tuple(_brief(row) for row in rows)

    def briefs_of(self, paths: Iterable[str]) -> tuple[Brief, ...]:
        """The cases in the given files, named by their paths in the casebook."""
        rows = (self.query("SELECT * FROM brief WHERE path = ?", (path,)) for path in paths)
        return tuple(_brief(row) for found in rows for row in found)

    @property
    def problems(self) -> tuple[DiagnoseError, ...]:
        """What is wrong with the files that could not be taken."""
        rows = self.query("SELECT path, problems FROM file WHERE problems <> '' ORDER BY path")
        return tuple(p for path, text in rows for p in _problems(self._folder / path, text))

    def query(self, sql: str, values: Iterable[object] = ()) -> list[tuple[Any, ...]]:
        """The rows of a question in SQL."""
        return self._base.execute(sql, tuple(values)).fetchall()

    def choose(self, table: str, columns: str, rows: Iterable[tuple[object, ...]]) -> None:
        """Put rows into a table that lives as long as this index is open, for use in a query."""
        marks = ", ".join("?" for _ in columns.split(","))
        self._base.execute(f"DROP TABLE IF EXISTS temp.{table}")
        self._base.execute(f"CREATE TEMP TABLE {table} ({columns})")
        self._base.executemany(f"INSERT INTO temp.{table} VALUES ({marks})", rows)

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
    return {path: Stamp(*stamp) for path, *stamp in rows}


def _lay_out(base: sqlite3.Connection) -> None:
    """Empty tables of today's form."""
    names = base.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    old = [f'DROP TABLE "{name}"' for (name,) in names]
    for statement in (*old, *_TABLES.split(";")[:-1], f"PRAGMA user_version = {FORM}"):
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
    return Stamp(stat.st_mtime_ns, stat.st_size, stat.st_ino & 0x7FFFFFFFFFFFFFFF)


def _forget(base: sqlite3.Connection, path: str) -> None:
    for table in ("file", "brief", "finding"):
        base.execute(f"DELETE FROM {table} WHERE path = ?", (path,))


def _take(base: sqlite3.Connection, casebook: Casebook, path: str, stamp: Stamp) -> None:
    """Read one file into the tables."""
    said = ""
    try:
        case = load_case(casebook.folder / path)
        base.execute(f"INSERT INTO brief VALUES ({_marks(16)})", _brief_row(path, case))
        rows = _finding_rows(path, case)
        base.executemany(f"INSERT INTO finding VALUES ({_marks(6)})", rows)
    except DiagnoseError as problem:
        said = _problem_text(problem)
    row = (path, stamp.changed, stamp.size, stamp.number, said)
    base.execute(f"INSERT OR REPLACE INTO file VALUES ({_marks(5)})", row)


def _marks(count: int) -> str:
    return ", ".join("?" * count)


def _finding_rows(path: str, case: Case) -> Iterator[tuple[object, ...]]:
    for item in case.found:
        yield path, item.test, item.answer, "answered", item.minutes, item.moved
    for passed in case.passed_over:
        yield path, passed.test, "", passed.how, passed.minutes, None


def _brief_row(path: str, case: Case) -> tuple[object, ...]:
    brief = brief_of(case)
    returns = [[written_time(c.at), c.closed and written_time(c.closed)] for c in brief.came_back]
    return (
        path,
        brief.id,
        written_time(brief.opened),
        brief.closed and written_time(brief.closed),
        brief.rig,
        brief.topology,
        brief.control,
        brief.status,
        brief.confirmed_by,
        brief.cause,
        brief.true_cause,
        brief.place,
        brief.minutes,
        brief.questions,
        json.dumps(brief.parts),
        json.dumps(returns),
    )


def _brief(row: tuple[Any, ...]) -> Brief:
    _, name, opened, closed, *middle, parts, returns = row
    came_back = tuple(
        ComeBack(time_of(at), time_of(before) if before else None)
        for at, before in json.loads(returns)
    )
    closed_at = time_of(closed) if closed else None
    fields = [name, time_of(opened), closed_at, *middle, tuple(json.loads(parts)), came_back]
    return Brief(*fields)


def _problem_text(problem: DiagnoseError) -> str:
    """Every sentence with line and key; the file's own name may change."""
    places = [(p.message, p.place or Place("")) for p in singly(problem)]
    return json.dumps([[message, place.line, place.key] for message, place in places])


def _problems(path: Path, text: str) -> Iterator[DiagnoseError]:
    for message, line, key in json.loads(text):
        yield DiagnoseError(message, Place(str(path), line, key))
