"""The folder of case files: one file a repair, a folder a year, each file whole at every moment.

What lies in it:

    2026/2026-03-02-mist-bench-3fa91c.yaml    a case; its id is its name
    walks/2026-03-02-mist-bench-3fa91c.jsonl  a walk that is not finished (see journal.py)
    .diagnose-index.sqlite                    derived from the cases (see index.py)
    .lock                                     held for the moment of writing

The index may be deleted at any time; all else is the owner's to keep and to copy.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from diagnose.casebook.case_fields import line
from diagnose.casebook.disk import (
    Lock,
    NotHere,
    given_path,
    plain_trouble,
    remove_leftovers,
    write_whole,
)
from diagnose.casebook.files import ID, case_files
from diagnose.casebook.record import Case
from diagnose.errors import DiagnoseError, Mistakes, Place, nearest, quoted

VARIABLE = "DIAGNOSE_CASEBOOK"
"""The environment variable that names the casebook's folder."""


def user_folder() -> Path:
    """Where a casebook goes when no other folder was named: the user's own data folder.

    Raises NoHome where there is none.
    """
    from platformdirs import user_data_path

    try:
        folder = user_data_path("diagnose", appauthor=False)
    except RuntimeError:
        folder = Path()
    if not folder.is_absolute():
        raise NoHome("there is no home folder to keep cases in; name a folder with --casebook")
    return folder / "cases"


class NoHome(NotHere):
    """Nobody named a folder, and the user has none of their own."""


def chosen_folder(given: Path | str | None = None) -> Path:
    """The folder given; else the one of the environment; else ./cases; else the user's. Raises
    DiagnoseError."""
    named = given or os.environ.get(VARIABLE)
    if named:
        return given_path(named)
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
        """The casebook in `path`, or where `chosen_folder` finds one. Raises DiagnoseError: it is
        no folder, or one that cannot be looked into."""
        folder = chosen_folder(path)
        with plain_trouble(folder):
            _look_into(folder)
        return cls(folder)

    def lock(self) -> Lock:
        """To be held while a file of the casebook is written."""
        return Lock(self.folder / ".lock", "another program is writing to this casebook")

    def path_of(self, name: str) -> Path:
        """The file of the case with that id. Raises DiagnoseError when it can be no id."""
        if not ID.fullmatch(name):
            raise DiagnoseError(f"{quoted(name)} is not the id of a case")
        return self.folder / name[:4] / f"{name}.yaml"

    def paths(self) -> list[Path]:
        """Every case file that counts, oldest first."""
        return [self.folder / path for path in case_files(self.folder).files]

    def save(self, case: Case) -> Path:
        """Write a case into its file. Saving it again replaces it; no other case is overwritten.

        Raises DiagnoseError with one sentence, and leaves what was there, when the disk is full,
        the folder refuses, the file holds something else, or the case could not be read back.
        """
        path = self.path_of(case.id)
        text = _text(case, path)
        with self.lock():
            if os.path.lexists(path):
                self._check_same(path, case)
            remove_leftovers(path.parent)
            write_whole(path, text)
        return path

    def update(self, name: str, change: Callable[[Case], Case], known: Case | None = None) -> Case:
        """Read a case, change it and write it, with nobody writing in between.

        known: the case as whoever asks for the change knows it
        Raises ChangedMeanwhile, and writes nothing, when it is no longer that.
        """
        path = self.path_of(name)
        with self.lock():
            there = case_in(path)
            if known not in (None, there):
                raise ChangedMeanwhile(_CHANGED, Place(str(path)))
            case = change(there)
            if case.id != name:
                raise DiagnoseError(f"{quoted(name)}: a case keeps its id")
            text = _text(case, path)
            remove_leftovers(path.parent)
            write_whole(path, text)
        return case

    def load(self, name: str) -> Case:
        """The case with that id. Raises DiagnoseError: no such case, or a broken file."""
        return case_in(self.path_of(name))

    def find(self, text: str) -> str:
        """The id that is `text`, or the only one with `text` in it. Raises DiagnoseError."""
        listed = case_files(self.folder)
        names = [Path(path).stem for path in listed.files]
        found = [text] if text in names else [name for name in names if text and text in name]
        if len(found) == 1:
            return found[0]
        if found:
            shown = ", ".join(found[-3:])
            raise DiagnoseError(f"{quoted(text)} fits {len(found)} cases ({shown}); say more")
        for problem in listed.problems:
            if text and problem.place and text in Path(problem.place.file).stem:
                raise problem
        near = nearest(text, names)
        hint = f" Did you mean {quoted(near)}?" if near else ""
        place = Place(str(self.folder))
        raise DiagnoseError(f"there is no case called {quoted(text)}.{hint}", place)

    def cases(self) -> Loaded:
        """Every case, oldest first; a broken file is a problem and hides no other."""
        good: list[Case] = []
        listed = case_files(self.folder)
        problems = [*listed.problems]
        for path in listed.files:
            try:
                good.append(case_in(self.folder / path))
            except DiagnoseError as problem:
                problems.extend(singly(problem))
        return Loaded(tuple(good), tuple(problems))

    def _check_same(self, path: Path, case: Case) -> None:
        there = case_in(path)
        if there.opened != case.opened or there.rig.name != line(case.rig.name):
            raise DiagnoseError("another case is in this file; it stays", Place(str(path)))


def _look_into(folder: Path) -> None:
    """Nothing, where the folder can be listed and searched or is not there yet. Raises OSError."""
    try:
        with os.scandir(folder):
            os.stat(os.path.join(folder, "."))
    except FileNotFoundError:
        return
    except NotADirectoryError:
        place = Place(str(folder))
        raise NotHere("a casebook is a folder, and this is a file", place) from None


def case_in(path: Path) -> Case:
    """The case in a file. Raises as case_file.load_case, which is imported when first needed."""
    from diagnose.casebook.case_file import load_case

    return load_case(path)


class ChangedMeanwhile(DiagnoseError):
    """A case that somebody else has changed since it was read."""


_CHANGED = (
    "the case was changed meanwhile, and nothing was written over it; look at it again with "
    "diagnose cases show, then say what is to be added"
)


class NotKept(DiagnoseError):
    """A case that could not be read back from the file that it would make."""


def _text(case: Case, path: Path) -> str:
    """The text of the file of a case, which was read back as it was. Raises NotKept."""
    from diagnose.casebook.case_file import read_case, to_yaml
    from diagnose.documents import parse

    text = to_yaml(case)
    try:
        if to_yaml(read_case(parse(text, path.name), case.id)) == text:
            return text
        reason = "it would come back changed"
    except DiagnoseError as problem:
        reason = str(singly(problem)[0])
    sentence = f"the case was not written, since it could not be read again: {reason}"
    raise NotKept(sentence, Place(str(path)))


def singly(problem: DiagnoseError) -> tuple[DiagnoseError, ...]:
    """The problems that one error stands for."""
    return problem.problems if isinstance(problem, Mistakes) else (problem,)
