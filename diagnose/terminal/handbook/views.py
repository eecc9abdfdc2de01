"""The entries of the handbook on the screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from diagnose.bench import Bench, Shop
from diagnose.catalogue.records import FailureMode, Observation, ReadingEntry, holds
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning import words
from diagnose.reasoning.stops import ActiveStop
from diagnose.report.lessons import Lesson, shipped_lessons
from diagnose.report.mode_page import ModePage, mode_page
from diagnose.report.telling_apart import Apart, Parting
from diagnose.terminal.cautions import LOCAL_CODES
from diagnose.terminal.layout import NARROW, block, heading, items, rows
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.stops import stop_view
from diagnose.terminal.walk.question_view import options_view

if TYPE_CHECKING:
    from rich.console import RenderableType

Shown = Iterator["RenderableType"]


def contents(screen: Screen, shop: Shop) -> Shown:
    """What the book holds, with the names to ask for."""
    yield heading(screen, "The handbook: diagnose handbook NAME")
    lessons = [(one.id, one.title) for one in shipped_lessons()]
    yield from _part(screen, "The circuits explained", [_named(screen, lessons)])
    for name in _groups(shop):
        modes = [(one.id, one.title) for one in _modes(shop, name)]
        yield from _part(screen, f"Failure modes: {words.spaced(name)}", [_named(screen, modes)])
    tests = [(one.id, one.ask) for one in shop.catalogue.observations.values()]
    yield from _part(screen, "Looking, listening, feeling, trying", [_named(screen, tests)])
    readings = ", ".join(shop.catalogue.readings)
    yield from _part(screen, "Readings", [para(readings, indent=2)])
    stops = [(one.id, one.title) for one in shop.catalogue.stops.values()]
    yield from _part(screen, "Stops: nothing under power", [_named(screen, stops)])
    yield from _part(screen, "Cautions", [para(", ".join(shop.catalogue.cautions), indent=2)])
    yield para("")
    yield para(LOCAL_CODES, "yellow")
    yield para("All of it as one page to print: diagnose handbook --html FILE")


def _part(screen: Screen, title: str, body: Sequence[RenderableType]) -> Shown:
    part = block(screen, title, body)
    if part is not None:
        yield part


def _named(screen: Screen, pairs: Sequence[tuple[str, str]]) -> RenderableType:
    """Ids with what they stand for; on a narrow screen one below the other."""
    widest = max(len(name) for name, _ in pairs)
    if screen.width >= max(NARROW, widest + 30):
        return rows(pairs, [widest, None], styles=["bold"])
    return rows([(f"{name}: {title}",) for name, title in pairs], [None])


def _groups(shop: Shop) -> list[str]:
    return list(dict.fromkeys(mode.group for mode in shop.catalogue.failure_modes.values()))


def _modes(shop: Shop, group: str) -> list[FailureMode]:
    return [mode for mode in shop.catalogue.failure_modes.values() if mode.group == group]


def group(screen: Screen, shop: Shop, name: str) -> Shown:
    """A component group: what its failure modes are, in a sentence or two each."""
    yield heading(screen, f"Failure modes: {words.spaced(name)}")
    for one in _modes(shop, name):
        yield from _part(screen, f"{one.title} ({one.id})", [para(_line(one.about), indent=2)])


def lesson(screen: Screen, one: Lesson) -> Shown:
    """A part of the circuits explained."""
    yield heading(screen, one.title)
    for paragraph in one.paragraphs:
        yield para(paragraph)
        yield para("")
    yield para(f"Sources: {', '.join(one.sources)}", "dim")


def caution(screen: Screen, shop: Shop, name: str) -> Shown:
    yield heading(screen, words.spaced(name))
    yield para(_line(shop.catalogue.cautions[name].text), "yellow")


def stop(screen: Screen, shop: Shop, name: str, raised_by: Sequence[str]) -> Shown:
    """A stop: what to do, how it ends, and what raises it. raised_by: reasons of its rules."""
    yield from stop_view(ActiveStop(shop.catalogue.stops[name]))
    yield from _part(screen, "What raises it", items(raised_by))
    yield para(LOCAL_CODES, "yellow")


def observation(screen: Screen, shop: Shop, name: str) -> Shown:
    """How a look, a feel or a try is done, and what its answers mean."""
    one = shop.catalogue.observations[name]
    yield heading(screen, one.ask)
    yield from _how(screen, shop, one)
    yield from _part(screen, "Answers", [options_view(screen, one.options.items())])


def reading(screen: Screen, bench: Bench, name: str) -> Shown:
    """How a reading is taken, and what it is on this rig when sound."""
    one = bench.shop.catalogue.readings[name]
    yield heading(screen, name)
    if name in bench.tests:
        sound = bench.healthy.expected(one.reading)
        reads = words.band(sound.low, sound.high, one.reading)
        yield para(f"On {bench.rig.name} a sound rig reads {reads}.", "bold")
    else:
        yield para(f"{bench.rig.name} has no such point.")
    yield from _how(screen, bench.shop, one)
    quantity = bench.shop.catalogue.quantities[one.reading.quantity]
    yield from _part(screen, f"The meter on {quantity.unit}", [para(_line(quantity.how), indent=2)])


def _how(screen: Screen, shop: Shop, one: Observation | ReadingEntry) -> Shown:
    yield para(f"{words.time(one.minutes)}. {words.STATES[one.state]}", "dim")
    yield para(_line(one.how))
    yield para(_line(one.why))
    if isinstance(one, Observation) and one.tells:
        yield para(f"Tells {_line(one.tells)}.")
    unsafe = one.unsafe_when if isinstance(one, Observation) else ()
    for danger in unsafe:
        yield para(f"Not when {_line(danger)}.", "yellow")
    texts = [_line(shop.catalogue.cautions[name].text) for name in one.cautions]
    yield from _part(screen, "Cautions", items(texts, "!"))


def mode(screen: Screen, apart: Apart, one: FailureMode) -> Shown:
    """A failure mode: what it is, how it shows, what it is mistaken for, how it is mended."""
    bench, found = apart.bench, mode_page(apart, one)
    yield heading(screen, f"{one.title} ({one.id})")
    yield mark(_line(one.about))
    if found.needs:
        yield para(f"{bench.rig.name} cannot have it; it needs {found.needs}.")
    else:
        yield para(f"Computed for {words.rig_line(bench.rig)}.", "dim")
    names = dict.fromkeys((*one.cautions, "local-codes"))
    cautions = [_line(bench.shop.catalogue.cautions[name].text) for name in names]
    for title, body in (
        ("How it looks and sounds", items(_signs(found))),
        ("How it reads on this rig", _reads(screen, found)),
        ("What it is mistaken for, and what tells them apart", _apart(found)),
        ("Why it comes about", items(_root_causes(bench, one))),
        ("Often a result of", items(_behind(bench, one))),
        ("Cautions", items(cautions, "!")),
        ("What to do", items(map(_line, one.fix), "1")),
        ("Parts", items(map(_line, one.parts))),
        ("Proof that it is mended", items(_proof(found))),
        ("So that it does not come back", items(map(_line, one.prevention))),
    ):
        yield from _part(screen, title, list(body))


def _signs(found: ModePage) -> Iterator[str]:
    for sign in found.signs:
        chance = words.per_cent(sign.share)
        yield f"{sign.entry.ask} {sign.option}, {chance}: {sign.entry.options[sign.option]}"


def _reads(screen: Screen, found: ModePage) -> Shown:
    if screen.width >= NARROW and found.reads:
        lines = [(in_words(line.reading), line.sound, line.here) for line in found.reads]
        widest = max(len(line[0]) for line in lines)
        yield rows([("", "sound", "with this fault, mostly"), *lines], [widest, 16, None])
        return
    for line in found.reads:
        yield para(
            f"{in_words(line.reading)}: sound {line.sound}, here mostly {line.here}", indent=2
        )


def _apart(found: ModePage) -> Shown:
    for other, partings in found.apart:
        yield para(f"{other.title} ({other.id})", "bold", indent=2)
        told = [_parting(one) for one in partings]
        yield from items(told or ["Nothing that can be asked tells them apart well."], indent=4)


def _parting(one: Parting) -> str:
    return f"{one.test.id}: {one.here} here, {one.there} there"


def _root_causes(bench: Bench, one: FailureMode) -> Iterator[str]:
    for cause in one.root_causes:
        if holds(cause.when, bench.hypotheses.facts):
            said, mend = _line(cause.cause).rstrip("."), _line(cause.mend).rstrip(".")
            yield f"{said}. Mend: {mend}."


def _behind(bench: Bench, one: FailureMode) -> list[str]:
    return [bench.shop.catalogue.failure_modes[name].title for name in one.result_of]


def _proof(found: ModePage) -> Iterator[str]:
    if found.proof:
        low, high, reading = found.proof.low, found.proof.high, found.proof.reading
        band = words.band(low, high, reading)
        yield f"{in_words(reading)} reads {band}: {_line(found.proof.why)}."


def _line(text: str) -> str:
    return " ".join(text.split())
