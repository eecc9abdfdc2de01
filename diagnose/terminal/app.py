"""The program: its streams, its commands, and its exit status.

0 done; 1 the output could not be written in full, or what a command says of itself (lint: mistakes;
rig check: unsafe); 2 a mistake in what was given, or a file that refuses; 130 broken off. Where a
reader goes away the output ends with 1 and without a word, as the documentation of Python's module
`signal` advises (from memory). Errors that nobody can read change no status.
"""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path
from typing import Annotated, cast

import typer

from diagnose.terminal.commands import (
    Answers,
    At,
    CasebookFolder,
    Force,
    Having,
    Json,
    MadeSafe,
    NoLearning,
    Program,
    Read,
    RigName,
    Seen,
    argument,
    calls,
    flag,
    option,
)
from diagnose.terminal.plain import (
    BROKEN_OFF,
    MISTAKE,
    UNWRITTEN,
    complain,
    sentence,
    to_nowhere,
)

app = typer.Typer(
    name="diagnose",
    cls=Program,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
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
@calls("walk.command:walk")
def walk(
    rig: Annotated[
        str | None, argument("RIG", "Rig file or bundled rig; without it you are asked.")
    ] = None,
    json_lines: Annotated[
        bool, flag("--json-lines", "The same as one JSON object a line.")
    ] = False,
    complaint: Annotated[
        str, option("--complaint", "TEXT", "What is the matter, in your own words.")
    ] = "",
    seen: Seen = None,
    read: Read = None,
    answers: Answers = None,
    casebook: CasebookFolder = None,
    resume: Annotated[bool, flag("--resume", "Go on with a walk that was broken off.")] = False,
    no_learning: NoLearning = False,
    made_safe: MadeSafe = None,
    at: At = "",
    having: Having = "",
    sent: Annotated[
        str, option("--from", "TEXT", "What a page sent back: text, a file, or - for input.")
    ] = "",
) -> None:
    """Question by question to a ranked cause, a fix and a saved case."""


@app.command()
@calls("walk.command:rank")
def rank(
    rig: RigName,
    seen: Seen = None,
    read: Read = None,
    answers: Answers = None,
    as_json: Json = False,
    casebook: CasebookFolder = None,
    no_learning: NoLearning = False,
    made_safe: MadeSafe = None,
) -> None:
    """Rank the likely faults at once, from what was seen and read."""


@app.command()
@calls("serve:serve")
def serve(
    rigs: Annotated[
        list[str] | None, argument("[RIG]...", "Rigs that are offered; else those bundled.")
    ] = None,
    port: Annotated[int, option("--port", "N", "Where to listen; 0 for any that is free.")] = 8712,
    share: Annotated[
        bool, flag("--share", "On the shop's network too, under an address nobody guesses.")
    ] = False,
    casebook: CasebookFolder = None,
    no_learning: NoLearning = False,
) -> None:
    """The same walk on a phone: a server for this machine, or with --share for the shop."""


@app.command()
@calls("rig.expect:expect")
def expect(
    rig: RigName,
    fault: Annotated[str, option("--fault", "ID", "Beside it, a rig with this fault.")] = "",
    severity: Annotated[str, option("--severity", "HOW", "mild, middling or severe.")] = "middling",
    as_json: Json = False,
) -> None:
    """What every test point should read; --fault for a faulty rig."""


@app.command()
@calls("handout:page")
def page(
    rig: RigName,
    out: Annotated[
        Path | None, option("--out", "FILE", "Where to write it; else by the rig's name.")
    ] = None,
    depth: Annotated[int, option("--depth", "N", "Most questions of a branch.")] = 8,
    complaint: Annotated[
        list[str] | None, option("--complaint", "TEXT", "Only this one: its id, or words of it.")
    ] = None,
    at: At = "",
    having: Having = "",
    casebook: CasebookFolder = None,
    no_learning: NoLearning = False,
    force: Force = False,
) -> None:
    """A page for a customer's phone that walks this rig without a network."""


@app.command()
@calls("handbook.handbook:handbook")
def handbook(
    name: Annotated[str, argument("[NAME]", "Failure mode, test, lesson or group.")] = "",
    rig: Annotated[str, option("--rig", "RIG", "Compute it for this rig; else bowser.")] = "",
    html: Annotated[Path | None, option("--html", "FILE", "The whole book as one page.")] = None,
    force: Force = False,
) -> None:
    """The knowledge, readable: what each fault is, shows and reads, and how to test safely."""


@app.command()
@calls("handbook.quality:lint")
def lint(
    quick: Annotated[bool, flag("--quick", "The files only, not what no test separates.")] = False,
) -> None:
    """Check the knowledge: every mistake, and what no test separates."""


@app.command()
@calls("handbook.quality:study")
def study(
    cases: Annotated[int, option("--cases", "N", "Faults to play.")] = 2000,
    quick: Annotated[bool, flag("--quick", "A minute's worth only.")] = False,
    seed: Annotated[int, option("--seed", "N", "The same again.")] = 1,
    wrong: Annotated[float, option("--wrong", "SHARE", "Share of answers that are wrong.")] = 0.05,
    evenly: Annotated[bool, flag("--evenly", "Every failure mode as often as the others.")] = False,
    out: Annotated[Path | None, option("--out", "FOLDER", "For report.md and report.json.")] = None,
    force: Force = False,
    at: At = "",
    having: Having = "",
    as_json: Json = False,
) -> None:
    """How good the ranking is: invented faults on invented rigs, walked and scored."""


def main() -> None:
    """The command `diagnose`: never a traceback for what a person can type."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small sums: threads cost more than they do
    open_standard_streams()
    try:
        status = _called()
    except OSError as error:
        status = _refused(error)
    sys.exit(_written_out(status))


def open_standard_streams() -> None:
    """Give a closed standard stream something that refuses in its place. Otherwise the next file
    that is opened takes its number, and output would be written into that file."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            the_wrong_way = os.O_WRONLY if mode == "r" else os.O_RDONLY
            number = os.open(os.devnull, the_wrong_way)
            setattr(sys, name, os.fdopen(number, mode, encoding="utf-8"))


def _called() -> int:
    """Do what stands on the command line; its status. Raises OSError for what nobody foresaw."""
    try:
        status = app(standalone_mode=False)
    except UsageMistake as mistake:
        complain(_usage(mistake))
        return MISTAKE
    except (typer.Abort, KeyboardInterrupt):
        return BROKEN_OFF
    return status if isinstance(status, int) else 0


def _usage(mistake: Exception) -> str:
    """One sentence, and where help is."""
    said = getattr(mistake, "format_message", mistake.__str__)()
    context = getattr(mistake, "ctx", None)
    path = context.command_path if context else "diagnose"
    return f"{' '.join(said.split()).rstrip('.')}. See: {path} --help"


def _refused(error: OSError) -> int:
    """What the system refused: a file, which has a name, or else the output."""
    if isinstance(error.filename, str | bytes):
        from diagnose.casebook.disk import trouble

        path = Path(os.fsdecode(error.filename))
        complain(sentence(trouble(error, path)))
        return MISTAKE
    _tell_lost(error)
    return UNWRITTEN


def _written_out(status: int) -> int:
    """The status, once all that was said has left; UNWRITTEN in place of 0 where it has not."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError) as error:
        _tell_lost(error)
        status = status or UNWRITTEN
    try:  # nothing that standard error would not take is left waiting
        sys.stderr.flush()
    except (OSError, ValueError):
        to_nowhere(sys.stderr)
    return status


def _tell_lost(error: OSError | ValueError) -> None:
    """Say that output is lost, unless its reader went away; the interpreter then ends in peace."""
    number = getattr(error, "errno", None)
    to_nowhere(sys.stdout)
    if number != errno.EPIPE:
        closed = number in (None, errno.EBADF)
        reason = "it is closed" if closed else os.strerror(number or 0)
        complain(f"The output could not be written in full: {reason}.")
