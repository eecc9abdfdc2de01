"""What a rig should read: the commands expect, a table, and rig sheet, for whoever builds it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

from diagnose.casebook.outputs import check_free, write_out
from diagnose.casebook.rig_record import readings_beside
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, rig_called
from diagnose.design.volt_plot import SOUND, Level, volt_plot, way_round
from diagnose.reasoning import words
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.commissioning import dates_in_words
from diagnose.reasoning.expectations import (
    Expected,
    Fault,
    Healthy,
    PredictedReading,
    fault_in,
    predicted_readings,
    volts_along_the_circuit,
)
from diagnose.report.sheet import Sheet
from diagnose.terminal.json_lines import Record, print_json, reading_record
from diagnose.terminal.layout import NARROW, block, heading, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para, patience

ALONG = "Along the circuit, black on battery-"

Table = tuple[tuple[str, ...], tuple[int, ...], tuple[int, ...]]
PLAIN: Table = (("", "sound", "band", "fault", ""), (31, 12, 16, 12, 1), (1, 3))
OWN: Table = (("", "this rig", "band", "the book", "band"), (23, 9, 14, 9, 14), (1, 3))
OWN_FAULT: Table = (
    ("", "this rig", "band", "book's band", "fault", ""),
    (21, 9, 14, 14, 9, 1),
    (1, 4),
)
"""Heads, widths and columns set flush right of a table; OWN of a rig with readings of its own."""

PAGES = (".html", ".htm")
"""Endings of a sheet that is written as a page to print; any other is plain text."""

DIFFERS = "<"
"""Stands behind a reading that gives the fault away."""


def expect(rig: str, fault: str, severity: str, as_json: bool) -> None:
    """Raises DiagnoseError."""
    here = rig_called(rig)
    with patience("Working out what a sound rig reads"):
        book, model = for_rig(shipped_catalogue(), here), Model.of(here)
        own = readings_beside(rig, here)
        known = CalibratedRig(book, model, own) if own else None
        well = known.well if known else None
        beside = fault_in(book, model, fault, severity, well) if fault else None
        healthy = Healthy(book, model, known)
        round_it = volts_along_the_circuit(here, healthy, beside)
        readings = predicted_readings(here, model, healthy, beside)
    if as_json:
        dates = {"held_against": [*own.dates]} if own else {}
        print_json(record(here, round_it, readings, beside) | dates)
        return
    screen = Screen.standard()
    against = dates_in_words(own) if own else ""
    screen.show(*view(screen, here, round_it, readings, beside, against))


def record(
    rig: Rig,
    round_it: Sequence[PredictedReading],
    readings: Sequence[PredictedReading],
    fault: Fault | None,
) -> Record:
    """The same as one JSON object."""
    return {
        "type": "expectations",
        "rig": rig.name,
        "fault": {
            "failure_mode": fault.mode.id,
            "title": fault.mode.title,
            "severity": fault.severity,
            "effect": fault.variant.effects[0].name,
            "blown": [*fault.blown],
        }
        if fault
        else None,
        "along": [_line_record(line) for line in round_it],
        "readings": [_line_record(line) for line in readings],
        "leaned_on": [*rig.assumed],
    }


def _line_record(line: PredictedReading) -> Record:
    found: Record = {
        "read": str(line.reading),
        **reading_record(line.reading),
        "value": line.sound.value,
        "expected": [line.sound.low, line.sound.high],
    }
    if book := line.sound.book:
        found["by_the_book"] = {"value": book.value, "expected": [book.low, book.high]}
    if line.faulty is not None:
        found |= {"faulty": line.faulty, "verdict": line.verdict, "differs": line.differs}
    return found


def view(
    screen: Screen,
    rig: Rig,
    round_it: Sequence[PredictedReading],
    readings: Sequence[PredictedReading],
    fault: Fault | None,
    against: str = "",
) -> Iterator[Renderable]:
    """The readings by state, the way round the circuit first. against: which readings of its own
    the rig is held against, "" for the book's."""
    yield heading(screen, words.rig_line(rig))
    if against:
        yield para(f"{against} Beside them what the book expects of any rig so built.")
    if fault is not None:
        yield para(_fault_sentence(fault))
        yield para(f"{DIFFERS} marks what the fault changes beyond what sound rigs differ.", "dim")
    yield from _part(screen, f"{ALONG}, pump asked to run", round_it, True)
    yield from _plot(screen, rig, round_it)
    for state, lines in groupby(readings, key=lambda line: line.reading.condition):
        yield from _part(screen, words.STATES[state].removesuffix("."), [*lines], False)
    if rig.assumed:
        yield para("")
        yield para(f"Values taken as usual: {words.usual(rig.assumed)}.", "dim")


