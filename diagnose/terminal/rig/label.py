"""The command rig label: a label to stick on the rig, as a picture to print at its own size."""

from __future__ import annotations

import math
import re
import sys
from contextlib import suppress
from pathlib import Path

from diagnose.casebook.files import read_regular
from diagnose.casebook.outputs import check_free, write_out
from diagnose.casebook.rig_record import own_file, readings_beside
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.bounds import Bound
from diagnose.circuit.rig import rig_called
from diagnose.errors import DiagnoseError, Place
from diagnose.figures import knowledge_folder
from diagnose.report.label import Label
from diagnose.report.label_svg import (
    NARROWEST,
    WIDEST,
    label_svg,
    room_for_code,
    width_for_code,
)
from diagnose.report.qr import MOST_BYTES
from diagnose.report.sheet import Sheet
from diagnose.strict_yaml import LARGEST
from diagnose.terminal.plain import Screen, complain, patience

WIDTH = Bound("label.width", NARROWEST, WIDEST, "mm")

ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:[!-~]+")
"""What an address is; RFC 3986: a scheme, a colon, and signs of ASCII that can be seen."""


class NoCode(DiagnoseError):
    """An address that no code on the label can hold, or that is none."""


def label(rig: str, out: Path | None, address: str, width: str, force: bool) -> None:
    """The picture to standard output, or into a file. Raises DiagnoseError."""
    here = rig_called(rig)
    wide = WIDTH.read(width, "mm", Place("--width"))
    screen = Screen.standard()
    if out is None and screen.console.is_terminal:
        out = Path(f"{Path(rig).stem}-label.svg")
    if out is not None:
        check_free(out, force)
    book = for_rig(shipped_catalogue(), here)
    text = "" if address else _text(rig)
    made = Label(Sheet(here, book, readings_beside(rig, here)), _checked(address), text)
    missing = _missing(made, wide)
    if missing and address:
        raise NoCode(missing, Place("--address"))
    with patience("Working out what it should read"):
        picture = label_svg(made, wide)
    if missing:
        complain(missing)
    if out is None:
        sys.stdout.write(picture)
        return
    write_out(out, picture, force)
    screen.say(f"Written: {out}. Print it at its own size, not fitted to the page.")


def _checked(address: str) -> str:
    """Raises NoCode for what no phone could open."""
    if address and not ADDRESS.fullmatch(address):
        raise NoCode(
            "should be a whole address, such as https://example.org/pump, other letters and spaces "
            "as %XX",
            Place("--address"),
        )
    return address


def _text(rig: str) -> str:
    """The rig file that was named, as text; "" where it can be read only once."""
    with suppress(DiagnoseError):
        file = own_file(rig) or knowledge_folder() / "rigs" / f"{rig}.yaml"
        return read_regular(file, LARGEST).decode("utf-8", "replace")
    return ""


def _missing(made: Label, wide: float) -> str:
    """Why there is no code on the label, and what to do, in a sentence; "" where there is one."""
    code, room = made.code, room_for_code(wide)
    if code is not None and code.smallest <= room:
        return ""
    if not made.content:
        why = "the rig file could not be read a second time"
    elif code is None:
        why = f"it is longer than the {MOST_BYTES:,} bytes that a code holds"
    else:
        why = f"its code needs {code.smallest:.0f} mm, and this label has room for {room:.0f}"
    wider = math.ceil(width_for_code(code)) if code is not None else WIDEST + 1
    more = f"say --width {wider}" if wider <= WIDEST else ""
    if made.address:
        return f"{why}; {' or '.join(filter(None, (more, 'give a shorter one')))}."
    other = "put the file where it can be fetched and say --address URL"
    steps = " or ".join(filter(None, (more, other)))
    return f"There is no code of the rig file on the label: {why}; {steps}."
