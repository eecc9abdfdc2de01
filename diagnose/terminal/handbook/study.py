"""The command study: how good the ranking is on invented faults, with a report."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from diagnose.casebook.disk import plain_trouble
from diagnose.casebook.outputs import check_free, write_out
from diagnose.catalogue.load import shipped_catalogue
from diagnose.errors import BadQuantity, Place
from diagnose.reasoning.available_tests import EVERYTHING
from diagnose.study.plan import BOTH, WORLDS, Plan, full, in_world, quick
from diagnose.study.report import as_json, markdown
from diagnose.study.run import Progress, study
from diagnose.study.tally import summary
from diagnose.terminal.plain import spelled_out

MOST_CASES, MOST_WRONG = 100_000, 0.5
REPORTS = ("report.md", "report.json")


def studied(
    cases: int,
    short: bool,
    seed: int,
    wrong: float,
    out: Path | None,
    json_text: bool,
    world: str = BOTH,
    evenly: bool = False,
    force: bool = False,
    able: str = "",
) -> None:
    """Play the study and print its report, or its JSON; `out` is a folder that gets both, in place
    of older ones with `force`.

    able: what the person can do, as of --with; "" for everything

    Raises BadQuantity for numbers out of range, UnknownName for what no person has, DiagnoseError
    when `out` cannot be written.
    """
    EVERYTHING.updated(able, shipped_catalogue().kit)
    if world not in WORLDS:
        raise BadQuantity(f"{world}: name one of {', '.join(WORLDS)}", Place("--world"))
    plan = in_world(_plan(cases, short, seed, wrong), world, evenly, able)
    if out is not None:
        with plain_trouble(out):
            out.mkdir(parents=True, exist_ok=True)
        for name in REPORTS:
            check_free(out / name, force)
    with _progress() as progress:
        found = study(plan, progress)
    result = summary(plan, found)
    if out is not None:
        for name, text in zip(REPORTS, (markdown(result), as_json(result, found)), strict=True):
            write_out(out / name, text, force)
    spelled_out(sys.stdout)
    print(as_json(result, found) if json_text else markdown(result), end="")


def _plan(cases: int, short: bool, seed: int, wrong: float) -> Plan:
    if not 1 <= cases <= MOST_CASES:
        raise BadQuantity(f"{cases} cases: give a number from 1 to {MOST_CASES}", Place("--cases"))
    if not 0 <= wrong <= MOST_WRONG:
        raise BadQuantity(
            f"{wrong:g}: give a share of wrong answers from 0 to {MOST_WRONG:g}, such as 0.05",
            Place("--wrong"),
        )
    if seed < 0:
        raise BadQuantity(f"{seed}: give a whole number that is not negative", Place("--seed"))
    return quick(seed, wrong) if short else full(cases, seed, wrong)


@contextmanager
def _progress() -> Iterator[Progress | None]:
    """A progress bar on standard error, if somebody sits there."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    screen = Console(stderr=True)
    if not screen.is_terminal or screen.is_dumb_terminal:
        yield None
        return
    columns = (BarColumn(), MofNCompleteColumn(), "cases", TimeRemainingColumn())
    with Progress(*columns, console=screen, transient=True) as bar:
        task = bar.add_task("study", total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
