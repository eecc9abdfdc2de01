"""The commands `drill`, `drill progress` and `drill check`: options in, one call."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.terminal import options
from diagnose.terminal.plain import MISTAKE, plain_complaints

drill_app = typer.Typer(
    rich_markup_mode=None, help="A hidden fault to find, as on a real rig; scored."
)

Folder = Annotated[
    Path | None,
    typer.Option(
        "--folder", metavar="FOLDER", envvar="DIAGNOSE_DRILLS", help="Where trainees' files are."
    ),
]
Trainee = Annotated[
    str, typer.Option("--trainee", metavar="NAME", help="Whose file it goes into; else: me.")
]
Level = Annotated[
    int | None,
    typer.Option("--level", metavar="N", min=1, max=3, help="1 clear, 2 look-alikes, 3 hard."),
]


@drill_app.callback(invoke_without_command=True)
def drill(
    context: typer.Context,
    rig: Annotated[
        str, typer.Option("--rig", metavar="RIG", help="Rig file or bundled rig; else bowser.")
    ] = "",
    level: Level = None,
    group: Annotated[
        str, typer.Option("--group", metavar="GROUP", help="Faults of one component group only.")
    ] = "",
    wrong: Annotated[
        bool, typer.Option("--wrong", help="What this trainee got wrong, or is due again.")
    ] = False,
    fault: Annotated[
        str, typer.Option("--fault", metavar="ID", help="For the teacher: hide this fault.")
    ] = "",
    seed: Annotated[
        int | None, typer.Option("--seed", metavar="N", min=0, help="The same drill again.")
    ] = None,
    trainee: Trainee = "me",
    folder: Folder = None,
    json_lines: Annotated[
        bool, typer.Option("--json-lines", help="The same as one JSON object a line.")
    ] = False,
) -> None:
    """A hidden fault to find: look, measure, conclude. With the same seed, the same drill."""
    if context.invoked_subcommand is not None:
        return
    with plain_complaints():
        from diagnose.terminal.drill.choice import Asked

        asked = Asked(rig, level or 0, group, wrong, fault, seed, trainee, folder)
        if json_lines:
            from diagnose.terminal.drill.lines import drilled_by_lines

            raise typer.Exit(0 if drilled_by_lines(asked) else MISTAKE)
        from diagnose.terminal.drill.room import drilled_on_screen

        raise typer.Exit(drilled_on_screen(asked))


@drill_app.command()
def progress(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="Whose, as it was drilled under.")
    ] = "",
    trainee: Annotated[str, typer.Option("--trainee", metavar="NAME", help="The same.")] = "",
    folder: Folder = None,
    as_json: options.Json = False,
) -> None:
    """What was seen, missed and is due again; without a name, everybody in the folder."""
    with plain_complaints():
        from diagnose.terminal.drill.progress import progressed

        progressed(name, trainee, folder, as_json)


@drill_app.command()
def check(
    rig: options.RigName,
    level: Level = None,
    count: Annotated[
        int, typer.Option("--count", metavar="N", min=1, max=10_000, help="Drills to play.")
    ] = 40,
    seed: Annotated[int, typer.Option("--seed", metavar="N", min=0, help="The first seed.")] = 0,
) -> None:
    """How many drills the advised path finds, and how many one who measures at random."""
    with plain_complaints():
        from diagnose.terminal.drill.check import checked

        checked(rig, level or 1, count, seed)
