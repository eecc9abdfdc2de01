"""The command `cases list`: a line a case, newest first."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from diagnose.casebook.brief import Brief, Filter
from diagnose.terminal.cases.opening import (
    LONGEST_STANDING,
    STANDING,
    Opened,
    cut,
    nothing,
    opened,
    short,
    standing,
)
from diagnose.terminal.layout import NARROW
from diagnose.terminal.plain import Screen

MOST = 40
"""Cases shown unless all are asked for."""

LEFT = "no diagnosis, left at once"
"""Stands for a case that nobody has looked into after the complaint."""

LONGEST_ID = 28
"""Characters that the id of a failure mode of the book has at most."""


def listed(folder: Path | None, chosen: Filter, everything: bool) -> None:
    """Raises DiagnoseError."""
    screen = Screen.standard()
    with opened(folder, chosen, everything) as here:
        if nothing(screen, here):
            return
        newest = here.briefs[::-1]
        shown = newest if everything else newest[:MOST]
        screen.say(_heading(here, len(shown)), "bold")
        screen.say(STANDING, "dim")
        screen.line("\n".join(lines(shown, screen.width)))


def _heading(here: Opened, shown: int) -> str:
    count = len(here.briefs)
    left = "" if shown == count else f", the newest {shown}; --all shows the rest"
    of = "" if count == here.total else f" of {here.total}"
    return f"{count}{of} {'case' if here.total == 1 else 'cases'}{left}"


def lines(briefs: Iterable[Brief], width: int) -> Iterable[str]:
    """Lines no wider than the screen: day, name, how it stands, what it was, rig."""
    one = _line if width >= NARROW else _two_lines
    return (part for brief in briefs for part in one(brief, width))


def _line(brief: Brief, width: int) -> tuple[str, ...]:
    stands = f"{standing(brief):<{LONGEST_STANDING}}"
    start = f"{brief.opened:%Y-%m-%d}  {short(brief.id)}  {stands}  "
    text = f"{start}{brief.mode or LEFT:<{LONGEST_ID}}  {brief.rig}"
    return (cut(text, width),)


def _two_lines(brief: Brief, width: int) -> tuple[str, ...]:
    first = f"{brief.opened:%Y-%m-%d}  {short(brief.id)}  {brief.rig}"
    return cut(first, width), cut(
        f"  {standing(brief):<{LONGEST_STANDING}}  {brief.mode or LEFT}", width
    )
