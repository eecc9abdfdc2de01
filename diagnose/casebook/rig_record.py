"""A rig's own readings on the disk: beside its rig file, in a file of their own, only added to.

    trailer.yaml           the rig
    trailer.record.yaml    what it read while it was known to be sound, day by day

A day is added at the end, and what stands there already, remarks too, stays as it is.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from contextlib import suppress
from datetime import date
from pathlib import Path

import yaml

from diagnose.casebook.disk import Lock, plain_trouble, write_whole
from diagnose.casebook.files import read_regular
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.rig import Rig, bundled_rigs
from diagnose.documents import Section, parse
from diagnose.errors import BadDocument, DiagnoseError, Place, quoted
from diagnose.figures import knowledge_folder
from diagnose.reasoning.commissioning import (
    CommissioningRecord,
    parse_date,
    parse_record_line,
    record_line,
)
from diagnose.reasoning.evidence import Measured
from diagnose.strict_yaml import LARGEST

ENDING = ".record.yaml"

HEADER = (
    "# What this rig read while it was known to be sound; the file beside it says what it is.\n"
    "# Added to by: diagnose rig record\n"
)


class NoPlace(DiagnoseError):
    """There is no rig file that a record could stand beside."""


def record_path(rig_file: Path) -> Path:
    """Where the record of a rig stands."""
    return rig_file.with_name(f"{rig_file.stem}{ENDING}")


def own_file(name: str) -> Path | None:
    """The rig file that was named; None for a bundled rig."""
    with suppress(OSError, ValueError):
        path = Path(name)
        if path.is_file() or name not in bundled_rigs():
            return path
    return None


def readings_beside(name: str, rig: Rig) -> CommissioningRecord | None:
    """The record of the rig that was named, where one stands beside its file. Raises DiagnoseError:
    it cannot be read, or is no record of this rig."""
    path = own_file(name)
    if path is None:
        return None
    beside = record_path(path)
    found = read_record(beside, rig) if os.path.lexists(beside) else None
    return found if found and found.count else None


def read_record(path: Path, rig: Rig) -> CommissioningRecord:
    """A record, strictly. Raises DiagnoseError with every problem of the file."""
    return _record(read_regular(path, LARGEST + 1), path, rig)


def _record(text: str | bytes, path: Path, rig: Rig) -> CommissioningRecord:
    document = parse(text, str(path))
    name = document.text("rig")
    if name and name != rig.name:
        said = f"is of {quoted(name)}, and the rig beside it is called {quoted(rig.name)}"
        place = document.place_of("rig")
        document.problem(BadDocument(f"{said}; if it is the same rig, write that here", place))
    found = CommissioningRecord()
    for day in document.sections("record"):
        found = _with_day(found, day, rig)
    document.finish()
    return found


def _with_day(found: CommissioningRecord, day: Section, rig: Rig) -> CommissioningRecord:
    """The readings with those of one entry; what is wrong with it is noted."""
    place = day.place_of("taken")
    try:
        taken = parse_date(day.text("taken"), place)
    except BadDocument as problem:
        day.problem(problem)
        taken = date.min
    for line, where in day.placed("read"):
        try:
            found = found.with_day(
                taken, [parse_record_line(line, shipped_catalogue(), rig, where)]
            )
        except DiagnoseError as problem:
            day.problem(problem if problem.place else BadDocument(problem.message, where))
    return found


def add_readings(
    rig_file: Path, rig: Rig, taken: date, read: Iterable[Measured]
) -> tuple[Path, CommissioningRecord]:
    """Add the readings of a day to the record of a rig; its file, and all that is in it now.

    Raises DiagnoseError, and leaves what was there: one of them is there already with another
    value, the file cannot be read back, or the disk refuses.
    """
    path = record_path(rig_file)
    with Lock(path.with_name(f".{path.name}.lock"), "another program is writing to this record"):
        there = read_regular(path, LARGEST + 1).decode() if os.path.lexists(path) else ""
        before = _record(there, path, rig) if there else CommissioningRecord()
        known = {item.id for item in before.on(taken)}
        whole = before.with_day(taken, read)
        more = [item for item in whole.on(taken) if item.id not in known]
        if not more:
            return path, before
        text = _added(there, rig, taken, more)
        if _read_back(text, path, rig) != whole:
            said = "is not written as this program adds to it; add the readings there by hand"
            raise BadDocument(said, Place(str(path)))
        write_whole(path, text)
    return path, whole


def _read_back(text: str, path: Path, rig: Rig) -> CommissioningRecord | None:
    try:
        return _record(text, path, rig)
    except DiagnoseError:
        return None


def _added(there: str, rig: Rig, taken: date, read: Iterable[Measured]) -> str:
    """The text of the file with one more day at its end."""
    day = {"taken": taken.isoformat(), "read": [record_line(item) for item in read]}
    if there:
        return f"{there.rstrip()}\n{_indented([day])}"
    return f"{HEADER}{_dumped({'rig': rig.name})}record:\n{_indented([day])}"


def _indented(values: object) -> str:
    return "".join(f"  {line}\n" for line in _dumped(values).splitlines())


def _dumped(values: object) -> str:
    text: str = yaml.safe_dump(values, sort_keys=False, allow_unicode=True, width=10_000)
    return text


def copied(name: str, folder: Path) -> Path:
    """The file of a bundled rig in a folder of one's own: a copy, unless one is there already.
    Raises DiagnoseError."""
    path = folder / f"{name}.yaml"
    with plain_trouble(path):
        if os.path.lexists(path):
            return path
        text = (knowledge_folder() / "rigs" / f"{name}.yaml").read_text("utf-8")
    with suppress(FileExistsError):
        write_whole(path, text, new=True)
    return path


def rig_file_for(name: str, into: Path | None) -> Path:
    """The rig file whose record is meant. into: where a bundled rig's copy goes; it is made with
    the first reading, not now. Raises NoPlace."""
    path = own_file(name)
    if path is not None and into is None:
        return path
    if path is not None:
        said = "the record of a rig stands beside its file; take --into away"
        raise NoPlace(said, Place("--into"))
    if into is None:
        said = "comes with the program; name a folder with --into for its record and a copy of it"
        raise NoPlace(said, Place(name))
    return into / f"{name}.yaml"
