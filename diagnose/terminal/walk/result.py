"""What a walk comes to: one page with what to do, why and how sure; the rest by one word each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.borrowing import Borrow
from diagnose.circuit.reading_words import in_words
from diagnose.outcome import Proof, Result, cause_title
from diagnose.reasoning import words
from diagnose.reasoning.explanation import best_supported
from diagnose.reasoning.hypotheses import OTHER
from diagnose.terminal.layout import block, items
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.stops import reminder_view
from diagnose.terminal.walk.behind import before_the_part, behind_view
from diagnose.terminal.walk.question_view import fit_line, ranking_view
from diagnose.terminal.walk.shop_cases import said_here

if TYPE_CHECKING:
    from rich.console import RenderableType

PAGE = 24
"""Lines of the first page, with its prompt, where nobody turns pages."""

PROMPT = 1
"""Lines of it that the prompt takes."""

SETTLED = 0.5
"""Probability of a repair below which the cause is named as no more than the likeliest."""

REASONS, FEWEST, OTHERS, FINDINGS, LIKELY = 3, 2, 4, 2, 0.05
"""Reasons on the first page, and where its steps need the room; other failure modes, findings among
the reasons, and the probability from which the first page names what comes next."""


@dataclass(frozen=True)
class Part:
    """A part of a result that is shown when its word is typed, and by `more`."""

    word: str
    title: str
    show: Callable[[], list[RenderableType]]


def first_page(screen: Screen, bench: Bench, result: Result) -> list[RenderableType]:
    """What to do next, why and how sure, on one screen; of a long repair as many steps as fit."""
    head = [*reminder_view(result.stops), mark(_title(bench, result), "bold")]
    steps, why = items(_to_do(bench, result), "1"), items(_reasons(result))
    sure, offered = [*_sure(bench, result)], [*_offered(screen, bench, result)]
    lines = screen.height if screen.console.is_terminal else PAGE
    titles = [mark(title, "bold") for title in ("What to do next", "Why", "How sure")]
    room = lines - PROMPT - _lines(screen, [*head, *titles, *sure, *offered])
    if _lines(screen, [*steps, *why]) > room:
        why = why[:FEWEST]
    steps = _fitting(screen, steps, room - _lines(screen, why))
    return [*head, titles[0], *steps, titles[1], *why, titles[2], *sure, *offered]


def _lines(screen: Screen, parts: Sequence[RenderableType]) -> int:
    return sum(map(screen.lines_of, parts))


def fits(screen: Screen, parts: Sequence[RenderableType]) -> bool:
    """Whether it all stands on one screen with its prompt."""
    return _lines(screen, parts) + PROMPT <= screen.height


def _fitting(screen: Screen, shown: list[RenderableType], room: int) -> list[RenderableType]:
    """As many steps as there is room for, but one at least, and how many are left."""
    heights = [screen.lines_of(one) for one in shown]
    count = len(shown)
    while count > 1 and sum(heights[:count]) + (count < len(shown)) > room:
        count -= 1
    left = len(shown) - count
    more = para(f"{left} more step{'s' * (left > 1)}: type steps", "dim", indent=2)
    return shown[:count] + [more] * (left > 0)


def _title(bench: Bench, result: Result) -> str:
    named = cause_title(bench, result.cause)
    if result.repair_probability >= SETTLED:
        return f"It comes to: {named}"
    return f"It comes to no sure cause yet; the likeliest: {named}"


def _to_do(bench: Bench, result: Result) -> list[str]:
    """The steps in their order: what parts the likely ones, what to rule out, the repair itself,
    and what brought it about."""
    steps = [_to_borrow(bench, result.borrow)] if result.borrow else []
    fix = [*result.fix]
    stops = len(fix) - len(_repair_steps(bench, result))
    steps = [*fix[:stops], *steps, *before_the_part(bench, result), *fix[stops:]]
    if any(cause.seen for cause in result.root_causes) and not result.ended:
        steps.append("Mend what brought it about too, or it comes back: type behind.")
    return steps


def _repair_steps(bench: Bench, result: Result) -> Sequence[str]:
    """The steps of the repair itself, without those that a stop puts before them."""
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    return () if result.ended else mode.fix if mode else result.fix


def _to_borrow(bench: Bench, one: Borrow) -> str:
    kit = bench.shop.catalogue.kit.things
    things = " and ".join(kit[name].say for name in one.needs)
    (first, here), (second, there) = one.either, one.other
    return (
        f"Borrow {things}: {in_words(one.reading)} tells {_small(bench, first)} "
        f"(about {words.rough(here, one.reading)}) from {_small(bench, second)} "
        f"(about {words.rough(there, one.reading)})."
    )


def _small(bench: Bench, mode: str) -> str:
    title = cause_title(bench, mode)
    return title[0].lower() + title[1:]


def _reasons(result: Result) -> list[str]:
    """The two or three findings that say most."""
    found = [one.text for one in best_supported(result.findings)][:FINDINGS]
    speaking = [one for one in result.because if one.endswith(" for it")]
    said = [*found, *speaking][:REASONS]
    return said or ["Nothing that was found speaks for it; it stands where experience puts it."]


def _sure(bench: Bench, result: Result) -> Iterator[RenderableType]:
    """How sure the repair is, what comes next, and what speaks against the book."""
    said = [_odds(result), *_next_in_line(bench, result)]
    if here := said_here(bench, result.cause):
        said.append(f"{here} confirmed cases were this.".capitalize())
    yield mark(" ".join(said), "bold")
    if not result.fit.fits:
        yield mark(fit_line(result.unknown, result.fit), "yellow")
    enough = bench.model.figures.get("stop-at")
    if result.why_stopped and result.repair_probability < enough:
        yield mark(f"Asking ended: {result.why_stopped}.")


def _odds(result: Result) -> str:
    probability = words.per_cent(result.repair_probability)
    said = words.chance(result.repair_probability).capitalize()
    if result.cause == OTHER:
        return f"{said}, {probability}: it is nothing of the book."
    return f"{said}, {probability}: this repair ({words.spaced(result.repair)}) cures it."


def _next_in_line(bench: Bench, result: Result) -> Iterator[str]:
    """The likeliest thing that this repair does not mend, and two faults at once."""
    repair = bench.shop.repair
    for name, p in result.ranking:
        if name != OTHER and repair.get(name) != result.repair and p >= LIKELY:
            yield f"Next in line: {_small(bench, name)}, {words.per_cent(p)}."
            break
    for first, second, p in result.pairs[:1]:
        both = f"{_small(bench, first)} and {_small(bench, second)}"
        yield f"Two faults at once: {both}, {words.per_cent(p)}."


def _offered(screen: Screen, bench: Bench, result: Result) -> Iterator[RenderableType]:
    """The words for the rest, cautions first."""
    if named := _cautioned(bench, result):
        yield mark(f"First type cautions: {named}.", "yellow")
    offered = ", ".join(part.word for part in parts_of(screen, bench, result))
    yield mark(f"One word shows more: {offered}; more: all.", "dim")


def _cautioned(bench: Bench, result: Result) -> str:
    book = bench.shop.catalogue.cautions
    return ", ".join(
        words.spaced(n) for n, one in book.items() if one.text.strip() in _texts(result)
    )


def _texts(result: Result) -> set[str]:
    return {text.strip() for text in result.cautions}


def parts_of(screen: Screen, bench: Bench, result: Result) -> tuple[Part, ...]:
    """The rest of a result, what is needed first before what explains it."""
    found = (
        Part("cautions", "Cautions", lambda: items(result.cautions, "!")),
        Part("steps", "What to do", lambda: items(_to_do(bench, result), "1")),
        Part("parts", "Parts", lambda: items(result.parts)),
        Part("proof", "Proof that it is mended", lambda: [*_proof(result)]),
        Part("behind", "Why it came about", lambda: behind_view(bench, result)),
        Part("prevent", "So that it does not come back", lambda: items(result.prevention)),
        Part("others", "Or it could be", lambda: [*_others(screen, bench, result)]),
        Part("reasons", "Why this cause", lambda: items(_all_reasons(result))),
        Part("about", cause_title(bench, result.cause), lambda: [*_about(bench, result)]),
        Part("usual", "Values of the rig that were taken as usual", lambda: _leaned_on(result)),
    )
    return tuple(part for part in found if part.show())


def part_view(screen: Screen, part: Part) -> Iterator[RenderableType]:
    """One part under its title."""
    shown = block(screen, part.title, part.show())
    if shown is not None:
        yield shown


def _all_reasons(result: Result) -> list[str]:
    ended = [f"Asking ended: {result.why_stopped}."] if result.why_stopped else []
    return [*(one.text for one in best_supported(result.findings)), *result.because, *ended]


def _about(bench: Bench, result: Result) -> Iterator[RenderableType]:
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    if mode is not None:
        yield para(" ".join(mode.about.split()), indent=2)


def _others(screen: Screen, bench: Bench, result: Result) -> Iterator[RenderableType]:
    """The failure modes next in line, with those that the same repair mends marked."""
    rest = [(name, p) for name, p in result.ranking if name not in (result.cause, OTHER)][:OTHERS]
    likely = [(name, p) for name, p in rest if p >= 0.01]
    if likely:
        yield ranking_view(screen, bench, likely, OTHERS)
    same = [name for name, _ in likely if bench.shop.repair.get(name) == result.repair]
    if same:
        titles = ", ".join(cause_title(bench, name) for name in same)
        yield para(f"The same repair mends: {titles}.", indent=2)
    yield para(fit_line(result.unknown, result.fit), "" if result.fit.fits else "yellow", indent=2)
    for first, second, p in result.pairs[:2]:
        both = f"{cause_title(bench, first)} and {cause_title(bench, second)}"
        yield para(f"Two faults at once: {both}, {words.per_cent(p)}.", indent=2)


def _proof(result: Result) -> Iterator[RenderableType]:
    if result.verify is None:
        yield para("Nothing of the book fits, so no single reading proves the repair.", indent=2)
        return
    yield para(proof_sentence(result.verify), indent=2)
    yield para(result.verify.why.strip(), indent=2)


def proof_sentence(proof: Proof) -> str:
    """The reading to take after the repair, with its band."""
    sound = words.band(proof.low, proof.high, proof.reading)
    return f"{in_words(proof.reading)}: {sound} when it is mended."


def _leaned_on(result: Result) -> list[RenderableType]:
    return [para(words.usual(result.leaned_on), indent=2)] if result.leaned_on else []
