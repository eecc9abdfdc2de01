"""The command `cases learn`: what the confirmed cases have changed in the ranking, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from diagnose.casebook.learning import WORTH, Change, Learning, learning_from
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, rig_called
from diagnose.design.facts import rig_facts
from diagnose.figures import shipped_figures
from diagnose.reasoning import OTHER
from diagnose.reasoning.hypotheses import applicable, prior_weights
from diagnose.terminal.cases.listing import Selection, select
from diagnose.terminal.layout import NARROW, block, heading, rows
from diagnose.terminal.plain import Renderable, Screen, para

MOVED = 0.005
"""Change of a prior from which it is shown, where no case of the failure mode itself is there."""


def learn(rig: str, show: bool, casebook: Path | None) -> None:
    """Raises DiagnoseError."""
    screen, given = Screen.standard(), rig_called(rig) if rig else None
    with select(casebook) as here:
        if here.is_empty(screen):
            return
        learning = learning_from(here.briefs, here.groups)
        screen.show(*_summary(screen, here, learning))
        if learning.counts and show:
            teach = [one for one in here.briefs if one.confirmed and one.true_cause != OTHER]
            on = given or here.casebook.load(teach[-1].id).rig
            screen.show(*view(screen, on, learning))


def _summary(screen: Screen, here: Selection, learning: Learning) -> Iterator[Renderable]:
    teach, other = sum(learning.counts.values()), sum(b.true_cause == OTHER for b in here.briefs)
    yield heading(screen, f"{teach} of {here.total} cases teach the ranking")
    yield para(
        f"{here.folder}: a case teaches when it is closed, confirmed, and its cause is in the "
        f"book. {len(here.briefs) - teach - other} are not confirmed, {other} not in the book. "
        "walk and rank with --no-learning leave them all out."
    )
    if not teach:
        yield para("So every ranking is that of the book.")


def view(screen: Screen, rig: Rig, learning: Learning) -> Iterator[Renderable]:
    """What changed on one rig: the prior of each failure mode before any question."""
    facts = rig_facts(Model.of(rig))
    prior = prior_weights(applicable(for_rig(shipped_catalogue(), rig), facts, rig), facts)
    if not learning.total(prior):
        yield para(f"None of them is of a failure mode that {rig.name} can have.")
        return
    changes = learning.changes(prior)
    shown = [c for c in changes if c.cases or abs(c.learned - c.expert) >= MOVED]
    title = f"Before any question on {rig.name}, per cent"
    yield from block(title, *_changes(screen, shown, [c for c in changes if c not in shown]))
    yield para("")
    yield para(_why(changes[0]), "dim")


def _changes(
    screen: Screen, shown: Sequence[Change], left: Sequence[Change]
) -> Iterator[Renderable]:
    if screen.width < NARROW:
        for change in shown:
            yield para(change.mode, indent=2)
            said = (" to ".join(_both(change)), f"here {_counted(change)}")
            yield rows([said], [12, None], indent=4)
    else:
        heads = ("book", "now", "", "failure mode", "this shop")
        lines = [(*_both(c), _sign(c), c.mode, _counted(c)) for c in shown]
        yield rows([heads, *lines], [5, 5, 1, 28, None], right=[0, 1])
    if left:
        before, now = sum(c.expert for c in left), sum(c.learned for c in left)
        together = f"{_per_cent(before)} to {_per_cent(now)}"
        yield para(f"{len(left)} others together: {together}", indent=2)


def _both(change: Change) -> tuple[str, str]:
    return _per_cent(change.expert), _per_cent(change.learned)


def _per_cent(share: float) -> str:
    return f"{100 * share:.1f}"


def _sign(change: Change) -> str:
    before, after = _both(change)
    if before == after:
        return "="
    return "+" if change.learned > change.expert else "-"


def _counted(change: Change) -> str:
    """Why: the cases of the failure mode itself, and those of its group."""
    return f"{change.cases} of {change.total}; {change.group_cases} in {change.group}"


def _why(change: Change) -> str:
    worth = shipped_figures().get(WORTH)
    return (
        f"The book counts as {worth:g} cases, beside the shop's {change.total} that this rig can "
        "have. A case lifts its component group, and within the group its failure mode; what has "
        "no case gives way. Findings count as ever: only where they leave a doubt does this decide."
    )
