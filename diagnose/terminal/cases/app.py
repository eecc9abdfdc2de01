"""The commands `cases list`, `show`, `close`, `review` and the others: one call each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.terminal import options
from diagnose.terminal.plain import plain_complaints

cases_app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="The shop's finished and open repairs."
)

Name = Annotated[
    str, typer.Argument(metavar="CASE", help="The id of a case, or a part that only it has.")
]
Since = Annotated[str, typer.Option("--since", metavar="DAY", help="Opened from 2026-03-02 on.")]
Until = Annotated[str, typer.Option("--until", metavar="DAY", help="Opened up to that day.")]
RigPart = Annotated[str, typer.Option("--rig", metavar="NAME", help="A part of the rig's name.")]
Group = Annotated[
    str, typer.Option("--group", metavar="GROUP", help="Component group, such as main-fuse.")
]
Mode = Annotated[str, typer.Option("--mode", metavar="ID", help="Failure mode that it was.")]
Status = Annotated[
    str, typer.Option("--status", metavar="STATUS", help="open, closed or reopened.")
]
Everything = Annotated[bool, typer.Option("--all", help="Every line, not only the first ones.")]


@cases_app.command("list")
def listing(
    since: Since = "",
    until: Until = "",
    rig: RigPart = "",
    group: Group = "",
    mode: Mode = "",
    status: Status = "",
    everything: Everything = False,
    casebook: options.CasebookFolder = None,
) -> None:
    """The cases, newest first."""
    with plain_complaints():
        from diagnose.terminal.cases.listing import listed
        from diagnose.terminal.cases.opening import wanted

        listed(casebook, wanted(since, until, rig, group, mode, status), everything)


@cases_app.command()
def show(name: Name, casebook: options.CasebookFolder = None) -> None:
    """Everything about one case."""
    with plain_complaints():
        from diagnose.terminal.cases.show import shown

        shown(casebook, name)


@cases_app.command()
def report(
    name: Name,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Where to write; else CASE.html.")
    ] = None,
    notes: Annotated[
        bool,
        typer.Option(
            "--notes",
            help="With what somebody wrote in words of their own, as in an export with --notes.",
        ),
    ] = False,
    force: options.Force = False,
    casebook: options.CasebookFolder = None,
) -> None:
    """One case as a page that prints on two sheets."""
    with plain_complaints():
        from diagnose.terminal.cases.report import reported

        reported(casebook, name, html, notes, force)


@cases_app.command()
def close(
    name: Annotated[
        str,
        typer.Argument(metavar="[CASE]", help="As for show; without it you are asked which."),
    ] = "",
    cause: Annotated[
        str,
        typer.Option(
            "--cause", metavar="ID", help="What it was: a failure mode or not-in-the-book"
        ),
    ] = "",
    words: Annotated[
        str, typer.Option("--words", metavar="TEXT", help="What it was, in your own words.")
    ] = "",
    confirmed_by: Annotated[
        str,
        typer.Option(
            "--confirmed-by",
            metavar="HOW",
            help="How it is known: part-swapped, verification or none.",
        ),
    ] = "",
    measured: Annotated[
        str,
        typer.Option(
            "--measured", metavar="VALUE", help="What the proving reading of that cause shows now."
        ),
    ] = "",
    runs: Annotated[
        str,
        typer.Option(
            "--runs", metavar="yes|no", help="With --measured: whether the pump does its job again."
        ),
    ] = "",
    load: Annotated[
        str,
        typer.Option(
            "--load",
            metavar="HOW",
            help="How it ran while that was read: in-use, shut (outlet) or still.",
        ),
    ] = "",
    behind: Annotated[
        str,
        typer.Option(
            "--behind", metavar="TEXT", help="What was found behind it; only what somebody saw."
        ),
    ] = "",
    part: Annotated[
        list[str] | None,
        typer.Option("--part", metavar="TEXT", help="A part that was fitted; repeat for more."),
    ] = None,
    notes: Annotated[
        str, typer.Option("--notes", metavar="TEXT", help="Added to the notes of the case.")
    ] = "",
    reopen: Annotated[
        bool, typer.Option("--reopen", help="The repair has not held; the case is open again.")
    ] = False,
    made_safe: options.MadeSafe = None,
    casebook: options.CasebookFolder = None,
) -> None:
    """Record what it was in the end, or that the repair has not held."""
    with plain_complaints():
        from diagnose.terminal.cases.close import Closing, closed

        safe = tuple(made_safe or ())
        proof = (runs.strip().lower(), load.strip().lower(), behind)
        closing = Closing(cause, words, confirmed_by, measured, part, notes, reopen, safe, *proof)
        closed(casebook, name, closing)


@cases_app.command()
def review(
    since: Since = "",
    until: Until = "",
    rig: RigPart = "",
    group: Group = "",
    mode: Mode = "",
    status: Status = "",
    everything: Everything = False,
    casebook: options.CasebookFolder = None,
) -> None:
    """Which faults, how often right, what came back."""
    with plain_complaints():
        from diagnose.terminal.cases.opening import wanted
        from diagnose.terminal.cases.review import reviewed

        reviewed(casebook, wanted(since, until, rig, group, mode, status), everything)


@cases_app.command()
def similar(
    name: Annotated[
        str, typer.Argument(metavar="CASE", help="The case at hand, if it is one already.")
    ] = "",
    rig: Annotated[
        str, typer.Option("--rig", metavar="RIG", help="Rig file or bundled rig, with --seen.")
    ] = "",
    seen: options.Seen = None,
    read: options.Read = None,
    answers: options.Answers = None,
    most: Annotated[
        int, typer.Option("--most", metavar="N", min=1, max=50, help="Cases to show.")
    ] = 5,
    casebook: options.CasebookFolder = None,
) -> None:
    """Cases like a case, or like what was seen and read on a rig."""
    with plain_complaints():
        from diagnose.terminal.cases.similar import AtHand, resembling

        resembling(casebook, AtHand(name, rig, seen, read, answers), most)


@cases_app.command()
def export(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE",
            help="Where to write, as its ending says: .csv or .jsonl; else on the screen.",
        ),
    ] = None,
    as_csv: Annotated[
        bool, typer.Option("--csv", help="A table, a line a case; the usual form.")
    ] = False,
    as_lines: Annotated[
        bool, typer.Option("--jsonl", help="Whole cases, a JSON object a line.")
    ] = False,
    notes: Annotated[
        bool,
        typer.Option(
            "--notes",
            help="With what somebody wrote in words of their own: notes, complaint, what it was "
            "(true_words), what was behind it, parts fitted. Without it, these come only in the "
            "book's words. The rig's name always comes.",
        ),
    ] = False,
    force: options.Force = False,
    since: Since = "",
    until: Until = "",
    rig: RigPart = "",
    group: Group = "",
    mode: Mode = "",
    status: Status = "",
    casebook: options.CasebookFolder = None,
) -> None:
    """Cases for other programs, as CSV or JSON Lines."""
    with plain_complaints():
        from diagnose.terminal.cases.export import exported, form_of
        from diagnose.terminal.cases.opening import wanted

        chosen = wanted(since, until, rig, group, mode, status)
        exported(casebook, chosen, form_of(file, as_csv, as_lines), file, notes, force)


@cases_app.command()
def learn(
    rig: Annotated[
        str, typer.Argument(metavar="RIG", help="For which rig; else that of the newest case.")
    ] = "",
    show: Annotated[
        bool, typer.Option("--show", help="What changed in the ranking, and why.")
    ] = False,
    casebook: options.CasebookFolder = None,
) -> None:
    """What the confirmed cases have taught the ranking."""
    with plain_complaints():
        from diagnose.terminal.cases.learn import learning_shown

        learning_shown(casebook, rig, show)
