"""A trainee's file: one line a drill, only ever added to, each on the disk before it is shown.

It holds nothing about a person but the name that it was given.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from diagnose.casebook.case_file import time_of, written_time
from diagnose.casebook.closing import slug
from diagnose.casebook.disk import write_whole
from diagnose.casebook.lines import Lines, line_of, read_lines
from diagnose.casebook.locks import Lock
from diagnose.casebook.record import line, now
from diagnose.casebook.store import user_folder
from diagnose.drill.debrief import Debrief
from diagnose.drill.marks import dangers
from diagnose.errors import BadDocument, DiagnoseError, Place

FORM = 1
"""Of the files that this program writes and reads."""

VARIABLE = "DIAGNOSE_DRILLS"
"""The environment variable that names the folder of trainees' files."""

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
    """The folder given; else the one of the environment; else the user's own."""
    named = given or os.environ.get(VARIABLE)
    return Path(named).expanduser() if named else user_folder().parent / "drills"


@dataclass(frozen=True)
class Trainee:
    """One person's file in a folder of them."""

    name: str
    path: Path

    @classmethod
    def of(cls, name: str = ALONE, folder: Path | None = None) -> Trainee:
        """The file of a name; names that differ only in signs and capitals share one."""
        return cls(line(name), chosen_folder(folder) / f"{slug(name)}.jsonl")

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


def trainees(folder: Path | None = None) -> tuple[tuple[Trainee, ...], tuple[DiagnoseError, ...]]:
    """Every trainee of a folder, by name, and what is wrong with the other files."""
    good, problems = [], []
    for path in sorted(chosen_folder(folder).glob("*.jsonl")):
        try:
            head = (read_lines(path) or [(1, {})])[0][1]
            trainee = Trainee(line(str(head.get("trainee", path.stem))), path)
            trainee.drills()
            good.append(trainee)
        except DiagnoseError as problem:
            problems.append(problem)
    return tuple(good), tuple(problems)


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
