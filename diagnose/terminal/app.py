"""The commands: options in, one call, one view, exit status out."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, cast

import typer

from diagnose.terminal import options
from diagnose.terminal.cases.app import cases_app
from diagnose.terminal.drill.app import drill_app
from diagnose.terminal.outermost import open_standard_streams, status_of
from diagnose.terminal.plain import BROKEN_OFF, MISTAKE, complain, plain_complaints
from diagnose.terminal.rig.app import rig_app

app = typer.Typer(
    name="diagnose",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.add_typer(rig_app, name="rig")
app.add_typer(cases_app, name="cases")
app.add_typer(drill_app, name="drill")
DISTRIBUTION = "pump-circuit-diagnose"
"""The name under which this is installed."""

UsageMistake = cast(type[Exception], typer.BadParameter.__bases__[0])
"""What typer raises when a command is called wrongly; some versions of it bring their own."""


def _version(wanted: bool) -> None:
    """Show which version this is, and the Python that runs it, for a report of a mistake."""
    if not wanted:
        return
    from importlib import metadata

    try:
        number = metadata.version(DISTRIBUTION)
    except metadata.PackageNotFoundError:
        number = "from a checkout"
    typer.echo(f"diagnose {number}, Python {sys.version.split()[0]} on {sys.platform}")
    raise typer.Exit


@app.callback(invoke_without_command=True)
def diagnose(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    """Finds the one true cause of a fault in a 12 V pump circuit, question by question.

    RIG is a rig file or the name of a bundled rig. Start with: diagnose walk
    """
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@app.command()
def walk(
    rig: Annotated[
        str | None,
        typer.Argument(metavar="RIG", help="Rig file or bundled rig; without it you are asked."),
    ] = None,
    json_lines: Annotated[
        bool, typer.Option("--json-lines", help="The same as one JSON object a line.")
    ] = False,
    complaint: Annotated[
        str,
        typer.Option("--complaint", metavar="TEXT", help="What is the matter, in your own words."),
    ] = "",
    seen: options.Seen = None,
    read: options.Read = None,
    answers: options.Answers = None,
    casebook: options.CasebookFolder = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on with a walk that was broken off.")
    ] = False,
    no_learning: options.NoLearning = False,
    made_safe: options.MadeSafe = None,
    at: options.At = "",
    having: options.Having = "",
) -> None:
    """Question by question to a ranked cause, a fix and a saved case."""
    with plain_complaints():
        from diagnose.terminal.walk import command as walking

        given = walking.Given(
            rig,
            seen,
            read,
            answers,
            casebook,
            resume,
            not no_learning,
            complaint.strip(),
            made_safe,
            options.able(at, having),
        )
        status = walking.by_lines(given) if json_lines else walking.on_screen(given)
        raise typer.Exit(status)


@app.command()
def rank(
    rig: options.RigName,
    seen: options.Seen = None,
    read: options.Read = None,
    answers: options.Answers = None,
    as_json: options.Json = False,
    casebook: options.CasebookFolder = None,
    no_learning: options.NoLearning = False,
    made_safe: options.MadeSafe = None,
) -> None:
    """Rank the likely faults at once, from what was seen and read."""
    with plain_complaints():
        from diagnose.terminal.walk import command as walking

        given = walking.Given(
            rig, seen, read, answers, casebook, learning=not no_learning, made_safe=made_safe
        )
        walking.ranked(given, as_json)


@app.command()
def expect(
    rig: options.RigName,
    fault: Annotated[
        str, typer.Option("--fault", metavar="ID", help="Beside it, a rig with this fault.")
    ] = "",
    severity: Annotated[
        str, typer.Option("--severity", metavar="HOW", help="mild, middling or severe.")
    ] = "middling",
    as_json: options.Json = False,
) -> None:
    """What every test point should read; --fault for a faulty rig."""
    with plain_complaints():
        from diagnose.terminal.rig.expect import expected

        expected(rig, fault, severity, as_json)


@app.command()
def handbook(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="Failure mode, test, lesson or group.")
    ] = "",
    rig: Annotated[
        str, typer.Option("--rig", metavar="RIG", help="Compute it for this rig; else bowser.")
    ] = "",
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="The whole book as one page.")
    ] = None,
    force: options.Force = False,
) -> None:
    """The knowledge, readable: what each fault is, shows and reads, and how to test safely."""
    with plain_complaints():
        from diagnose.terminal.handbook import handbook as handbook_screen

        if html is not None:
            handbook_screen.written(html, rig, force)
        else:
            handbook_screen.read(name, rig)


@app.command()
def lint(
    quick: Annotated[
        bool, typer.Option("--quick", help="The files only, not what no test separates.")
    ] = False,
) -> None:
    """Check the knowledge: every mistake, and what no test separates."""
    with plain_complaints():
        from diagnose.terminal.handbook.lint import linted

        raise typer.Exit(linted(quick))


@app.command()
def study(
    cases: Annotated[int, typer.Option("--cases", metavar="N", help="Faults to play.")] = 2000,
    quick: Annotated[bool, typer.Option("--quick", help="A minute's worth only.")] = False,
    seed: Annotated[int, typer.Option("--seed", metavar="N", help="The same again.")] = 1,
    wrong: Annotated[
        float, typer.Option("--wrong", metavar="SHARE", help="Share of answers that are wrong.")
    ] = 0.05,
    world: Annotated[
        str, typer.Option("--world", metavar="NAME", help="By whose laws: home, other or both.")
    ] = "both",
    evenly: Annotated[
        bool, typer.Option("--evenly", help="Every failure mode as often as the others.")
    ] = False,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="For report.md and report.json.")
    ] = None,
    force: options.Force = False,
    at: options.At = "",
    having: options.Having = "",
    as_json: options.Json = False,
) -> None:
    """How good the ranking is: invented faults on invented rigs, walked and scored."""
    with plain_complaints():
        from diagnose.terminal.handbook.study import studied

        able = options.able(at, having)
        studied(cases, quick, seed, wrong, out, as_json, world, evenly, force, able)


def main() -> None:
    """The command `diagnose`: never a traceback for what a person can type."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small sums: threads cost more than they do
    open_standard_streams()
    sys.exit(status_of(_commanded))


def _commanded() -> object:
    """Do what stands on the command line; its status. Raises OSError for what nobody foresaw."""
    try:
        return app(standalone_mode=False)
    except UsageMistake as mistake:
        complain(_usage(mistake))
        return MISTAKE
    except typer.Abort:
        return BROKEN_OFF


def _usage(mistake: Exception) -> str:
    """One sentence, and where help is."""
    said = getattr(mistake, "format_message", mistake.__str__)()
    context = getattr(mistake, "ctx", None)
    path = context.command_path if context else "diagnose"
    return f"{' '.join(said.split()).rstrip('.')}. See: {path} --help"
