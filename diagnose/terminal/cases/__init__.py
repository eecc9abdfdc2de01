"""The commands of the casebook: lists, one case, closing it, and what all of them teach."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from diagnose.terminal.commands import (
    Answers,
    CasebookFolder,
    Force,
    MadeSafe,
    Read,
    Seen,
    argument,
    calls,
    command_group,
    flag,
    option,
)

Name = Annotated[str, argument("CASE", "The id of a case, or a part that only it has.")]
Since = Annotated[str, option("--since", "DAY", "Opened from 2026-03-02 on.")]
Until = Annotated[str, option("--until", "DAY", "Opened up to that day.")]
RigPart = Annotated[str, option("--rig", "NAME", "A part of the rig's name.")]
Group = Annotated[str, option("--group", "GROUP", "Component group, such as main-fuse.")]
Mode = Annotated[str, option("--mode", "ID", "Failure mode that it was.")]
Status = Annotated[str, option("--status", "STATUS", "open, closed or reopened.")]
Everything = Annotated[bool, flag("--all", "Every line, not only the first ones.")]

app = command_group("cases", no_args_is_help=True)


@app.command("list")
@calls("cases.listing:listing")
def _list(
    since: Since = "",
    until: Until = "",
    rig: RigPart = "",
    group: Group = "",
    mode: Mode = "",
    status: Status = "",
    everything: Everything = False,
    casebook: CasebookFolder = None,
) -> None:
    """The cases, newest first."""


@app.command("show")
@calls("cases.show:show")
def _show(name: Name, casebook: CasebookFolder = None) -> None:
    """Everything about one case."""


@app.command("report")
@calls("cases.show:report")
def _report(
    name: Name,
    html: Annotated[
        Path | None, option("--html", "FILE", "Where to write; else CASE.html.")
    ] = None,
    notes: Annotated[
        bool,
        flag(
            "--notes",
            "With what somebody wrote in words of their own, as in an export with --notes.",
        ),
    ] = False,
    force: Force = False,
    casebook: CasebookFolder = None,
) -> None:
    """One case as a page that prints on two sheets."""


@app.command("close")
@calls("cases.close:close")
def _close(
    name: Annotated[str, argument("[CASE]", "As for show; without it you are asked which.")] = "",
    cause: Annotated[
        str, option("--cause", "ID", "What it was: a failure mode or not-in-the-book")
    ] = "",
    words: Annotated[str, option("--words", "TEXT", "What it was, in your own words.")] = "",
    confirmed_by: Annotated[
        str, option("--confirmed-by", "HOW", "How it is known: part-swapped, verification or none.")
    ] = "",
    measured: Annotated[
        str, option("--measured", "VALUE", "What the proving reading of that cause shows now.")
    ] = "",
    runs: Annotated[
        str, option("--runs", "yes|no", "With --measured: whether the pump does its job again.")
    ] = "",
    load: Annotated[
        str,
        option("--load", "HOW", "How it ran while that was read: in-use, shut (outlet) or still."),
    ] = "",
    behind: Annotated[
        str, option("--behind", "TEXT", "What was found behind it; only what somebody saw.")
    ] = "",
    part: Annotated[
        list[str] | None, option("--part", "TEXT", "A part that was fitted; repeat for more.")
    ] = None,
    notes: Annotated[str, option("--notes", "TEXT", "Added to the notes of the case.")] = "",
    reopen: Annotated[
        bool, flag("--reopen", "The repair has not held; the case is open again.")
    ] = False,
    made_safe: MadeSafe = None,
    casebook: CasebookFolder = None,
) -> None:
    """Record what it was in the end, or that the repair has not held."""


@app.command("review")
@calls("cases.review:review")
def _review(
    since: Since = "",
    until: Until = "",
    rig: RigPart = "",
    group: Group = "",
    mode: Mode = "",
    status: Status = "",
    everything: Everything = False,
    casebook: CasebookFolder = None,
) -> None:
    """Which faults, how often right, what came back."""


@app.command("similar")
@calls("cases.review:similar")
def _similar(
    name: Annotated[str, argument("CASE", "The case at hand, if it is one already.")] = "",
    rig: Annotated[str, option("--rig", "RIG", "Rig file or bundled rig, with --seen.")] = "",
    seen: Seen = None,
    read: Read = None,
    answers: Answers = None,
    most: Annotated[int, option("--most", "N", "Cases to show.", min=1, max=50)] = 5,
    casebook: CasebookFolder = None,
) -> None:
    """Cases like a case, or like what was seen and read on a rig."""


@app.command("export")
@calls("cases.show:export")
def _export(
    file: Annotated[
        Path | None,
        argument("FILE", "Where to write, as its ending says: .csv or .jsonl; else on the screen."),
    ] = None,
    as_csv: Annotated[bool, flag("--csv", "A table, a line a case; the usual form.")] = False,
    as_lines: Annotated[bool, flag("--jsonl", "Whole cases, a JSON object a line.")] = False,
    notes: Annotated[
        bool,
        flag(
            "--notes",
            "With what somebody wrote in words of their own: notes, complaint, what it was "
            "(true_words), what was behind it, parts fitted. Without it, these come only in the "
            "book's words. The rig's name always comes.",
        ),
    ] = False,
    force: Force = False,
    since: Since = "",
    until: Until = "",
    rig: RigPart = "",
    group: Group = "",
    mode: Mode = "",
    status: Status = "",
    casebook: CasebookFolder = None,
) -> None:
    """Cases for other programs, as CSV or JSON Lines."""


@app.command("learn")
@calls("cases.learn:learn")
def _learn(
    rig: Annotated[str, argument("RIG", "For which rig; else that of the newest case.")] = "",
    show: Annotated[bool, flag("--show", "What changed in the ranking, and why.")] = False,
    casebook: CasebookFolder = None,
) -> None:
    """What the confirmed cases have taught the ranking."""
