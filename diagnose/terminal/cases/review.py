"""The command `cases review`: what the cases say as a whole, as tables and bars of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.casebook.brief import Filter
from diagnose.casebook.review import SOON, Hits, ModeLine, Return, Review, Use, review
from diagnose.reasoning import words
from diagnose.terminal.cases.charts import bars, listed, table, timeline
from diagnose.terminal.cases.opening import Opened, nothing, opened, short
from diagnose.terminal.layout import block, heading, items
from diagnose.terminal.plain import Screen, para

if TYPE_CHECKING:
    from rich.console import RenderableType

MOST, EVERYTHING = 12, 10**6
"""Lines of one table, unless all are asked for."""

SHORTEST = 0.5
"""Minutes that a question counts as at least, as in diagnose.casebook.review."""

OFTEN = 3
"""Times that a question has to be asked before anything is said of its worth."""


def reviewed(folder: Path | None, chosen: Filter, everything: bool) -> None:
    """Raises DiagnoseError."""
    screen = Screen.standard()
    with opened(folder, chosen, everything) as here:
        if nothing(screen, here):
            return
        found = review(here.index, here.briefs, here.groups)
        screen.show(*view(screen, here, found, EVERYTHING if everything else MOST))


def view(screen: Screen, here: Opened, found: Review, most: int) -> Iterator[RenderableType]:
    """The blocks of a review; most: lines of one table."""
    first, last = here.briefs[0].opened, here.briefs[-1].opened
    cases = f"{found.cases} case{'s' * (found.cases != 1)}"
    yield heading(screen, f"{cases}, {first:%Y-%m-%d} to {last:%Y-%m-%d}")
    yield para(f"{here.folder}: {_statuses(found)}. {_time_spent(found)}.")
    named = (
        ("When they came", timeline(screen, found.months)),
        ("Component groups", bars(screen, list(found.groups.items()), most)),
        ("Failure modes", _modes(screen, found.modes, most)),
        ("How often the ranking was right", _hits(screen, found.hits)),
        ("Questions that helped least", _questions(screen, found.questions, most)),
        (f"Back within {SOON} days", _returns(found.returns, most)),
        ("Parts fitted", bars(screen, list(found.parts.items()), most)),
    )
    for title, body in named:
        part = block(screen, title, body)
        if part is not None:
            yield part


def _statuses(found: Review) -> str:
    return ", ".join(f"{count} {status}" for status, count in found.statuses.items())


def _time_spent(found: Review) -> str:
    return f"{found.minutes:.0f} min of asking, {found.minutes / found.cases:.0f} min a case"


def _modes(screen: Screen, modes: Sequence[ModeLine], most: int) -> Iterator[RenderableType]:
    heads = ("cases", "failure mode", "confirmed", "min", "where")
    cells = [(str(m.cases), m.mode, str(m.confirmed), f"{m.minutes:.0f}", _where(m)) for m in modes]
    yield from table(screen, heads, cells[:most], [line.cases for line in modes])
    left = modes[most:]
    yield from listed(left, f" with {sum(line.cases for line in left)} cases")


def _where(line: ModeLine) -> str:
    return " ".join(f"{topology} {count}" for topology, count in line.topologies.items())


def _hits(screen: Screen, hits: Hits) -> Iterator[RenderableType]:
    if not hits.confirmed:
        yield para("No case is confirmed yet.", indent=2)
        return
    yield para(f"Of {hits.confirmed} confirmed cases, the true cause", indent=2)
    counts = [
        ("was ranked first", hits.first),
        ("was among the first three", hits.first_three),
        ("was not in the book", hits.not_in_the_book),
    ]
    yield from bars(screen, counts, MOST, whole=hits.confirmed)


def _questions(screen: Screen, uses: Sequence[Use], most: int) -> Iterator[RenderableType]:
    often = [use for use in uses if use.asked >= OFTEN]
    if not often:
        yield para(f"No question has been asked {OFTEN} times yet.", indent=2)
        return
    yield para(
        "helped: the answer moved the ranking enough for the time it took; a minute: how far it "
        "moved it for each minute, 1 as much as settles one even choice",
        indent=2,
    )
    heads = ("helped", "question", "asked", "unknown", "a minute")
    cells = [_use(use) for use in often[:most]]
    helped, asked = [use.helped for use in often], [use.asked for use in often]
    yield from table(screen, heads, cells, helped, asked)
    yield from listed(often[most:])


def _use(use: Use) -> tuple[str, ...]:
    worth = f"{use.bits / max(use.minutes, SHORTEST):.2f}"
    return (
        str(use.helped),
        words.of_test(use.test),
        str(use.asked),
        str(use.asked - use.answered),
        worth,
    )


def _returns(returns: Sequence[Return], most: int) -> Iterator[RenderableType]:
    if not returns:
        yield para("Nothing came back.", indent=2)
        return
    yield from items(_return(one) for one in returns[::-1][:most])
    yield from listed(returns[most:])


def _return(one: Return) -> str:
    again = "opened again" if one.again is one.first else f"back as {short(one.again.id)}"
    after = f"{one.days} day{'s' * (one.days != 1)} later" if one.days else "the same day"
    return f"{short(one.first.id)} {one.first.mode}, {one.first.rig}: {again} {after}"
