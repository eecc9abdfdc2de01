"""The ranking on one screen: causes, repairs they share, why, and what to ask next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.catalogue.records import Observation
from diagnose.outcome import Result, cause_title
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.commissioning import dates_in_words
from diagnose.reasoning.explanation import best_supported
from diagnose.terminal.layout import NARROW, block, heading, items, rows
from diagnose.terminal.plain import Screen, para
from diagnose.terminal.stops import stop_view
from diagnose.terminal.walk.question_view import answers_view, asked, fit_line
from diagnose.terminal.walk.shop_cases import said_here
from diagnose.terminal.walk.why import why_stopped
from diagnose.walkthrough import Question, Walk

if TYPE_CHECKING:
    from rich.console import RenderableType

MOST, LEAST = 8, 0.01
"""Failure modes shown, and the probability below which they are not."""

REASONS, GROUPS = 5, 4


def rank_view(screen: Screen, walk: Walk, result: Result) -> Iterator[RenderableType]:
    """The result of a ranking that was asked for at once."""
    bench, question = walk.bench, walk.question()
    yield heading(screen, words.rig_line(bench.rig))
    if bench.own:
        yield para(dates_in_words(bench.own), "dim")
    for stop in result.stops:
        yield from stop_view(stop)
    yield _table(screen, bench, result)
    yield para(fit_line(result.unknown, result.fit), "" if result.fit.fits else "yellow", indent=2)
    if said := said_here(bench, result.cause):
        yield para(f"{cause_title(bench, result.cause)}, {said} confirmed cases.", indent=2)
    named = (
        ("Mended by one repair", [*_shared(bench, result)]),
        ("What this says", items(one.text for one in best_supported(result.findings))),
        ("Why the first of them", items(result.because[:REASONS])),
        ("These do not go together", items(walk.contradictions())),
        ("Cautions", items(_cautions(walk), "!")),
        ("Next", [*_next(screen, walk, question)]),
        ("Values of the rig that were taken as usual", _leaned_on(result)),
    )
    for title, body in named:
        part = block(screen, title, body)
        if part is not None:
            yield part


def _table(screen: Screen, bench: Bench, result: Result) -> RenderableType:
    """The likeliest failure modes; letters mark those that share a repair."""
    cells = 16 if screen.width >= NARROW else 6
    letters = _letters(result)
    top = [(name, p) for name, p in result.ranking if name != OTHER][:MOST]
    shown = [
        (words.per_cent(p), screen.bar(p, cells), letters.get(name, ""), cause_title(bench, name))
        for name, p in top
        if p >= LEAST
    ]
    return rows(shown, [5, cells, 1, None], styles=["", "cyan", "dim", ""], right=[0])


def _letters(result: Result) -> dict[str, str]:
    """Failure mode to the letter of its group, for the groups that are shown."""
    return {
        name: "abcd"[index]
        for index, group in enumerate(_groups(result)[:GROUPS])
        for name in group
    }


def _groups(result: Result) -> list[tuple[str, ...]]:
    """Groups of one repair of which at least two members stand in the table."""
    top = {name for name, p in result.ranking[:MOST] if p >= LEAST}
    return [group for group in result.same_repair if len(top.intersection(group)) > 1]


def _shared(bench: Bench, result: Result) -> Iterator[RenderableType]:
    for letter, group in zip("abcd", _groups(result), strict=False):
        repair = bench.shop.repair[group[0]]
        probability = words.per_cent(result.repairs[repair])
        yield rows([(letter, f"{words.spaced(repair)}, {probability} together")], [1, None])


def _cautions(walk: Walk) -> list[str]:
    found = walk.conclusions().cautions
    said = [" ".join(one.because.split()) for one in found]
    return [*said, _text(walk, "local-codes")]


def _text(walk: Walk, name: str) -> str:
    """A caution of the book in full."""
    return " ".join(walk.bench.shop.catalogue.cautions[name].text.split())


def _next(screen: Screen, walk: Walk, question: Question | None) -> Iterator[RenderableType]:
    if question is None:
        yield para(f"Nothing more to ask: {why_stopped(walk)}.", indent=2)
        return
    for name in question.entry.cautions:
        yield para(f"Caution: {_text(walk, name)}", "yellow", indent=2)
    yield para(asked(question), "bold", indent=2)
    yield para(" ".join(question.entry.why.split()), indent=2)
    if isinstance(question.entry, Observation):
        for danger in question.entry.unsafe_when:
            yield para(f"Not when {danger}.", "yellow", indent=2)
    yield answers_view(screen, question)


def _leaned_on(result: Result) -> list[RenderableType]:
    return [para(words.usual(result.leaned_on), indent=2)] if result.leaned_on else []
