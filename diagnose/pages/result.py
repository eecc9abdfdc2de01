"""What a walk comes to, as blocks: what to do, why, how sure, and the rest in sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.bench import Bench
from diagnose.circuit.reading_words import in_words
from diagnose.errors import lower_first, one_line
from diagnose.outcome import Result, cause_title
from diagnose.pages.blocks import MARKS, NUMBERS, PLAIN, STRONG, WARN, Block, Section, Text, points
from diagnose.pages.reasons import fit_line, likeliest, said_here
from diagnose.pages.repair import proof_sentence
from diagnose.reasoning import words
from diagnose.reasoning.explanation import best_supported
from diagnose.reasoning.hypotheses import OTHER

SETTLED = 0.5
"""Probability of a repair below which the cause is named as no more than the likeliest."""

REASONS, FEWEST, OTHERS, FINDINGS, LIKELY = 3, 2, 4, 2, 0.05
"""Reasons on the first page, and where its steps need the room; other failure modes, findings among
the reasons, and the probability from which the first page names what comes next."""

CAUSES, RULED_OUT, LEAST = 4, 2, 0.01
"""Root causes that are shown, causes behind it that are named at once, and the probability below
which they are not."""


def headline(bench: Bench, result: Result) -> str:
    named = cause_title(bench, result.cause)
    if result.repair_probability >= SETTLED:
        return f"It comes to: {named}"
    return f"It comes to no sure cause yet; the likeliest: {named}"


def to_do(bench: Bench, result: Result) -> list[str]:
    """The steps in their order: those of stops, what parts the likely causes, what to rule out, the
    repair itself, and what brought it about."""
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    repair = () if result.ended else mode.fix if mode else result.fix
    before = [*ruling_out(bench, result)]
    stops = len(result.fix) - len(repair)
    steps = [*result.fix[:stops], *before, *result.fix[stops:]]
    if any(cause.seen for cause in result.root_causes) and not result.ended:
        steps.append("Mend what brought it about too, or it comes back: type behind.")
    return steps


def ruling_out(bench: Bench, result: Result) -> Iterator[str]:
    """What parts the likely causes, and what to rule out and to measure before the repair."""
    yield from _to_borrow(bench, result)
    yield from _before_the_part(bench, result)


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


def reasons(result: Result) -> list[str]:
    """The two or three findings that say most."""
    found = [one.text for one in best_supported(result.findings)][:FINDINGS]
    speaking = [one for one in result.because if one.endswith(" for it")]
    said = [*found, *speaking][:REASONS]
    return said or ["Nothing that was found speaks for it; it stands where experience puts it."]


def how_sure(bench: Bench, result: Result) -> Iterator[Text]:
    """How sure the repair is, what comes next, and what speaks against the book."""
    said = [_odds(result), *_next_in_line(bench, result)]
    if here := said_here(bench, result.cause):
        said.append(f"{here} confirmed cases were this.".capitalize())
    yield Text(" ".join(said), STRONG)
    if not result.fit.fits:
        yield Text(fit_line(result.unknown, result.fit), WARN)
    enough = bench.model.figures.get("stop-at")
    if result.why_stopped and result.repair_probability < enough:
        yield Text(f"Asking ended: {result.why_stopped}.")


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


def sections(bench: Bench, result: Result) -> tuple[Section, ...]:
    """The rest of a result, what is needed first before what explains it."""
    said = [one.text for one in best_supported(result.findings)]
    ended = [f"Asking ended: {result.why_stopped}."] if result.why_stopped else []
    mode = bench.shop.catalogue.failure_modes.get(result.cause)
    about = (Text(one_line(mode.about), inset=True),) if mode else ()
    found = (
        Section("cautions", "Cautions", points(result.cautions, MARKS)),
        Section("steps", "What to do", points(to_do(bench, result), NUMBERS)),
        Section("parts", "Parts", points(result.parts)),
        Section("proof", "Proof that it is mended", (*_proof(result),)),
        Section("behind", "Why it came about", (*_behind(bench, result),)),
        Section("prevent", "So that it does not come back", points(result.prevention)),
        Section("others", "Or it could be", (*_others(bench, result),)),
        Section("reasons", "Why this cause", points([*said, *result.because, *ended])),
        Section("about", cause_title(bench, result.cause), about),
        Section("usual", "Values of the rig that were taken as usual", usual_values(result)),
    )
    return tuple(part for part in found if part.blocks)


def _behind(bench: Bench, result: Result) -> Iterator[Block]:
    """All that may be behind it, why it came about, and what a reading tells of that."""
    if result.behind:
        yield Text("This is often a result. Rule out first:", inset=True)
        yield from points(_shares(bench, result.behind[:5]))
    for cause in result.root_causes[:CAUSES]:
        because = f" ({cause.because.strip()})" if cause.because else ""
        mend = cause.mend.strip().rstrip(".")
        yield from points([f"{cause.cause.strip().rstrip('.')}. Mend: {mend}.{because}"])
    for one in _measures(result):
        yield from points([f"A reading that tells more of it: {words.of_test(one)}."])


def _others(bench: Bench, result: Result) -> Iterator[Block]:
    """The failure modes next in line, with those that the same repair mends marked."""
    rest = [(name, p) for name, p in result.ranking if name not in (result.cause, OTHER)][:OTHERS]
    likely = [(name, p) for name, p in rest if p >= 0.01]
    if likely:
        yield likeliest(bench, likely, OTHERS)
    same = [name for name, _ in likely if bench.shop.repair.get(name) == result.repair]
    if same:
        titles = ", ".join(cause_title(bench, name) for name in same)
        yield Text(f"The same repair mends: {titles}.", inset=True)
    yield Text(fit_line(result.unknown, result.fit), PLAIN if result.fit.fits else WARN, inset=True)
    for first, second, p in result.pairs[:2]:
        both = f"{cause_title(bench, first)} and {cause_title(bench, second)}"
        yield Text(f"Two faults at once: {both}, {words.per_cent(p)}.", inset=True)


def _proof(result: Result) -> Iterator[Block]:
    if result.verify is None:
        yield Text("Nothing of the book fits, so no single reading proves the repair.", inset=True)
        return
    yield Text(proof_sentence(result.verify), inset=True)
    yield Text(result.verify.why.strip(), inset=True)


def usual_values(result: Result) -> tuple[Block, ...]:
    """The values of the rig that nobody gave."""
    return (Text(words.usual(result.leaned_on), inset=True),) if result.leaned_on else ()
