"""The shop's own cases, as they bear on a ranking."""

from __future__ import annotations

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
    if not casebook.paths():
        return None
    from diagnose.casebook.index import opened_index

    with opened_index(casebook) as index:
        learning = learning_from(index.briefs(), shipped_groups())
    return learning if learning.counts else None


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
