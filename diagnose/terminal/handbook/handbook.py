"""The command handbook: the knowledge in the terminal, or as one page in a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from diagnose.bench import Bench, Shop
from diagnose.casebook.outputs import check_free, write_out
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import FailureMode, Observation, ReadingEntry, holds
from diagnose.catalogue.rule_records import ThenStop
from diagnose.circuit.model import Model
from diagnose.circuit.reading_words import in_words
from diagnose.circuit.rig import bundled_rigs, rig_called
from diagnose.design.facts import rig_facts
from diagnose.errors import UnknownName, nearest, one_line
from diagnose.pages.cautions import LOCAL_CODES
from diagnose.reasoning import words
from diagnose.reasoning.stops import ActiveStop
from diagnose.report.lessons import Lesson, shipped_lessons
from diagnose.report.mode_page import ModePage, mode_page
from diagnose.report.telling_apart import Apart
from diagnose.terminal import options
from diagnose.terminal.layout import NARROW, block, blocks, heading, items, options_view, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para, patience
from diagnose.terminal.prompts import Keyboard, Talk, pages
from diagnose.terminal.stops import stop_view

FIRST_RIG = "bowser"
"""The rig that the book is computed for when none is named and this one will do."""

Shown = Iterator[Renderable]


def handbook(name: str, rig: str, html: Path | None, force: bool) -> None:
    """One entry by its id, or the contents; or the whole book into a file. Raises DiagnoseError."""
    if html is not None:
        _write(html, rig, force)
        return
    shop, screen, wanted = options.shop(), Screen.standard(), one_line(name)
    found = _entry(screen, shop, wanted, rig) if wanted else contents(screen, shop)
    if screen.console.is_terminal:
        pages(Talk(screen, Keyboard()), found)
    else:
        screen.show(*found)


def _write(file: Path, rig: str, force: bool) -> None:
    from diagnose.report.handbook_html import handbook_html

    check_free(file, force)
    bench = _bench(options.shop(), rig or FIRST_RIG)
    with patience("Writing the book"):
        write_out(file, handbook_html(bench), force)
    Screen.standard().say(f"Written: {file}, for {bench.rig.name}.")


def _entry(screen: Screen, shop: Shop, wanted: str, rig: str) -> Shown:
    """What the book has under an id or a title. Raises UnknownName."""
    book, lessons = shop.catalogue, {one.id: one for one in shipped_lessons()}
    groups = {mode.group for mode in book.failure_modes.values()}
    name = _id_of(wanted, shop)
    kinds: tuple[tuple[Mapping[str, object] | set[str], Callable[[], Shown]], ...] = (
        (book.failure_modes, lambda: mode(screen, shop, book.failure_modes[name], rig)),
        (lessons, lambda: lesson(screen, lessons[name])),
        (groups, lambda: group(screen, shop, name)),
        (book.observations, lambda: observation(screen, shop, name)),
        (book.readings, lambda: reading(screen, _bench(shop, rig or FIRST_RIG), name)),
        (book.stops, lambda: stop(shop, name)),
        (book.cautions, lambda: caution(screen, shop, name)),
    )
    for names, show in kinds:
        if name in names:
            return show()
    known = [each for names, _ in kinds for each in names]
    raise UnknownName("entry of the handbook", wanted, None, nearest(name, known))


def _id_of(wanted: str, shop: Shop) -> str:
    """The id for a title, or for an id that was written with spaces or capitals."""
    said = wanted.lower()
    if said in shop.catalogue.readings:
        return said
    titles = {mode.title.lower(): mode.id for mode in shop.catalogue.failure_modes.values()}
    titles |= {stop.title.lower(): stop.id for stop in shop.catalogue.stops.values()}
    titles |= {lesson.title.lower(): lesson.id for lesson in shipped_lessons()}
    return titles.get(said, "-".join(said.split()))


def _bench(shop: Shop, rig: str) -> Bench:
    return options.bench_for(rig_called(rig), shop)


def _rig_for(mode: FailureMode) -> str:
    """A bundled rig that can have a failure mode: the usual one if it can, else one in short."""
    in_short = [name for name in bundled_rigs() if not rig_called(name).feed]
    names = (FIRST_RIG, *in_short, *bundled_rigs())
    fitting = (n for n in names if holds(mode.applies, rig_facts(Model.of(rig_called(n)))))
    return next(fitting, FIRST_RIG)


def contents(screen: Screen, shop: Shop) -> Shown:
    """What the book holds, with the names to ask for."""
    yield heading(screen, "The handbook: diagnose handbook NAME")
    lessons = [(one.id, one.title) for one in shipped_lessons()]
    yield from block("The circuits explained", _named(screen, lessons))
    for name in dict.fromkeys(mode.group for mode in shop.catalogue.failure_modes.values()):
        modes = [(one.id, one.title) for one in _modes(shop, name)]
        yield from block(f"Failure modes: {words.spaced(name)}", _named(screen, modes))
    tests = [(one.id, one.ask) for one in shop.catalogue.observations.values()]
    yield from block("Looking, listening, feeling, trying", _named(screen, tests))
    readings = ", ".join(shop.catalogue.readings)
    yield from block("Readings", para(readings, indent=2))
    stops = [(one.id, one.title) for one in shop.catalogue.stops.values()]
    yield from block("Stops: nothing under power", _named(screen, stops))
    yield from block("Cautions", para(", ".join(shop.catalogue.cautions), indent=2))
    yield para("")
    yield para(LOCAL_CODES, "yellow")
    yield para("All of it as one page to print: diagnose handbook --html FILE")


def _named(screen: Screen, pairs: Sequence[tuple[str, str]]) -> Renderable:
    """Ids with what they stand for; on a narrow screen one below the other."""
    widest = max(len(name) for name, _ in pairs)
    if screen.width >= max(NARROW, widest + 30):
        return rows(pairs, [widest, None], styles=["bold"])
    return rows([(f"{name}: {title}",) for name, title in pairs], [None])


def _modes(shop: Shop, group: str) -> list[FailureMode]:
    return [mode for mode in shop.catalogue.failure_modes.values() if mode.group == group]


def group(screen: Screen, shop: Shop, name: str) -> Shown:
    """A component group: what its failure modes are, in a sentence or two each."""
    yield heading(screen, f"Failure modes: {words.spaced(name)}")
    for one in _modes(shop, name):
        yield from block(f"{one.title} ({one.id})", para(one_line(one.about), indent=2))


def lesson(screen: Screen, one: Lesson) -> Shown:
    """A part of the circuits explained."""
    yield heading(screen, one.title)
    for paragraph in one.paragraphs:
        yield para(paragraph)
        yield para("")
    yield para(f"Sources: {', '.join(one.sources)}", "dim")


def caution(screen: Screen, shop: Shop, name: str) -> Shown:
    yield heading(screen, words.spaced(name))
    yield para(one_line(shop.catalogue.cautions[name].text), "yellow")


def stop(shop: Shop, name: str) -> Shown:
    """A stop: what to do, how it ends, and what raises it."""
    rules = [rule for rule in shipped_rules() if rule.then == ThenStop(name)]
    raised_by = [one_line(rule.because) for rule in rules]
    yield from stop_view(ActiveStop(shop.catalogue.stops[name]))
    yield from block("What raises it", *items(raised_by))
    yield para(LOCAL_CODES, "yellow")


def observation(screen: Screen, shop: Shop, name: str) -> Shown:
    """How a look, a feel or a try is done, and what its answers mean."""
    one = shop.catalogue.observations[name]
    yield heading(screen, one.ask)
    yield from _how(shop, one)
    yield from block("Answers", options_view(screen, one.options.items()))


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
    yield from _how(bench.shop, one)
    quantity = bench.shop.catalogue.quantities[one.reading.quantity]
    yield from block(f"The meter on {quantity.unit}", para(one_line(quantity.how), indent=2))


def _how(shop: Shop, one: Observation | ReadingEntry) -> Shown:
    yield para(f"{words.time(one.minutes)}. {words.STATES[one.state]}", "dim")
    yield para(one_line(one.how))
    yield para(one_line(one.why))
    if isinstance(one, Observation) and one.tells:
        yield para(f"Tells {one_line(one.tells)}.")
    unsafe = one.unsafe_when if isinstance(one, Observation) else ()
    for danger in unsafe:
        yield para(f"Not when {one_line(danger)}.", "yellow")
    texts = [one_line(shop.catalogue.cautions[name].text) for name in one.cautions]
    yield from block("Cautions", *items(texts, "!"))


def mode(screen: Screen, shop: Shop, one: FailureMode, rig: str) -> Shown:
    """A failure mode: what it is, how it shows, what it is mistaken for, how it is mended."""
    bench = _bench(shop, rig or _rig_for(one))
    found = mode_page(Apart(bench), one)
    yield heading(screen, f"{one.title} ({one.id})")
    yield mark(one_line(one.about))
    if found.needs:
        yield para(f"{bench.rig.name} cannot have it; it needs {found.needs}.")
    else:
        yield para(f"Computed for {words.rig_line(bench.rig)}.", "dim")
    names = dict.fromkeys((*one.cautions, "local-codes"))
    cautions = [one_line(bench.shop.catalogue.cautions[name].text) for name in names]
    named = (
        ("How it looks and sounds", items(_signs(found))),
        ("How it reads on this rig", _reads(screen, found)),
        ("What it is mistaken for, and what tells them apart", _apart(found)),
        ("Why it comes about", items(_root_causes(bench, one))),
        ("Often a result of", items(_behind(bench, one))),
        ("Cautions", items(cautions, "!")),
        ("What to do", items(map(one_line, one.fix), "1")),
        ("Parts", items(map(one_line, one.parts))),
        ("Proof that it is mended", items(_proof(found))),
        ("So that it does not come back", items(map(one_line, one.prevention))),
    )
    yield from blocks(named)


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
        told = [f"{one.test.id}: {one.here} here, {one.there} there" for one in partings]
        yield from items(told or ["Nothing that can be asked tells them apart well."], indent=4)


def _root_causes(bench: Bench, one: FailureMode) -> Iterator[str]:
    for cause in one.root_causes:
        if holds(cause.when, bench.hypotheses.facts):
            said, mend = one_line(cause.cause).rstrip("."), one_line(cause.mend).rstrip(".")
            yield f"{said}. Mend: {mend}."


def _behind(bench: Bench, one: FailureMode) -> list[str]:
    return [bench.shop.catalogue.failure_modes[name].title for name in one.result_of]


def _proof(found: ModePage) -> Iterator[str]:
    if found.proof:
        low, high, reading = found.proof.low, found.proof.high, found.proof.reading
        band = words.band(low, high, reading)
        yield f"{in_words(reading)} reads {band}: {one_line(found.proof.why)}."
