"""What lies in a casebook's folders: files that may be read, and what is wrong with all else.

Only regular files are opened. A pipe, a socket or a device could keep a reader waiting for ever,
and a link may lead nowhere; each of them is named, and hides nothing beside it.
"""

from __future__ import annotations

import errno
import os
import re
import stat
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from diagnose.errors import BadDocument, DiagnoseError, Place

ID = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[a-z0-9-]{1,60}")
"""What the id of a case looks like; the year in front names its folder."""

_YEAR = re.compile("[0-9]{4}")
_LARGEST = 2**63
"""Numbers of a file system are kept below this, the most that a database takes."""

Stamp = tuple[int, int, int]
"""How a file looked when it was read: time of its last change [ns], size [bytes], and the number
that the file system knows it by."""


class Unreadable(BadDocument):
    """A file that could not be read now, whatever is in it: its owner may let it be read later."""


@dataclass(frozen=True)
class Found:
    """The case files that count, by their path in the casebook, and what is wrong with others."""

    files: dict[str, Stamp]
    problems: tuple[DiagnoseError, ...]


def read_regular(path: Path, most: int) -> bytes:
    """The first `most` bytes of a regular file. Raises BadDocument for anything else."""
    place = Place(str(path))
    try:
        kind = path.stat().st_mode
        if not stat.S_ISREG(kind):
            raise BadDocument(_no_file(kind), place)
        number = os.open(path, os.O_RDONLY | flags("O_BINARY", "O_NONBLOCK", "O_CLOEXEC"))
        with open(number, "rb") as file:
            return file.read(most)
    except FileNotFoundError:
        raise BadDocument(_absent(path), place) from None
    except OSError as error:
        raise Unreadable(_refused(error), place) from None
    except ValueError as error:
        if isinstance(error, DiagnoseError):
            raise
        raise BadDocument("is not a file name", place) from None


def case_files(folder: Path) -> Found:
    """The files of the cases, by year and name."""
    files: dict[str, Stamp] = {}
    problems: list[DiagnoseError] = []
    for year in _entries(folder, problems):
        if _YEAR.fullmatch(year.name):
            for entry in _entries(Path(year.path), problems):
                if entry.name.endswith(".yaml"):
                    _sort_in(entry, year.name, files, problems)
    return Found(files, tuple(problems))


def lines_files(folder: Path) -> tuple[tuple[Path, ...], tuple[DiagnoseError, ...]]:
    """The files of JSON lines in one folder, by name, and what is wrong with the folder."""
    problems: list[DiagnoseError] = []
    entries = _entries(folder, problems)
    return tuple(Path(e.path) for e in entries if e.name.endswith(".jsonl")), tuple(problems)


def _entries(folder: Path, problems: list[DiagnoseError]) -> list[os.DirEntry[str]]:
    """What lies in a folder, by name; none where it is no folder."""
    try:
        with os.scandir(folder) as entries:
            return sorted(entries, key=lambda entry: entry.name)
    except NotADirectoryError:
        return []
    except FileNotFoundError:
        if os.path.lexists(folder):
            problems.append(BadDocument(_absent(folder), Place(str(folder))))
        return []
    except OSError as error:
        problems.append(Unreadable(_refused(error), Place(str(folder))))
        return []


def _sort_in(
    entry: os.DirEntry[str], year: str, files: dict[str, Stamp], problems: list[DiagnoseError]
) -> None:
    """Put one file where it belongs: among those that count, or among the problems."""
    place = Place(entry.path)
    try:
        found = entry.stat()
    except FileNotFoundError:
        with suppress(FileNotFoundError):  # gone since the folder was read
            entry.stat(follow_symlinks=False)
            problems.append(BadDocument(_absent(Path(entry.path)), place))
        return
    except OSError as error:
        problems.append(Unreadable(_refused(error), place))
        return
    wrong = "" if stat.S_ISREG(found.st_mode) else _no_file(found.st_mode)
    if wrong := wrong or _misplaced(Path(entry.path), year):
        problems.append(BadDocument(wrong, place))
    else:
        files[f"{year}/{entry.name}"] = _stamp(found)


def _misplaced(path: Path, year: str) -> str:
    """Why a file of that name, in the folder of that year, is not looked for there; or ""."""
    if not ID.fullmatch(path.stem):
        return "is not the name of a case; name it like 2026-03-02-mist-bench-3fa91c, id included"
    own = path.stem[:4]
    if own == year:
        return ""
    if os.path.lexists(path.parent.parent / own / path.name):
        return f"a case of this name is in the folder {own}, and that one counts; remove one"
    return f"belongs into the folder {own}, and does not count here; move it there"


def _stamp(found: os.stat_result) -> Stamp:
    changed, size, number = found.st_mtime_ns, found.st_size, found.st_ino
    return changed % _LARGEST, size % _LARGEST, number % _LARGEST


_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def _no_file(mode: int) -> str:
    kind = next((said for test, said in _KINDS if test(mode)), "something else")
    return f"should be a file, and is {kind}; it is left alone"


def _absent(path: Path) -> str:
    return "this link leads nowhere" if path.is_symlink() else "there is no such file"


def _refused(error: OSError) -> str:
    if error.errno == errno.ELOOP:
        return "this link leads to itself"
    return f"the file cannot be read: {error.strerror or 'the system refused it'}"


def flags(*names: str) -> int:
    """Those of the named ways to open a file that this system has, such as O_NOFOLLOW."""
    return sum(getattr(os, name, 0) for name in names)
