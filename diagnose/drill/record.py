"""A trainee's file: one line a drill, only ever added to, each on the disk before it is shown.

It holds nothing about a person but the name that it was given.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from diagnose.casebook.case_fields import line, now, time_of, written_time
from diagnose.casebook.disk import Lock, given_path, plain_trouble, write_whole
from diagnose.casebook.lines import Lines, line_of, read_lines
from diagnose.casebook.store import NoHome, user_folder
from diagnose.casebook.walk_case import slug
from diagnose.drill.debrief import Debrief
from diagnose.drill.marks import dangers
from diagnose.errors import BadDocument, DiagnoseError, Place

FORM = 1
"""Of the files that this program writes and reads."""

VARIABLE = "DIAGNOSE_DRILLS"
"""The environment variable that names the folder of trainees' files."""

_DIGITS = 12
_LIKE_A_HASH = re.compile(rf"-[0-9a-f]{{{_DIGITS}}}$")
"""Digits of the hash in a file's name, and a person's name that could be taken for one with it."""

ALONE = "me"
"""The trainee when no name was given."""


@dataclass(frozen=True)
class Drilled:
    """One drill that has ended.

    group: a component group that was asked for, or ""; modes: what was hidden; named: what was
    concluded; marks: by skill, as shares from 0 to 1; score out of 100; dangers: acts that
    could have hurt somebody
    """

    at: datetime
    rig: str
    level: int
    seed: int
    group: str
    modes: tuple[str, ...]
    named: tuple[str, ...]
    marks: Mapping[str, float]
    score: int
    right: bool
    minutes: float
    advised: float
    dangers: int


def drilled(ended: Debrief, group: str = "", at: datetime | None = None) -> Drilled:
    """The record of a drill; at: when it ended, now unless given."""
    scenario, session = ended.scenario, ended.session
    return Drilled(
        at=at or now(),
        rig=line(scenario.bench.rig.name),
        level=scenario.ticket.level,
        seed=scenario.ticket.seed,
        group=group,
        modes=scenario.truth.modes,
        named=ended.conclusion.causes,
        marks={mark.skill: round(mark.share, 3) for mark in ended.score.marks},
        score=ended.score.total,
        right=ended.score.right,
        minutes=round(session.minutes, 2),
        advised=round(ended.path.minutes, 2),
        dangers=dangers(session, ended.conclusion),
    )


def chosen_folder(given: Path | None = None) -> Path:
    """The folder given; else the one of the environment; else the user's own. Raises
    DiagnoseError."""
    named = given or os.environ.get(VARIABLE)
    if named:
        return given_path(named)
    try:
        return user_folder().parent / "drills"
    except NoHome:
        told = "there is no home folder to keep drills in; name a folder with --folder"
        raise NoHome(told) from None


@dataclass(frozen=True)
class Trainee:
    """One person's file in a folder of them."""

    name: str
    path: Path

    @classmethod
    def of(cls, name: str = ALONE, folder: Path | None = None) -> Trainee:
        """The file of a name; names that differ in more than capitals never share one."""
        return cls(line(name), _file_of(" ".join(name.split()), chosen_folder(folder)))

    def drills(self) -> tuple[Drilled, ...]:
        """All drills in their order; none before the first. Raises DiagnoseError."""
        if not self.path.exists():
            return ()
        (number, head), *rest = read_lines(self.path) or [(1, {})]
        if head.get("drills") != FORM:
            place = Place(str(self.path), number)
            raise BadDocument("is no file of drills of this version of the program", place)
        return tuple(_entry(entry, Place(str(self.path), number)) for number, entry in rest)

    def add(self, drill: Drilled) -> None:
        """Write a drill down. Raises DiagnoseError; the file is then as it was."""
        with Lock(self.path.with_suffix(".lock"), "another drill of this trainee is being saved"):
            if not self.path.exists() or self.path.stat().st_size == 0:
                head = {"drills": FORM, "trainee": self.name}
                write_whole(self.path, line_of(head).decode())
            lines = Lines(self.path)
            try:
                lines.append(_values(drill))
            finally:
                lines.close()


def _file_of(name: str, folder: Path) -> Path:
    """The file that has the name at its head, as the name alone or as older versions called it; for
    a new one the name, with a hash of it where plain letters cannot say all of it."""
    plain = folder / f"{slug(name)}.jsonl"
    head = _head(plain)
    if head is not None and _same(head, name):
        return plain
    whole = slug(name) == _folded(name) and not _LIKE_A_HASH.search(name)
    if whole and head is None:
        return plain
    digest = sha256(_folded(name).encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
    return folder / f"{slug(name)}-{digest}.jsonl"


def _head(path: Path) -> str | None:
    """The name at the head of a file; None where there is none or it cannot be read."""
    try:
        first = read_lines(path)[:1] if path.is_file() else []
    except (DiagnoseError, OSError):
        return None
    return str(first[0][1].get("trainee", "")) if first else None


def _same(name: str, other: str) -> bool:
    return _folded(name) == _folded(other)


def _folded(name: str) -> str:
    """A name without what makes no difference: its capitals, and how a letter is put together."""
    return unicodedata.normalize("NFC", name.casefold())


def trainees(folder: Path | None = None) -> tuple[tuple[Trainee, ...], tuple[DiagnoseError, ...]]:
    """Every trainee of a folder, by name, and what is wrong with the other files."""
    good, problems = [], []
    for path in sorted(_files(chosen_folder(folder))):
        try:
            head = (read_lines(path) or [(1, {})])[0][1]
            trainee = Trainee(line(str(head.get("trainee", path.stem))), path)
            trainee.drills()
            good.append(trainee)
        except DiagnoseError as problem:
            problems.append(problem)
    return tuple(good), tuple(problems)


def _files(folder: Path) -> list[Path]:
    """The files of a folder. Raises DiagnoseError where it cannot be looked into."""
    with plain_trouble(folder):
        try:
            return [Path(entry.path) for entry in os.scandir(folder) if _is_file(entry)]
        except FileNotFoundError:
            return []


def _is_file(entry: os.DirEntry[str]) -> bool:
    """Whether it is a trainee's file, and not something that could keep a reader waiting."""
    with suppress(OSError):
        return entry.name.endswith(".jsonl") and entry.is_file()
    return False


def _values(drill: Drilled) -> dict[str, Any]:
    values = {**vars(drill), "at": written_time(drill.at), "marks": dict(drill.marks)}
    return {**values, "modes": [*drill.modes], "named": [*drill.named]}


def _entry(values: Mapping[str, Any], place: Place) -> Drilled:
    try:
        return Drilled(
            at=time_of(values["at"], place),
            rig=line(values["rig"]),
            level=int(values["level"]),
            seed=int(values["seed"]),
            group=line(values["group"]),
            modes=tuple(line(mode) for mode in values["modes"]),
            named=tuple(line(mode) for mode in values["named"]),
            marks={line(skill): float(share) for skill, share in values["marks"].items()},
            score=int(values["score"]),
            right=values["right"] is True,
            minutes=float(values["minutes"]),
            advised=float(values["advised"]),
            dangers=int(values["dangers"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        if isinstance(error, DiagnoseError):
            raise
        told = "is not a line of a drill; the file was changed or damaged here"
        raise BadDocument(told, place) from None
