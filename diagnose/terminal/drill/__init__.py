"""The commands of the drill: a hidden fault, on the screen and by lines; progress."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.terminal.commands import Json, RigName, argument, calls, command_group, flag, option

Folder = Annotated[
    Path | None,
    option("--folder", "FOLDER", "Where trainees' files are.", envvar="DIAGNOSE_DRILLS"),
]
Level = Annotated[
    int | None, option("--level", "N", "1 clear, 2 look-alikes, 3 hard.", min=1, max=3)
]

app = command_group("drill")


@app.callback(invoke_without_command=True)
@calls("drill.room:drill")
def _drill(
    context: typer.Context,
    rig: Annotated[str, option("--rig", "RIG", "Rig file or bundled rig; else bowser.")] = "",
    level: Level = None,
    group: Annotated[str, option("--group", "GROUP", "Faults of one component group only.")] = "",
    wrong: Annotated[
        bool, flag("--wrong", "What this trainee got wrong, or is due again.")
    ] = False,
    fault: Annotated[str, option("--fault", "ID", "For the teacher: hide this fault.")] = "",
    seed: Annotated[int | None, option("--seed", "N", "The same drill again.", min=0)] = None,
    trainee: Annotated[
        str, option("--trainee", "NAME", "Whose file it goes into; else: me.")
    ] = "me",
    folder: Folder = None,
    json_lines: Annotated[
        bool, flag("--json-lines", "The same as one JSON object a line.")
    ] = False,
) -> None:
    """A drill, where none of the commands below is called."""


@app.command("progress")
@calls("drill.progress:progress")
def _progress(
    name: Annotated[str, argument("[NAME]", "Whose, as it was drilled under.")] = "",
    trainee: Annotated[str, option("--trainee", "NAME", "The same.")] = "",
    folder: Folder = None,
    as_json: Json = False,
) -> None:
    """What was seen, missed and is due again; without a name, everybody in the folder."""


@app.command("check")
@calls("drill.choice:check")
def _check(
    rig: RigName,
    level: Level = None,
    count: Annotated[int, option("--count", "N", "Drills to play.", min=1, max=10_000)] = 40,
    seed: Annotated[int, option("--seed", "N", "The first seed.", min=0)] = 0,
) -> None:
    """How many drills the advised path finds, and how many one who measures at random."""
