"""The command rig sheet: one or two pages for whoever builds the rig."""

from __future__ import annotations

from pathlib import Path

from diagnose.casebook.outputs import check_free, write_out
from diagnose.catalogue.expanding import for_rig
from diagnose.catalogue.load import shipped_catalogue
from diagnose.report.sheet import Sheet
from diagnose.terminal.options import own_readings, rig_called
from diagnose.terminal.plain import Screen, patience

PAGES = (".html", ".htm")
"""Endings of a file that is written as a page to print; any other is plain text."""


def sheeted(rig_name: str, out: Path | None, ascii_only: bool, force: bool) -> None:
    """On the screen, or into a file. Raises DiagnoseError."""
    rig = rig_called(rig_name)
    sheet = Sheet(rig, for_rig(shipped_catalogue(), rig), own_readings(rig_name, rig))
    screen = Screen.standard()
    if out is None:
        for line in _text(sheet, ascii_only or not screen.console.encoding.startswith("utf")):
            screen.line(line)
        return
    check_free(out, force)
    write_out(out, _body(sheet, out, ascii_only), force)
    screen.say(f"Written: {out}")


def _body(sheet: Sheet, out: Path, ascii_only: bool) -> str:
    if out.suffix.lower() not in PAGES:
        return "\n".join(_text(sheet, ascii_only)) + "\n"
    from diagnose.report.sheet_html import sheet_html

    with patience("Writing the sheet"):
        return sheet_html(sheet)


def _text(sheet: Sheet, ascii_only: bool) -> list[str]:
    from diagnose.report.sheet_text import sheet_text

    with patience("Working out what it should read"):
        return sheet_text(sheet, ascii_only).splitlines()
