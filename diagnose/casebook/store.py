"""The folder of case files: one file a repair, a folder a year, each file whole at every moment.

What lies in it:

    2026/2026-03-02-mist-bench-3fa91c.yaml    a case; its id is its name
    walks/2026-03-02-mist-bench-3fa91c.jsonl  a walk that is not finished (see journal.py)
    index.sqlite                              derived from the cases (see index.py)
    .lock                                     held for the moment of writing

The index may be deleted at any time; all else is the owner's to keep and to copy.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from diagnose.casebook.disk import remove_leftovers, write_whole
from diagnose.casebook.locks import Lock
from diagnose.casebook.record import Case, line
from diagnose.errors import DiagnoseError, Mistakes, Place, nearest, quoted

VARIABLE = "DIAGNOSE_CASEBOOK"
"""The environment variable that names the casebook's folder."""

_ID = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[a-z0-9-]{1,60}")
YEARS = "[0-9][0-9][0-9][0-9]"


def user_folder() -> Path:
    """Where a casebook goes when no other folder was named: the user's own data folder.

    Source: XDG Base Directory Specification (from memory) where there is neither Windows nor macOS.
    """
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        named = Path(os.environ.get("XDG_DATA_HOME", ""))
        base = named if named.is_absolute() else home / ".local" / "share"
    return base / "diagnose" / "cases"


def chosen_folder(given: Path | str | None = None) -> Path:
    """The folder given; else the one of the environment; else ./cases; else the user's."""
    named = given or os.environ.get(VARIABLE)
    if named:
        return Path(named).expanduser()
    here = Path("cases")
    return here if here.is_dir() else user_folder()


@dataclass(frozen=True)
class Loaded:
    """The cases that could be read, oldest first, and one problem or more for each other file."""

    good: tuple[Case, ...]
    problems: tuple[DiagnoseError, ...]

    def __iter__(self) -> Iterator[Case]:
        return iter(self.good)


@dataclass(frozen=True)
class Casebook:
    """A folder of cases. Nothing is created before the first case is saved."""

    folder: Path

    @classmethod
    def open(cls, path: Path | str | None = None) -> Casebook:
        """The casebook in `path`, or where `chosen_folder` finds one."""
        folder = chosen_folder(path)
        if folder.exists() and not folder.is_dir():
            place = Place(str(folder))
            raise DiagnoseError("a casebook is a folder, and this is a file", place)
        return cls(folder)

    def lock(self) -> Lock:
        """To be held while a file of the casebook is written."""
        return Lock(self.folder / ".lock", "another program is writing to this casebook")

    def path_of(self, name: str) -> Path:
        """The file of the case with that id. Raises DiagnoseError when it can be no id."""
        if not _ID.fullmatch(name):
            raise DiagnoseError(f"{quoted(name)} is not the id of a case")
        return self.folder / name[:4] / f"{name}.yaml"

    def paths(self) -> list[Path]:
        """Every case file, oldest first."""
        return sorted(self.folder.glob(f"{YEARS}/*.yaml"), key=str)

    def save(self, case: Case) -> Path:
        """Write a case into its file. Saving it again replaces it; no other case is overwritten.

        Raises DiagnoseError with one sentence, and leaves what was there, when the disk is full,
        the folder refuses, or the file holds something else.
        """
        path = self.path_of(case.id)
        with self.lock():
            if path.exists():
                self._check_same(path, case)
            remove_leftovers(path.parent)
            write_whole(path, _text(case))
        return path

    def update(self, name: str, change: Callable[[Case], Case]) -> Case:
        """Read a case, change it and write it, with nobody writing in between."""
        path = self.path_of(name)
        with self.lock():
            case = change(case_in(path))
            if case.id != name:
                raise DiagnoseError(f"{quoted(name)}: a case keeps its id")
            remove_leftovers(path.parent)
            write_whole(path, _text(case))
        return case

    def load(self, name: str) -> Case:
        """The case with that id. Raises DiagnoseError: no such case, or a broken file."""
        return case_in(self.path_of(name))

    def find(self, text: str) -> str:
        """The id that is `text`, or the only one with `text` in it. Raises DiagnoseError."""
        names = [path.stem for path in self.paths()]
        found = [text] if text in names else [name for name in names if text and text in name]
        if len(found) == 1:
            return found[0]
        if found:
            shown = ", ".join(found[-3:])
            raise DiagnoseError(f"{quoted(text)} fits {len(found)} cases ({shown}); say more")
        near = nearest(text, names)
        hint = f" Did you mean {quoted(near)}?" if near else ""
        place = Place(str(self.folder))
        raise DiagnoseError(f"there is no case called {quoted(text)}.{hint}", place)

    def cases(self) -> Loaded:
        """Every case, oldest first; a broken file is a problem and hides no other."""
        good: list[Case] = []
        problems: list[DiagnoseError] = []
        for path in self.paths():
            try:
                good.append(case_in(path))
            except DiagnoseError as problem:
                problems.extend(singly(problem))
        return Loaded(tuple(good), tuple(problems))

    def _check_same(self, path: Path, case: Case) -> None:
        there = case_in(path)
        if there.opened != case.opened or there.rig.name != line(case.rig.name):
            raise DiagnoseError("another case is in this file; it stays", Place(str(path)))


def case_in(path: Path) -> Case:
    """The case in a file. Raises as case_reading.load_case, which is imported when first needed."""
    from diagnose.casebook.case_reading import load_case

    return load_case(path)


def _text(case: Case) -> str:
    from diagnose.casebook.case_file import to_yaml

    return to_yaml(case)


def singly(problem: DiagnoseError) -> tuple[DiagnoseError, ...]:
    """The problems that one error stands for."""
    return problem.problems if isinstance(problem, Mistakes) else (problem,)
