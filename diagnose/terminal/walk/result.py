"""What a walk comes to: one page with what to do, why and how sure; the rest by one word each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.bench import Bench
from diagnose.outcome import Result
from diagnose.pages.result import FEWEST, headline, how_sure, reasons, sections, to_do
from diagnose.reasoning import words
from diagnose.terminal.layout import STYLES, items
from diagnose.terminal.plain import Renderable, Screen, mark, para
from diagnose.terminal.stops import reminder_view

PAGE = 24
"""Lines of the first page, with its prompt, where nobody turns pages."""

PROMPT = 1
"""Lines of it that the prompt takes."""


def first_page(screen: Screen, bench: Bench, result: Result) -> list[Renderable]:
    """What to do next, why and how sure, on one screen; of a long repair as many steps as fit."""
    head = [*reminder_view(result.stops), mark(headline(bench, result), "bold")]
    steps, why = items(to_do(bench, result), "1"), items(reasons(result))
    sure = [mark(one.words, STYLES[one.tone]) for one in how_sure(bench, result)]
    offered = [*_offered(bench, result)]
    lines = screen.height if screen.console.is_terminal else PAGE
    titles = [mark(title, "bold") for title in ("What to do next", "Why", "How sure")]
    room = lines - PROMPT - _lines(screen, [*head, *titles, *sure, *offered])
    if _lines(screen, [*steps, *why]) > room:
        why = why[:FEWEST]
    steps = _fitting(screen, steps, room - _lines(screen, why))
    return [*head, titles[0], *steps, titles[1], *why, titles[2], *sure, *offered]


def _lines(screen: Screen, parts: Sequence[Renderable]) -> int:
    return sum(map(screen.lines_of, parts))


def fits(screen: Screen, parts: Sequence[Renderable]) -> bool:
    """Whether it all stands on one screen with its prompt."""
    return _lines(screen, parts) + PROMPT <= screen.height


def _fitting(screen: Screen, shown: list[Renderable], room: int) -> list[Renderable]:
    """As many steps as there is room for, but one at least, and how many are left."""
    heights = [screen.lines_of(one) for one in shown]
    count = len(shown)
    while count > 1 and sum(heights[:count]) + (count < len(shown)) > room:
        count -= 1
    left = len(shown) - count
    more = para(f"{left} more step{'s' * (left > 1)}: type steps", "dim", indent=2)
    return shown[:count] + [more] * (left > 0)


def _offered(bench: Bench, result: Result) -> Iterator[Renderable]:
    """The words for the rest, cautions first."""
    texts, book = {text.strip() for text in result.cautions}, bench.shop.catalogue.cautions
    named = [words.spaced(name) for name, one in book.items() if one.text.strip() in texts]
    if named:
        yield mark(f"First type cautions: {', '.join(named)}.", "yellow")
    offered = ", ".join(part.word for part in sections(bench, result))
    yield mark(f"One word shows more: {offered}; more: all.", "dim")
