"""Cases in full: `cases show`, in the order in which it happened; `cases report`, a page to print;
and `cases export`, for other programs."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from diagnose.casebook.closure import LOADED, doubt
from diagnose.casebook.closure import shown as proof_value
from diagnose.casebook.disk import plain_trouble
from diagnose.casebook.export import csv_lines, json_lines
from diagnose.casebook.outputs import check_free, write_out
from diagnose.casebook.record import Case, ReadAt, SeenAt
from diagnose.casebook.store import Casebook
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.reading_words import in_words
from diagnose.errors import DiagnoseError, Place
from diagnose.pages.blocks import Share, Shares
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.stops import ActiveStop
from diagnose.report.case_html import behind, case_html, standing_in
from diagnose.terminal.cases.listing import Selection, filter_of, select
from diagnose.terminal.layout import NARROW, blocks, heading, items, rows, shares_view
from diagnose.terminal.plain import Renderable, Screen, complain, mark, para, spelled_out
from diagnose.terminal.stops import stop_view

LIKELY = 0.01
"""Probability from which a failure mode of the ranking is shown."""

MOVED = ((1.0, "much"), (0.3, "some"), (0.05, "a little"), (float("-inf"), "hardly"))
"""Words for how far an answer moved the ranking, from these values up; 1 is as much as settles one
even choice of two."""

CONFIRMED = {
    "none": "not confirmed",
    "verification": "confirmed by the reading after the repair",
    "part-swapped": "confirmed by the part that was swapped",
}


FORMS = {"csv": csv_lines, "jsonl": json_lines}


class NoForm(DiagnoseError):
    """It was not said in which form the cases are wanted."""


class NotThere(DiagnoseError):
    """An export is not written among the cases themselves."""


class NotAPage(DiagnoseError):
    """A report goes into a file of its own kind, so that it cannot replace a case by mistake."""


def show(name: str, casebook: Path | None) -> None:
    """Raises DiagnoseError: no such case, or a broken file."""
    screen = Screen.standard()
    screen.show(*view(screen, _case_named(name, casebook), shipped_catalogue()))


def report(name: str, html: Path | None, notes: bool, force: bool, casebook: Path | None) -> None:
    """Raises DiagnoseError: no such case, a broken file, or one that cannot be written."""
    case = _case_named(name, casebook)
    target = html or Path(f"{case.id}.html")
    if target.suffix.lower() not in (".html", ".htm"):
        raise NotAPage("a report is a page; let its name end in .html", Place(str(target)))
    check_free(target, force)
    write_out(target, case_html(case, shipped_catalogue(), notes), force)
    Screen.standard().say(f"Written: {target}")


def _case_named(name: str, folder: Path | None) -> Case:
    casebook = Casebook.open(folder)
    return casebook.load(casebook.find(name))


def view(screen: Screen, case: Case, book: Catalogue) -> Iterator[Renderable]:
    """The blocks of a case; what it does not hold is left out."""
    yield heading(screen, case.id)
    for stop in standing_in(case, book):
        yield from stop_view(ActiveStop(stop))
    yield mark(words.rig_line(case.rig))
    end = f", closed {moment(case.closed)}, {CONFIRMED[case.confirmed_by]}" if case.closed else ""
    yield mark(f"Opened {moment(case.opened)}{end or f', {case.status}'}.")
    named = (
        ("What the customer said", items(_complaint(case, book))),
        (
            "What it was taken for" if case.status == "reopened" else "What it was",
            _cause(case, book),
        ),
        ("Seen and read, and how far it moved the ranking", _findings(screen, case)),
        ("What this says", items(case.findings)),
        ("Stops", items(_stops(case, book))),
        ("Passed over", items(f"{words.of_test(one.test)}: {one.how}" for one in case.passed_over)),
        ("Ranking at the end", _ranking(screen, case, book)),
        ("Repair", items(_repair(case, book)) if case.looked_into else ()),
        ("Came back", items(_returns(case))),
        ("Notes", [para(case.notes, indent=2)] if case.notes else ()),
        (
            "Values of the rig that were taken as usual",
            items([words.usual(case.rig.assumed)] if case.rig.assumed else ()),
        ),
    )
    yield from blocks(named)
    yield para("")
    spent = f"{case.questions} question{'s' * (case.questions != 1)}, {words.time(case.minutes)}."
    yield para(f"{spent} Knowledge {case.knowledge}. Times are UTC.", "dim")


def title_of(book: Catalogue, mode: str) -> str:
    """A failure mode in words with its id; the bare id where today's book has none."""
    if mode == OTHER:
        return "Not in the book"
    known = book.failure_modes.get(mode)
    return f"{known.title} ({mode})" if known else mode


def moment(at: datetime) -> str:
    """A time to the minute."""
    return f"{at:%Y-%m-%d %H:%M}"


def _stops(case: Case, book: Catalogue) -> Iterator[str]:
    """What stopped the work, and whether it was made safe."""
    for one in case.stops:
        known = book.stops.get(one.stop)
        named = f"{known.title} ({one.stop})" if known else one.stop
        if one.lifted:
            yield f"{named}: made safe {moment(one.lifted)}."
        else:
            yield f"{named}: it stands."


