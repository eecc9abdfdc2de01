"""Cases seen together: the commands `cases review`, of all that are wanted, and `cases similar`, of
those like one at hand; as tables and bars of text that read without colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from diagnose.casebook.review import SOON, Hits, ModeLine, Return, Review, Use
from diagnose.casebook.review import review as review_cases
from diagnose.casebook.similar import Alike, Similar, answers_kept, answers_of, answers_of_case
from diagnose.casebook.similar import similar as similar_cases
from diagnose.circuit.model import Model
from diagnose.circuit.rig import rig_called
from diagnose.errors import DiagnoseError
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.expectations import Healthy
from diagnose.terminal import options
from diagnose.terminal.cases.listing import (
    STANDING,
    Selection,
    filter_of,
    select,
    short,
    standing,
)
from diagnose.terminal.layout import NARROW, blocks, heading, items, rows
from diagnose.terminal.plain import Renderable, Screen, para

MOST, ALL = 12, 10**6
"""Lines of one table, unless all are asked for."""

SHORTEST = 0.5
"""Minutes that a question counts as at least, as in diagnose.casebook.review."""

OFTEN = 3
"""Times that a question has to be asked before anything is said of its worth."""

WIDE, SLIM = 20, 6
"""Cells of a bar on a wide and on a narrow screen."""

MONTHS = 18
"""Months up to which a time line has a line a month; beyond, a line a year."""


def review(everything: bool, casebook: Path | None, **chosen: str) -> None:
    """Raises DiagnoseError."""
    screen = Screen.standard()
    with select(casebook, filter_of(**chosen), everything) as here:
        if here.is_empty(screen):
            return
        found = review_cases(here.index, here.briefs, here.groups)
        screen.show(*view(screen, here, found, ALL if everything else MOST))


def view(screen: Screen, here: Selection, found: Review, most: int) -> Iterator[Renderable]:
    """The blocks of a review; most: lines of one table."""
    first, last = here.briefs[0].opened, here.briefs[-1].opened
    cases = f"{found.cases} case{'s' * (found.cases != 1)}"
    yield heading(screen, f"{cases}, {first:%Y-%m-%d} to {last:%Y-%m-%d}")
    statuses = ", ".join(f"{count} {status}" for status, count in found.statuses.items())
    spent = f"{found.minutes:.0f} min of asking, {found.minutes / found.cases:.0f} min a case"
    yield para(f"{here.folder}: {statuses}. {spent}.")
    named = (
        ("When they came", timeline(screen, found.months)),
        ("Component groups", bars(screen, list(found.groups.items()), most)),
        ("Failure modes", _modes(screen, found.modes, most)),
        ("How often the ranking was right", _hits(screen, found.hits)),
        ("Questions that helped least", _questions(screen, found.questions, most)),
        (f"Back within {SOON} days", _returns(found.returns, most)),
        ("Parts fitted", bars(screen, list(found.parts.items()), most)),
    )
    yield from blocks(named)


def _modes(screen: Screen, modes: Sequence[ModeLine], most: int) -> Iterator[Renderable]:
    heads = ("cases", "failure mode", "confirmed", "min", "where")
    where = [" ".join(f"{name} {n}" for name, n in one.topologies.items()) for one in modes]
    cells = [
        (str(one.cases), one.mode, str(one.confirmed), f"{one.minutes:.0f}", place)
        for one, place in zip(modes, where, strict=True)
    ]
    yield from table(screen, heads, cells[:most], [line.cases for line in modes])
    left = modes[most:]
    yield from _rest(left, f" with {sum(line.cases for line in left)} cases")


def _hits(screen: Screen, hits: Hits) -> Iterator[Renderable]:
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


def _questions(screen: Screen, uses: Sequence[Use], most: int) -> Iterator[Renderable]:
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
    yield from _rest(often[most:])


def _use(use: Use) -> tuple[str, ...]:
    worth = f"{use.bits / max(use.minutes, SHORTEST):.2f}"
    unknown = str(use.asked - use.answered)
    return str(use.helped), words.of_test(use.test), str(use.asked), unknown, worth


def _returns(returns: Sequence[Return], most: int) -> Iterator[Renderable]:
    if not returns:
        yield para("Nothing came back.", indent=2)
        return
    yield from items(_return(one) for one in returns[::-1][:most])
    yield from _rest(returns[most:])


def _return(one: Return) -> str:
    again = "opened again" if one.again is one.first else f"back as {short(one.again.id)}"
    after = f"{one.days} day{'s' * (one.days != 1)} later" if one.days else "the same day"
    return f"{short(one.first.id)} {one.first.mode}, {one.first.rig}: {again} {after}"


def bars(
    screen: Screen, counts: Sequence[tuple[str, int]], most: int, whole: int = 0
) -> Iterator[Renderable]:
    """A count a line: number, bar, name. whole: what a full bar stands for, else the largest."""
    if not counts:
        return
    cells = WIDE if screen.width >= NARROW else SLIM
    room = 5 if screen.width >= NARROW else max(len(str(count)) for _, count in counts)
    full = whole or max(count for _, count in counts) or 1
    shown = [(str(n), screen.bar(n / full, cells), name) for name, n in counts[:most]]
    yield rows(shown, [room, cells, None], styles=["", "cyan", ""], right=[0])
    yield from _rest(counts[most:], f" with {sum(n for _, n in counts[most:])} in all")


def table(
    screen: Screen,
    heads: Sequence[str],
    cells: Sequence[Sequence[str]],
    counts: Sequence[int],
    wholes: Sequence[int] = (),
) -> Iterator[Renderable]:
    """Rows that begin with a count: count, bar, name, then what else there is to say.

    counts, wholes: for the bars, a row each; without wholes the largest count fills its bar
    On a narrow screen the name stands above all the rest.
    """
    largest = max(counts, default=1) or 1
    full = wholes or [largest] * len(counts)
    drawn = [screen.bar(n / of, SLIM) for n, of in zip(counts, full, strict=True)]
    lines = [(row[0], bar, *row[1:]) for row, bar in zip(cells, drawn, strict=False)]
    styles, widest = ["", "cyan"], max(len(row[1]) for row in cells)
    if screen.width < NARROW:
        yield from (part for line in lines for part in _stacked(heads, line))
        return
    widths = [len(heads[0]), SLIM, min(widest, 36), *(len(head) for head in heads[2:-1]), None]
    yield rows([(heads[0], "", *heads[1:]), *lines], widths, styles=styles, right=[0, 3, 4])


def _stacked(heads: Sequence[str], line: Sequence[str]) -> Iterator[Renderable]:
    count, bar, name, *rest = line
    said = (f"{head} {cell}" for head, cell in zip(heads[2:], rest, strict=True))
    yield para(name, indent=2)
    yield rows([(count, bar, "; ".join(said))], [4, SLIM, None], styles=["", "cyan"], right=[0])


def _rest(left: Sequence[object], said: str = "") -> Iterator[Renderable]:
    """What was left out of a table, and what is to be said of it."""
    if left:
        yield para(f"and {len(left)} more{said}; --all shows them", "dim", indent=2)


def timeline(screen: Screen, months: Mapping[str, int]) -> Iterator[Renderable]:
    """A line a month, those without a case too; or a line a year. months: "2026-03" to count."""
    first, last = (12 * int(of(months)[:4]) + int(of(months)[5:7]) - 1 for of in (min, max))
    every = [f"{number // 12:04}-{number % 12 + 1:02}" for number in range(first, last + 1)]
    if len(every) <= MONTHS:
        yield from bars(screen, [(month, months.get(month, 0)) for month in every], MONTHS)
        return
    years: dict[str, int] = dict.fromkeys((month[:4] for month in every), 0)
    for month, count in months.items():
        years[month[:4]] += count
    yield from bars(screen, [*years.items()], len(years))


class NothingAtHand(DiagnoseError):
    """Neither a case nor anything seen or read was given, or both."""


def similar(name: str, rig: str, most: int, casebook: Path | None, **seen_and_read: Any) -> None:
    """Raises DiagnoseError."""
    found = any(seen_and_read.values())
    if name and (found or rig):
        raise NothingAtHand("give a CASE, or --rig with --seen and --read; not both.")
    if not name and not (found and rig):
        raise NothingAtHand("say what is at hand: a CASE, or --rig RIG with --seen or --read.")
    screen = Screen.standard()
    with select(casebook) as here:
        if name:
            name = here.casebook.find(name)
            kept = answers_kept(here.index, name) or answers_of_case(here.casebook.load(name))
        else:  # a reading is answered by how it stands to the healthy band of its rig
            shop, at_hand = options.shop(), rig_called(rig)
            told = options.findings(at_hand, shop, **seen_and_read)
            kept = answers_of(told, Healthy(shop.catalogue, Model.of(at_hand)))
        alike = similar_cases(here.index, kept, most, leave_out=name)
        screen.show(*similar_view(screen, here, alike, name or "what was seen and read"))


def similar_view(
    screen: Screen, here: Selection, found: Similar, what: str
) -> Iterator[Renderable]:
    """The blocks of an answer."""
    if not found.cases:
        yield para(f"{here.folder}: none of {here.total} cases is like {what}.")
        return
    yield heading(screen, f"Like {what}")
    named = (
        ("What they were", bars(screen, [*found.modes.items()], len(found.modes))),
        ("What they have in common with it", _common(screen, found)),
        (
            "The cases, most alike first",
            (part for one in found.cases for part in _alike(here, one)),
        ),
    )
    yield from blocks(named)
    yield para("")
    yield para(STANDING, "dim")


def _common(screen: Screen, found: Similar) -> Iterator[Renderable]:
    if not found.shared:
        yield para("No answer is the same in two of them.", indent=2)
    counts = [
        (f"{words.of_test(test)}: {words.spaced(answer)}", count)
        for test, answer, count in found.shared
    ]
    yield from bars(screen, counts, len(counts), whole=len(found.cases))


def _alike(here: Selection, one: Alike) -> Iterator[Renderable]:
    brief = one.brief
    name = f"{short(brief.id)}  {brief.opened:%Y-%m-%d}  {standing(brief)}  {brief.mode}"
    yield para(name, "bold", indent=2)
    yield para(brief.rig, indent=4)
    if brief.mode == OTHER:
        yield para(f"It was: {here.casebook.load(brief.id).true_words}", indent=4)
    there = {
        test: f"{words.spaced(answer)}, here {words.spaced(mine)}"
        for test, mine, answer in one.differing
    }
    yield from items([f"the same: {_answers(dict(one.shared))}"], indent=4)
    yield from items([f"not the same: {_answers(there)}"] if there else (), indent=4)


def _answers(answers: Mapping[str, str]) -> str:
    return "; ".join(f"{words.of_test(test)} {answer}" for test, answer in answers.items())
