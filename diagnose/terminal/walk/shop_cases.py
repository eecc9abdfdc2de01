"""The shop's own cases, as they bear on a ranking."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.casebook.brief import shipped_groups
from diagnose.casebook.learning import Learning, learning_from
from diagnose.casebook.store import Casebook, NoHome
from diagnose.errors import DiagnoseError
from diagnose.reasoning import OTHER
from diagnose.terminal.plain import complain, sentence

if TYPE_CHECKING:
    from diagnose.bench import Bench
    from diagnose.casebook.index import Index


def learned_from(folder: Path | None) -> Learning | None:
    """What the confirmed cases of a casebook teach; None where there are none. Raises DiagnoseError
    when the folder that was named cannot be used; another one is only complained of."""
    try:
        casebook = Casebook.open(folder)
    except NoHome:
        return None
    except DiagnoseError as problem:
        if folder is not None:
            raise
        complain(f"Nothing is learned from cases. {sentence(problem)}")
        return None
    if not os.path.lexists(casebook.folder):
        return None
    from diagnose.casebook.index import opened_index

    with opened_index(casebook) as index:
        _mention(index)
        learning = learning_from(index.briefs(), shipped_groups())
    return learning if learning.counts else None


def _mention(index: Index) -> None:
    """Say in a line which case files were left out, and in another why the index is not kept."""
    problems = index.problems
    files = {problem.place.file for problem in problems if problem.place}
    if problems:
        more = f"{len(files):,} files" if len(files) > 1 else "a file"
        named = " (named by: diagnose cases list --all)" if len(problems) > 1 else ""
        first = sentence(problems[0])
        complain(f"Nothing is learned from {more} of the casebook{named}. {first}")
    if index.remark:
        complain(index.remark)


def counted_here(bench: Bench, mode: str) -> tuple[int, int] | None:
    """Confirmed cases of a failure mode, and of all that this rig can have; None without any."""
    modes = bench.hypotheses.modes
    if mode == OTHER or not isinstance(bench.learn, Learning) or not bench.learn.total(modes):
        return None
    return bench.learn.counts.get(mode, 0), bench.learn.total(modes)


def said_here(bench: Bench, mode: str) -> str:
    """ "this shop: 7 of 31", or "" where nothing was learned."""
    counted = counted_here(bench, mode)
    return f"this shop: {counted[0]} of {counted[1]}" if counted else ""
