"""The command `cases export`: cases for other programs, into a file or onto standard output."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from diagnose.casebook.brief import Filter
from diagnose.casebook.disk import plain_trouble
from diagnose.casebook.export import csv_lines, json_lines
from diagnose.casebook.outputs import check_free, write_out
from diagnose.casebook.record import Case
from diagnose.catalogue.load import shipped_catalogue
from diagnose.errors import DiagnoseError, Place
from diagnose.terminal.cases.opening import Opened, opened
from diagnose.terminal.plain import complain, spelled_out

FORMS = {"csv": csv_lines, "jsonl": json_lines}


class NoForm(DiagnoseError):
    """It was not said in which form the cases are wanted."""


class NotThere(DiagnoseError):
    """An export is not written among the cases themselves."""


def form_of(file: Path | None, as_csv: bool, as_lines: bool) -> str:
    """The form asked for, else the one that the name of the file ends in, else a table. Raises
    NoForm where a name ends in neither, or two forms are asked for."""
    if as_csv and as_lines:
        raise NoForm("say one form: --csv for a table, or --jsonl for whole cases.")
    if as_csv or as_lines:
        return "csv" if as_csv else "jsonl"
    ending = file.suffix.lower().lstrip(".") if file else ""
    if ending and ending not in FORMS:
        raise NoForm(
            f"a name that ends in .{ending} does not say in which form: end it in .csv for a table "
            "or .jsonl for whole cases, or say --csv or --jsonl.",
            Place(str(file)),
        )
    return ending or "csv"


def exported(
    folder: Path | None,
    chosen: Filter,
    form: str,
    file: Path | None,
    notes: bool,
    force: bool = False,
) -> None:
    """Raises DiagnoseError; a file that was there is then as it was."""
    target = None if file in (None, Path("-")) else file
    with opened(folder, chosen) as here:
        if target is not None:
            _check(target, here)
            check_free(target, force)
        lines = FORMS[form](_cases(here), None if notes else shipped_catalogue())
        if target is None:
            spelled_out(sys.stdout)
            sys.stdout.writelines(lines)
            return
        write_out(target, "".join(lines), force)
        count = len(here.briefs)
        complain(f"{count} case{'s' * (count != 1)} written to {target}.")


def _check(target: Path, here: Opened) -> None:
    with plain_trouble(target):
        inside = target.resolve().is_relative_to(here.casebook.folder.resolve())
    if inside:
        raise NotThere("is in the casebook itself; choose another folder", Place(str(target)))


def _cases(here: Opened) -> Iterator[Case]:
    """The cases wanted, in full; one that has become unreadable meanwhile is named."""
    for brief in here.briefs:
        try:
            yield here.casebook.load(brief.id)
        except DiagnoseError as problem:
            complain(str(problem))
