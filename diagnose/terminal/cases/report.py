"""The command `cases report`: one case as a page to print."""

from __future__ import annotations

from pathlib import Path

from diagnose.casebook.outputs import check_free, write_out
from diagnose.casebook.store import Casebook
from diagnose.catalogue.load import shipped_catalogue
from diagnose.errors import DiagnoseError, Place
from diagnose.report.case_html import case_html
from diagnose.terminal.plain import Screen


class NotAPage(DiagnoseError):
    """A report goes into a file of its own kind, so that it cannot replace a case by mistake."""


def reported(
    folder: Path | None, name: str, file: Path | None, notes: bool, force: bool = False
) -> None:
    """Raises DiagnoseError: no such case, a broken file, or one that cannot be written."""
    casebook = Casebook.open(folder)
    case = casebook.load(casebook.find(name))
    target = file or Path(f"{case.id}.html")
    if target.suffix.lower() not in (".html", ".htm"):
        raise NotAPage("a report is a page; let its name end in .html", Place(str(target)))
    check_free(target, force)
    write_out(target, case_html(case, shipped_catalogue(), notes), force)
    Screen.standard().say(f"Written: {target}")
