"""The commands of `rig`: check, draw, new, record, sheet and size, one call each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.terminal import options
from diagnose.terminal.plain import plain_complaints

rig_app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Describe, check, draw or size a rig."
)

Insulation = Annotated[
    str, typer.Option("--insulation", metavar="C", help="Class printed on the wire, as 105 degC.")
]
Air = Annotated[
    str, typer.Option("--air", metavar="C", help="Air round the wires; 50 degC beside an engine.")
]
Bundle = Annotated[
    str, typer.Option("--bundle", metavar="N", help="Wires in one bundle that carry current.")
]


@rig_app.command()
def check(
    rig: options.RigName,
    insulation: Insulation = "",
    air: Air = "",
    bundle: Bundle = "",
    duty: Annotated[
        str, typer.Option("--duty", metavar="TIME", help="Pumping between two charges, as 2 h.")
    ] = "",
    switch_rating: Annotated[
        str, typer.Option("--switch-rating", metavar="A", help="Printed on the switch.")
    ] = "",
    sheathed: Annotated[
        bool, typer.Option("--sheathed", help="The wire up to the main fuse lies in a sheath.")
    ] = False,
    ask: Annotated[
        bool, typer.Option("--ask", help="Ask first for what only a look at the rig shows.")
    ] = False,
    as_json: options.Json = False,
) -> None:
    """Check a rig's design. Exit status 1 when something is unsafe."""
    with plain_complaints():
        from diagnose.terminal.rig.check import checked
        from diagnose.terminal.rig.site import site_from

        where = site_from(insulation, air, bundle, duty, switch_rating, sheathed)
        raise typer.Exit(checked(options.rig_called(rig), where, ask, as_json))


@rig_app.command()
def draw(
    rig: options.RigName,
    ascii_only: Annotated[
        bool, typer.Option("--ascii", help="Draw with plain ASCII letters.")
    ] = False,
    svg: Annotated[
        Path | None, typer.Option("--svg", metavar="FILE", help="Write a picture instead.")
    ] = None,
    reading: Annotated[
        str, typer.Option("--reading", metavar="'RED BLACK'", help="Mark where the probes go.")
    ] = "",
    expect: Annotated[
        bool, typer.Option("--expect", help="The healthy volts of each point, pump asked to run.")
    ] = False,
    force: options.Force = False,
) -> None:
    """Draw a rig's circuit with its test points."""
    with plain_complaints():
        from diagnose.terminal.rig.draw import drawn

        drawn(options.rig_called(rig), ascii_only, svg, reading, expect, force)


@rig_app.command()
def new(
    file: Annotated[
        Path | None, typer.Argument(metavar="[FILE]", help="Where to write; else it is asked.")
    ] = None,
) -> None:
    """Describe a rig by answering, and write its file."""
    with plain_complaints():
        from diagnose.terminal.rig.new import new_rig

        raise typer.Exit(new_rig(file))


@rig_app.command()
def record(
    rig: options.RigName,
    read: options.Read = None,
    file: Annotated[
        Path | None, typer.Option("--from", metavar="FILE", help="YAML with read: (a list).")
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option("--into", metavar="FOLDER", help="For a bundled rig: where its copy goes."),
    ] = None,
    on: Annotated[
        str, typer.Option("--on", metavar="DATE", help="The day it was read; else today.")
    ] = "",
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Keep what hardly any sound rig reads.")
    ] = False,
) -> None:
    """Record what a rig reads while it is sound, to hold it against that later.

    Without --read and --from the readings are asked for one by one. They stand beside the rig file,
    as NAME.record.yaml, and are only added to.
    """
    with plain_complaints():
        from diagnose.terminal.rig.record import Given
        from diagnose.terminal.rig.record import record as recorded

        given = Given(rig, tuple(read or ()), file, into, on, anyway)
        raise typer.Exit(recorded(given))


@rig_app.command()
def sheet(
    rig: options.RigName,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Write it: .html to print, else plain text."),
    ] = None,
    ascii_only: Annotated[
        bool, typer.Option("--ascii", help="Draw with plain ASCII letters.")
    ] = False,
    force: options.Force = False,
) -> None:
    """A build sheet: drawing, parts, wire, what it should read, checks and cautions."""
    with plain_complaints():
        from diagnose.terminal.rig.sheet import sheeted

        sheeted(rig, out, ascii_only, force)


@rig_app.command()
def size(
    current: Annotated[
        str, typer.Option("--current", metavar="A", help="The pump's running current, as 14 A.")
    ],
    length: Annotated[
        str, typer.Option("--length", metavar="L", help="Wire one way, as 12 ft or 4 m.")
    ],
    units: Annotated[
        list[str] | None, typer.Argument(metavar="[UNITS]", help="Units left outside quotes.")
    ] = None,
    insulation: Insulation = "",
    air: Air = "",
    bundle: Bundle = "",
    as_json: options.Json = False,
) -> None:
    """Wire, fuse and relay for a current and a length, without a rig file."""
    with plain_complaints():
        from diagnose.terminal.rig.site import site_from, with_units
        from diagnose.terminal.rig.size import sized

        typed = [(current, "A"), (length, "ft"), (insulation, "degC"), (air, "degC")]
        current, length, insulation, air = with_units(typed, units or [])
        sized(current, length, lambda: site_from(insulation, air, bundle), as_json)