def _plot(screen: Screen, rig: Rig, round_it: Sequence[PredictedReading]) -> Iterator[Renderable]:
    """The same as bars in the order of the current, so that one sees where the volts go."""
    by_point = {line.reading.points[0]: line for line in round_it}
    lines = [by_point[point] for point in way_round(rig)]
    levels = [Level(line.reading.points[0], line.sound.value, line.faulty) for line in lines]
    faulty = any(line.faulty is not None for line in lines)
    title = f"Where the volts go{f' ({SOUND} is a sound rig)' if faulty else ''}"
    yield from block(title, *map(mark, volt_plot(levels, screen.width, not screen.drawn)))


def _fault_sentence(fault: Fault) -> str:
    blown = " and ".join(name.replace("_", " ") for name in fault.blown)
    effect = fault.variant.effects[0].name
    share = words.per_cent(fault.variant.share)
    where = f" ({effect}, {share} of such cases)" if fault.variant.share < 1 else ""
    after = f"; it has blown the {blown}" if blown else ""
    return f"Beside it: {fault.mode.title}, {fault.severity}{where}{after}."


def _part(
    screen: Screen, title: str, lines: Sequence[PredictedReading], against: bool
) -> Iterator[Renderable]:
    table = rows([cell for line in lines for cell in _stacked(line, against)], [None], indent=0)
    if screen.width >= NARROW:
        own = any(line.sound.book for line in lines)
        table = _table([_cells(line, against) for line in lines], own)
    yield from block(title, table)


def _table(cells: Sequence[Sequence[str]], own: bool) -> Renderable:
    head, widths, right = PLAIN if not own else OWN if len(cells[0]) == len(OWN[0]) else OWN_FAULT
    count = len(cells[0])
    flush = [column for column in right if column < count]
    return rows([head[:count], *cells], widths[:count], indent=0, right=flush)


def _name(line: PredictedReading, against: bool) -> str:
    reading = line.reading
    return reading.points[0] if against else " ".join((reading.quantity, *reading.points))


def _cells(line: PredictedReading, against: bool) -> list[str]:
    """Name, sound value and band; those of the book too where the rig has its own, beside a fault
    the band alone; and with a fault its value and the mark."""
    sound, reading = line.sound, line.reading
    found = [
        _name(line, against),
        words.rough(sound.value, reading),
        _band(line.sound, line),
    ]
    if book := line.sound.book:
        value = [] if line.faulty is not None else [words.rough(book.value, reading)]
        found += [*value, _band(book, line)]
    if line.faulty is not None:
        found += [words.rough(line.faulty, reading), DIFFERS if line.differs else ""]
    return found


def _band(sound: Expected, line: PredictedReading) -> str:
    """A band, without its unit where the value beside it has the same."""
    band = words.band(sound.low, sound.high, line.reading)
    unit = words.rough(sound.value, line.reading).partition(" ")[2]
    return band.removesuffix(f" {unit}") if unit else band


def _stacked(line: PredictedReading, against: bool) -> list[tuple[str]]:
    """The same below each other, for a narrow screen."""
    name, value, band, *fault = _cells(line, against)
    found = [(name,), (f"  {value} ({band})",)]
    if line.sound.book:
        book = [fault.pop(0) for _ in range(1 if line.faulty is not None else 2)]
        found.append((f"  by the book: {', '.join(book)}",))
    return [*found, (f"  fault: {' '.join(fault)}",)] if fault else found


def sheet(rig: str, out: Path | None, ascii_only: bool, force: bool) -> None:
    """A build sheet on the screen, or into a file. Raises DiagnoseError."""
    here = rig_called(rig)
    made = Sheet(here, for_rig(shipped_catalogue(), here), readings_beside(rig, here))
    screen = Screen.standard()
    if out is None:
        screen.drawing(_text(made, ascii_only or screen.ascii_only))
        return
    check_free(out, force)
    page = out.suffix.lower() in PAGES
    write_out(out, _page(made) if page else _text(made, ascii_only) + "\n", force)
    screen.say(f"Written: {out}")


def _page(made: Sheet) -> str:
    from diagnose.report.sheet_html import sheet_html

    with patience("Writing the sheet"):
        return sheet_html(made)


def _text(made: Sheet, ascii_only: bool) -> str:
    from diagnose.report.sheet_text import sheet_text

    with patience("Working out what it should read"):
        return "\n".join(sheet_text(made, ascii_only).splitlines())