def _complaint(case: Case, book: Catalogue) -> Iterator[str]:
    for said in case.complaint:
        known = book.complaints.get(said)
        yield known.say if known else said


def _cause(case: Case, book: Catalogue) -> Iterator[Renderable]:
    if case.true_cause:
        yield para(f"{title_of(book, case.true_cause)}.", "bold", indent=2)
    if case.true_words:
        yield para(case.true_words, indent=2)
    if not case.looked_into:
        yield para("Nothing was asked after the complaint, so there is no diagnosis.", indent=2)
        return
    if case.true_cause == case.cause:
        yield para("The walk had ended on the same.", indent=2)
    else:
        so_far = "The walk had ended on" if case.true_cause else "Not known yet; the walk ended on"
        yield para(f"{so_far}: {title_of(book, case.cause)}.", indent=2)
    if said := behind(case):
        yield para(said, indent=2)


def _findings(screen: Screen, case: Case) -> Iterator[Renderable]:
    """What was found, and how far each moved the ranking."""
    shown = [(_moved(item), *_finding(item)) for item in case.found]
    if not shown:
        return
    if screen.width < NARROW:
        stacked = [(moved, f"{test}: {answer}") for moved, test, answer in shown]
        yield rows(stacked, [8, None], right=[0])
        return
    yield rows(shown, [8, 38, None], right=[0])


def _moved(item: SeenAt | ReadAt) -> str:
    if item.moved is None:
        return ""
    return next(said for least, said in MOVED if item.moved >= least)


def _finding(item: SeenAt | ReadAt) -> tuple[str, str]:
    sure = ", twice" if item.sure else ""
    if isinstance(item, SeenAt):
        return words.spaced(item.observation), f"{words.spaced(item.option)}{sure}"
    sound = words.band(item.low, item.high, item.reading)
    value = item.typed or words.value(item.value, item.reading)
    return in_words(item.reading), f"{value}, {item.verdict}{sure} (sound: {sound})"


def _ranking(screen: Screen, case: Case, book: Catalogue) -> Iterator[Renderable]:
    likely = [(mode, p) for mode, p in case.ranking if p >= LIKELY]
    if likely:
        named = (Share(words.per_cent(p), p, title_of(book, mode)) for mode, p in likely)
        yield shares_view(screen, Shares(tuple(named)))


def _repair(case: Case, book: Catalogue) -> Iterator[str]:
    known = book.failure_modes.get(case.true_cause or case.cause)
    yield words.spaced(known.repair if known else case.repair)
    if case.parts:
        yield f"Parts: {', '.join(case.parts)}"
    if proof := case.verification:
        band = words.band(proof.low, proof.high, proof.reading)
        how = "within" if proof.within else "outside"
        load = f" ({LOADED[proof.load]})" if proof.load else ""
        told = f"Then {in_words(proof.reading)} read {proof_value(proof)}{load}, {how} {band}"
        yield f"{told}. {doubt(proof)}" if doubt(proof) else told


def _returns(case: Case) -> Iterator[str]:
    for back in case.came_back:
        after = "" if back.days is None else f", {back.days} days after it was closed"
        yield f"{moment(back.at)}{after}"


def export(
    file: Path | None,
    as_csv: bool,
    as_lines: bool,
    notes: bool,
    force: bool,
    casebook: Path | None,
    **chosen: str,
) -> None:
    """Raises DiagnoseError; a file that was there is then as it was."""
    wanted, form = filter_of(**chosen), form_of(file, as_csv, as_lines)
    target = None if file in (None, Path("-")) else file
    with select(casebook, wanted) as here:
        if target is not None:
            _check(target, here)
            check_free(target, force)
        written = FORMS[form](_cases(here), None if notes else shipped_catalogue())
        if target is None:
            spelled_out(sys.stdout)
            sys.stdout.writelines(written)
            return
        write_out(target, "".join(written), force)
        count = len(here.briefs)
        complain(f"{count} case{'s' * (count != 1)} written to {target}.")


def form_of(file: Path | None, as_csv: bool, as_lines: bool) -> str:
    """The form asked for, else the one that the name of the file ends in, else a table. Raises
    NoForm where a name ends in neither, or two forms are asked for."""
    if as_csv and as_lines:
        raise NoForm("say one form: --csv for a table, or --jsonl for whole cases.")
    if as_csv or as_lines:
        return "csv" if as_csv else "jsonl"
    ending = file.suffix.lower().lstrip(".") if file else ""
    if ending and ending not in FORMS:
        raise NoForm(
            f"a name that ends in .{ending} does not say in which form: end it in .csv for a table "
            "or .jsonl for whole cases, or say --csv or --jsonl.",
            Place(str(file)),
        )
    return ending or "csv"


def _check(target: Path, here: Selection) -> None:
    with plain_trouble(target):
        inside = target.resolve().is_relative_to(here.casebook.folder.resolve())
    if inside:
        raise NotThere("is in the casebook itself; choose another folder", Place(str(target)))


def _cases(here: Selection) -> Iterator[Case]:
    """The cases wanted, in full; one that has become unreadable meanwhile is named."""
    for brief in here.briefs:
        try:
            yield here.casebook.load(brief.id)
        except DiagnoseError as problem:
            complain(str(problem))
