"""The command handbook: the knowledge in the terminal, or as one page in a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.bench import Bench, Shop
from diagnose.casebook.outputs import check_free, write_out
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import FailureMode, holds
from diagnose.catalogue.rule_records import ThenStop
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import bundled_rigs
from diagnose.design.facts import rig_facts
from diagnose.errors import UnknownName, nearest
from diagnose.report.lessons import shipped_lessons
from diagnose.report.telling_apart import Apart
from diagnose.terminal import options
from diagnose.terminal.handbook import views as views
from diagnose.terminal.paging import pages
from diagnose.terminal.plain import Screen, patience
from diagnose.terminal.prompts import Keyboard, Talk

if TYPE_CHECKING:
    from rich.console import RenderableType

FIRST_RIG = "bowser"
"""The rig that the book is computed for when none is named and this one will do."""

Shown = Iterator["RenderableType"]


def read(name: str, rig: str) -> None:
    """One entry by its id, or the contents. Raises DiagnoseError."""
    shop, screen = options.shop(), Screen.standard()
    wanted = " ".join(name.split())
    found = _entry(screen, shop, wanted, rig) if wanted else views.contents(screen, shop)
    if screen.console.is_terminal:
        pages(Talk(screen, Keyboard()), found)
    else:
        screen.show(*found)


def written(file: Path, rig: str, force: bool = False) -> None:
    """The whole book as one HTML page. Raises DiagnoseError."""
    from diagnose.report.handbook_html import handbook_html

    check_free(file, force)
    bench = options.bench_for(options.rig_called(rig or FIRST_RIG), options.shop())
    with patience("Writing the book"):
        write_out(file, handbook_html(bench), force)
    Screen.standard().say(f"Written: {file}, for {bench.rig.name}.")


def _entry(screen: Screen, shop: Shop, wanted: str, rig: str) -> Shown:
    """What the book has under an id or a title. Raises UnknownName."""
    book, lessons = shop.catalogue, {one.id: one for one in shipped_lessons()}
    groups = {mode.group for mode in book.failure_modes.values()}
    name = _id_of(wanted, shop)
    kinds: tuple[tuple[Mapping[str, object] | set[str], Callable[[], Shown]], ...] = (
        (book.failure_modes, lambda: _mode(screen, shop, book.failure_modes[name], rig)),
        (lessons, lambda: views.lesson(screen, lessons[name])),
        (groups, lambda: views.group(screen, shop, name)),
        (book.observations, lambda: views.observation(screen, shop, name)),
        (book.readings, lambda: views.reading(screen, _bench(shop, rig or FIRST_RIG), name)),
        (book.stops, lambda: views.stop(screen, shop, name, _raising(name))),
        (book.cautions, lambda: views.caution(screen, shop, name)),
    )
    for names, show in kinds:
        if name in names:
            return show()
    known = [each for names, _ in kinds for each in names]
    raise UnknownName("entry of the handbook", wanted, None, nearest(name, known))


def _raising(stop: str) -> list[str]:
    """Why each rule that raises a stop does so."""
    rules = [rule for rule in shipped_rules() if rule.then == ThenStop(stop)]
    return [" ".join(rule.because.split()) for rule in rules]


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
    return options.bench_for(options.rig_called(rig), shop)


def _mode(screen: Screen, shop: Shop, mode: FailureMode, rig: str) -> Shown:
    bench = _bench(shop, rig or _rig_for(mode))
    return views.mode(screen, Apart(bench), mode)


def _rig_for(mode: FailureMode) -> str:
    """A bundled rig that can have a failure mode: the usual one if it can, else one in short."""
    in_short = [name for name in bundled_rigs() if not options.rig_called(name).feed]
    names = (FIRST_RIG, *in_short, *bundled_rigs())
    fitting = (n for n in names if holds(mode.applies, rig_facts(Model.of(options.rig_called(n)))))
    return next(fitting, FIRST_RIG)
