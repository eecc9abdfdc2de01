"""What a walk comes to: one page with what to do, why and how sure; the rest by one word each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.circuit.reading_words import in_words
from diagnose.outcome import Result, cause_title
from diagnose.reasoning import words
from diagnose.reasoning.explanation import best_supported
from diagnose.reasoning.hypotheses import OTHER
from diagnose.terminal.cases.proof import proof_sentence
from diagnose.terminal.layout import block, items
from diagnose.terminal.plain import Renderable, Screen, lower_first, mark, one_line, para
from diagnose.terminal.stops import reminder_view
from diagnose.terminal.walk.why import fit_line, ranking_view, said_here

PAGE = 24
"""Lines of the first page, with its prompt, where nobody turns pages."""

PROMPT = 1
"""Lines of it that the prompt takes."""

SETTLED = 0.5
"""Probability of a repair below which the cause is named as no more than the likeliest."""

REASONS, FEWEST, OTHERS, FINDINGS, LIKELY = 3, 2, 4, 2, 0.05
"""Reasons on the first page, and where its steps need the room; other failure modes, findings among
the reasons, and the probability from which the first page names what comes next."""

CAUSES, RULED_OUT, LEAST = 4, 2, 0.01
"""Root causes that are shown, causes behind it that are named at once, and the probability below
which they are not."""


@dataclass(frozen=True)
class Part:
    """A part of a result that is shown when its word is typed, and by `more`."""

    word: str
    title: str
    show: Callable[[], list[Renderable]]

    def view(self) -> Iterator[Renderable]:
        """It under its title."""
        return block(self.title, *self.show())


def first_page(screen: Screen, bench: Bench, result: Result) -> list[Renderable]:
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


def _title(bench: Bench, result: Result) -> str:
    named = cause_title(bench, result.cause)
    if result.repair_probability >= SETTLED:
        return f"It comes to: {named}"
    return f"It comes to no sure cause yet; the likeliest: {named}"


def _to_do(bench: Bench, result: Result) -> list[str]:
    """The steps in their order: those of stops, what parts the likely causes, what to rule out, the
    repair itself, and what brought it about."""
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    repair = () if result.ended else mode.fix if mode else result.fix
    before = [*_to_borrow(bench, result), *_before_the_part(bench, result)]
    stops = len(result.fix) - len(repair)
    steps = [*result.fix[:stops], *before, *result.fix[stops:]]
    if any(cause.seen for cause in result.root_causes) and not result.ended:
        steps.append("Mend what brought it about too, or it comes back: type behind.")
    return steps


def _to_borrow(bench: Bench, result: Result) -> Iterator[str]:
    if one := result.borrow:
        kit = bench.shop.catalogue.kit.things
        things = " and ".join(kit[name].say for name in one.needs)
        first, second = (
            f"{_small(bench, mode)} (about {words.rough(value, one.reading)})"
            for mode, value in (one.either, one.other)
        )
        yield f"Borrow {things}: {in_words(one.reading)} tells {first} from {second}."


def _before_the_part(bench: Bench, result: Result) -> Iterator[str]:
    """What to rule out and to measure first, in short sentences."""
    likely = [(name, p) for name, p in result.behind if p >= LEAST][:RULED_OUT]
    if likely:
        yield f"This is often a result. Rule out first: {', '.join(_shares(bench, likely))}."
    for measure in _measures(result)[:1]:
        yield f"Before the new part goes in, measure {words.of_test(measure)}."


def _measures(result: Result) -> list[str]:
    return [*dict.fromkeys(cause.measure for cause in result.root_causes if cause.measure)]


def _shares(bench: Bench, found: Sequence[tuple[str, float]]) -> list[str]:
    return [f"{cause_title(bench, name)} ({words.per_cent(p)})" for name, p in found]


def _small(bench: Bench, mode: str) -> str:
    return lower_first(cause_title(bench, mode))


def _reasons(result: Result) -> list[str]:
    """The two or three findings that say most."""
    found = [one.text for one in best_supported(result.findings)][:FINDINGS]
    speaking = [one for one in result.because if one.endswith(" for it")]
    said = [*found, *speaking][:REASONS]
    return said or ["Nothing that was found speaks for it; it stands where experience puts it."]


def _sure(bench: Bench, result: Result) -> Iterator[Renderable]:
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


def _offered(screen: Screen, bench: Bench, result: Result) -> Iterator[Renderable]:
    """The words for the rest, cautions first."""
    texts, book = {text.strip() for text in result.cautions}, bench.shop.catalogue.cautions
    named = [words.spaced(name) for name, one in book.items() if one.text.strip() in texts]
    if named:
        yield mark(f"First type cautions: {', '.join(named)}.", "yellow")
    offered = ", ".join(part.word for part in parts_of(screen, bench, result))
    yield mark(f"One word shows more: {offered}; more: all.", "dim")


def parts_of(screen: Screen, bench: Bench, result: Result) -> tuple[Part, ...]:
    """The rest of a result, what is needed first before what explains it."""
    said = [one.text for one in best_supported(result.findings)]
    ended = [f"Asking ended: {result.why_stopped}."] if result.why_stopped else []
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    about = [para(one_line(mode.about), indent=2)] if mode else []
    found = (
        Part("cautions", "Cautions", lambda: items(result.cautions, "!")),
        Part("steps", "What to do", lambda: items(_to_do(bench, result), "1")),
        Part("parts", "Parts", lambda: items(result.parts)),
        Part("proof", "Proof that it is mended", lambda: [*_proof(result)]),
        Part("behind", "Why it came about", lambda: [*_behind(bench, result)]),
        Part("prevent", "So that it does not come back", lambda: items(result.prevention)),
        Part("others", "Or it could be", lambda: [*_others(screen, bench, result)]),
        Part("reasons", "Why this cause", lambda: items([*said, *result.because, *ended])),
        Part("about", cause_title(bench, result.cause), lambda: about),
        Part("usual", "Values of the rig that were taken as usual", lambda: usual_values(result)),
    )
    return tuple(part for part in found if part.show())


def _behind(bench: Bench, result: Result) -> Iterator[Renderable]:
    """All that may be behind it, why it came about, and what a reading tells of that."""
    if result.behind:
        yield para("This is often a result. Rule out first:", indent=2)
        yield from items(_shares(bench, result.behind[:5]))
    for cause in result.root_causes[:CAUSES]:
        because = f" ({cause.because.strip()})" if cause.because else ""
        mend = cause.mend.strip().rstrip(".")
        yield from items([f"{cause.cause.strip().rstrip('.')}. Mend: {mend}.{because}"])
    for one in _measures(result):
        yield from items([f"A reading that tells more of it: {words.of_test(one)}."])


def _others(screen: Screen, bench: Bench, result: Result) -> Iterator[Renderable]:
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


def _proof(result: Result) -> Iterator[Renderable]:
    if result.verify is None:
        yield para("Nothing of the book fits, so no single reading proves the repair.", indent=2)
        return
    yield para(proof_sentence(result.verify), indent=2)
    yield para(result.verify.why.strip(), indent=2)


def usual_values(result: Result) -> list[Renderable]:
    """The values of the rig that nobody gave."""
    return [para(words.usual(result.leaned_on), indent=2)] if result.leaned_on else []
