"""The commands for a rig: described, checked, drawn, sized, and what it reads while sound."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from diagnose.terminal.commands import (
    Force,
    Json,
    Read,
    RigName,
    argument,
    calls,
    command_group,
    flag,
    option,
)

Insulation = Annotated[str, option("--insulation", "C", "Class printed on the wire, as 105 degC.")]
Air = Annotated[str, option("--air", "C", "Air round the wires; 50 degC beside an engine.")]
Bundle = Annotated[str, option("--bundle", "N", "Wires in one bundle that carry current.")]
Ascii = Annotated[bool, flag("--ascii", "Draw with plain ASCII letters.")]

app = command_group("rig", no_args_is_help=True)


@app.command("check")
@calls("rig.check:check")
def _check(
    rig: RigName,
    insulation: Insulation = "",
    air: Air = "",
    bundle: Bundle = "",
    duty: Annotated[str, option("--duty", "TIME", "Pumping between two charges, as 2 h.")] = "",
    switch_rating: Annotated[str, option("--switch-rating", "A", "Printed on the switch.")] = "",
    sheathed: Annotated[
        bool, flag("--sheathed", "The wire up to the main fuse lies in a sheath.")
    ] = False,
    with_questions: Annotated[
        bool, flag("--ask", "Ask first for what only a look at the rig shows.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Check a rig's design. Exit status 1 when something is unsafe."""


@app.command("draw")
@calls("rig.describe:draw")
def _draw(
    rig: RigName,
    ascii_only: Ascii = False,
    svg: Annotated[Path | None, option("--svg", "FILE", "Write a picture instead.")] = None,
    reading: Annotated[str, option("--reading", "'RED BLACK'", "Mark where the probes go.")] = "",
    expect: Annotated[
        bool, flag("--expect", "The healthy volts of each point, pump asked to run.")
    ] = False,
    force: Force = False,
) -> None:
    """Draw a rig's circuit with its test points."""


@app.command("label")
@calls("rig.label:label")
def _label(
    rig: RigName,
    out: Annotated[
        Path | None, option("--out", "FILE", "Write it there; else RIG-label.svg, or to a pipe.")
    ] = None,
    address: Annotated[
        str, option("--address", "URL", "Where its code leads to; else it holds the rig file.")
    ] = "",
    width: Annotated[str, option("--width", "MM", "Of the label, 60 to 200.")] = "100",
    force: Force = False,
) -> None:
    """A label to stick on the rig: fuses, wire, what it should read, and a code for a phone."""


@app.command("new")
@calls("rig.describe:new")
def _new(
    file: Annotated[Path | None, argument("[FILE]", "Where to write; else it is asked.")] = None,
) -> None:
    """Describe a rig by answering, and write its file."""


@app.command("record")
@calls("rig.record:record")
def _record(
    rig: RigName,
    read: Read = None,
    file: Annotated[Path | None, option("--from", "FILE", "YAML with read: (a list).")] = None,
    into: Annotated[
        Path | None, option("--into", "FOLDER", "For a bundled rig: where its copy goes.")
    ] = None,
    on: Annotated[str, option("--on", "DATE", "The day it was read; else today.")] = "",
    anyway: Annotated[bool, flag("--anyway", "Keep what hardly any sound rig reads.")] = False,
) -> None:
    """Record what a rig reads while it is sound, to hold it against that later.

    Without --read and --from the readings are asked for one by one. They stand beside the rig file,
    as NAME.record.yaml, and are only added to.
    """


@app.command("sheet")
@calls("rig.expect:sheet")
def _sheet(
    rig: RigName,
    out: Annotated[
        Path | None, option("--out", "FILE", "Write it: .html to print, else plain text.")
    ] = None,
    ascii_only: Ascii = False,
    force: Force = False,
) -> None:
    """A build sheet: drawing, parts, wire, what it should read, checks and cautions."""


@app.command("size")
@calls("rig.size:size")
def _size(
    current: Annotated[str, option("--current", "A", "The pump's running current, as 14 A.")],
    length: Annotated[str, option("--length", "L", "Wire one way, as 12 ft or 4 m.")],
    units: Annotated[list[str] | None, argument("[UNITS]", "Units left outside quotes.")] = None,
    insulation: Insulation = "",
    air: Air = "",
    bundle: Bundle = "",
    as_json: Json = False,
) -> None:
    """Wire, fuse and relay for a current and a length, without a rig file."""
