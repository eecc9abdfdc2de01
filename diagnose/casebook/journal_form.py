"""The lines of a journal: steps of a walk as plain values, and back again, checked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from math import isclose, isfinite
from pathlib import Path
from typing import Any

from diagnose.bench import Bench
from diagnose.casebook.case_file import rig_yaml, time_of, written_time
from diagnose.casebook.files import ID
from diagnose.casebook.limits import RANGES
from diagnose.casebook.lines import read_lines
from diagnose.casebook.record import line
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.reading_words import OF_ANY_PART, reading_of
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse
from diagnose.errors import BadDocument, DiagnoseError, Place, UnknownName, nearest, quoted
from diagnose.reasoning.available_tests import EVERYTHING
from diagnose.reasoning.commissioning import (
    CommissioningRecord,
    parse_date,
    parse_record_line,
    record_line,
)
from diagnose.reasoning.evidence import Evidence, Seen, check_answer, check_reading
from diagnose.steps import (
    ANSWERED,
    CAN,
    MADE_SAFE,
    NOTE,
    SKIPPED,
    UNKNOWN,
    VOLUNTEERED,
    Step,
)

FORM = 1
"""Of the journals that this program writes and reads."""

Entry = Mapping[str, Any]


@dataclass(frozen=True)
class Opening:
    """The first line of a journal.

    told: the findings given at the start, as plain values; knowledge: version of the book that
    the walk began with; able: what whoever answers can do, in words; own: the rig's own readings of
    when it was new, as plain values
    """

    id: str
    opened: datetime
    rig: Rig
    complaint: tuple[str, ...]
    told: tuple[Entry, ...]
    knowledge: str
    able: str = ""
    own: tuple[Entry, ...] = ()


def opening_values(opening: Opening) -> dict[str, Any]:
    """The first line."""
    able = {"able": opening.able} if opening.able else {}
    own = {"own": [dict(day) for day in opening.own]} if opening.own else {}
    return {
        "journal": FORM,
        "id": opening.id,
        "opened": written_time(opening.opened),
        "rig": rig_yaml(opening.rig),
        "assumed": list(opening.rig.assumed),
        "complaint": list(opening.complaint),
        "told": [dict(item) for item in opening.told],
        "knowledge": opening.knowledge,
        **able,
        **own,
    }


def own_values(own: CommissioningRecord | None) -> tuple[Entry, ...]:
    """A rig's own readings, a mapping a day."""
    days = own.days if own else ()
    return tuple(
        {"taken": day.taken.isoformat(), "read": [record_line(item) for item in day.read]}
        for day in days
    )


def own_of(opening: Opening, place: Place) -> CommissioningRecord | None:
    """They again, checked against today's book and the rig; None without any. Raises
    DiagnoseError."""
    if not opening.own:
        return None
    found, book = CommissioningRecord(), shipped_catalogue()
    with understood(place):
        for day in opening.own:
            _only(day, OWN, place)
            read = [
                parse_record_line(_text(one), book, opening.rig, place)
                for one in _list(day["read"])
            ]
            found = found.with_day(parse_date(_text(day["taken"]), place), read)
    return found


def finding_values(item: Evidence) -> dict[str, Any]:
    """A finding; a reading's value in its own unit."""
    sure = {"sure": True} if item.sure else {}
    if isinstance(item, Seen):
        return {"seen": item.observation, "option": item.option} | sure
    typed = {"typed": item.typed} if item.typed else {}
    return {"read": str(item.reading), "value": item.value} | typed | sure


def step_values(step: Step, at: datetime) -> dict[str, Any]:
    """The line of one step."""
    finding = {"finding": finding_values(step.item)} if step.item else {}
    rest = {"how": step.how, "minutes": step.minutes, "at": written_time(at)}
    return {"step": step.test} | finding | rest


def read_journal(path: Path) -> tuple[Opening, list[tuple[int, dict[str, Any]]]]:
    """The opening of a journal, and its other lines with their numbers. Raises DiagnoseError for a
    line that is not understood, which stays where it is."""
    lines = read_lines(path)
    place = Place(str(path), 1)
    if not lines:
        raise BadDocument("is empty; nothing was written here yet", place)
    with understood(place):
        opening = _opening(lines[0][1], place)
    for number, entry in lines[1:]:
        with understood(Place(str(path), number)):
            _check_form(entry, Place(str(path), number))
    return opening, lines[1:]


@contextmanager
def understood(place: Place) -> Iterator[None]:
    """Turns what a changed line comes to into a sentence that names it."""
    try:
        yield
    except DiagnoseError:
        raise
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        raise _damaged(place) from None


def _damaged(place: Place) -> BadDocument:
    return BadDocument("is not a line of a walk; the file was changed or damaged here", place)


def _opening(entry: Entry, place: Place) -> Opening:
    if entry["journal"] != FORM:
        raise BadDocument("is no journal of this version of the program", place)
    _only(entry, OPENING, place)
    rig = read_rig(parse(_text(entry["rig"]), f"{place}, the rig there"))
    if not ID.fullmatch(_text(entry["id"])):
        raise BadDocument(f"{quoted(entry['id'])} is not the id of a walk", place)
    return Opening(
        id=entry["id"],
        opened=time_of(_text(entry["opened"]), place),
        rig=replace(rig, assumed=tuple(_text(key) for key in _list(entry["assumed"]))),
        complaint=tuple(line(_text(words)) for words in _list(entry["complaint"])),
        told=tuple(dict(item) for item in _list(entry["told"])),
        knowledge=_text(entry["knowledge"]),
        able=_text(entry.get("able", "")),
        own=tuple(dict(day) for day in _list(entry.get("own", []))),
    )


def _check_form(entry: Entry, place: Place) -> None:
    """Refuse a line with a key or a value that no step has: read past, it would be lost."""
    if "back" in entry:
        _only(entry, BACK, place)
        if entry["back"] is not True:
            raise _damaged(place)
        return
    _only(entry, STEP, place)
    limit, minutes = RANGES["minutes"], _number(entry["minutes"])
    if not limit.least <= minutes <= limit.most:
        raise BadDocument(f"{minutes:g} minutes cannot be: {limit.why}", place)
    if entry["how"] not in HOW:
        raise UnknownName("way to deal with a question", _text(entry["how"]), place, None, HOW)
    if ("finding" in entry) != (entry["how"] in FOUND):
        raise BadDocument("an answer needs its finding, and nothing else has one", place)
    time_of(_text(entry["at"]), place)
    _text(entry["step"])


OPENING = (
    *("journal", "id", "opened", "rig", "assumed", "complaint", "told", "knowledge", "able"),
    "own",
)
OWN = ("taken", "read")
STEP, BACK = ("step", "finding", "how", "minutes", "at"), ("back",)
SEEN, READ = ("seen", "option", "sure"), ("read", "value", "typed", "sure")
"""The keys of the lines of a journal, and of the findings in them."""

HOW = (ANSWERED, SKIPPED, UNKNOWN, MADE_SAFE, CAN, NOTE, VOLUNTEERED)
FOUND = (ANSWERED, VOLUNTEERED)
"""Ways to deal with a question, or to say something unasked; those that have a finding."""


def _only(entry: Entry, known: Sequence[str], place: Place) -> None:
    for key in entry:
        if key not in known:
            raise UnknownName("key in this line", key, place, nearest(key, known), known)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise TypeError
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise TypeError
    return float(value)


def finding_of(bench: Bench, values: Entry, place: Place) -> Evidence:
    """A finding again, checked against today's book and the rig. Raises DiagnoseError."""
    with understood(place):
        _only(values, SEEN if "seen" in values else READ, place)
        if values.get("sure", True) is not True:
            raise _damaged(place)
        return replace(_plain_finding(bench, values, place), sure="sure" in values)


def _plain_finding(bench: Bench, values: Entry, place: Place) -> Evidence:
    catalogue = bench.shop.catalogue
    if "seen" in values:
        facts = bench.hypotheses.facts
        return check_answer(catalogue, facts, _text(values["seen"]), _text(values["option"]), place)
    reading, value = reading_of(_text(values["read"]), place, OF_ANY_PART), _number(values["value"])
    item = check_reading(catalogue, bench.rig, reading, value, place)
    if "typed" not in values:
        return item
    typed = check_reading(catalogue, bench.rig, reading, _text(values["typed"]), place)
    if not isclose(typed.value, value, rel_tol=1e-9):
        raise BadDocument("the value is not what was typed; the file was changed here", place)
    return typed


def step_of(bench: Bench, entry: Entry, place: Place) -> tuple[Step, datetime]:
    """A step again, and when it was taken. Raises DiagnoseError."""
    with understood(place):
        _check_form(entry, place)
        name = entry["step"]
        item = finding_of(bench, entry["finding"], place) if "finding" in entry else None
        _check_named(bench, entry, place)
        if item is not None and item.id != name:
            raise BadDocument(f"the finding is not of {quoted(name)}", place)
        step = Step(name, item, _number(entry["minutes"]), entry["how"])
        return step, time_of(entry["at"], place)


def _check_named(bench: Bench, entry: Entry, place: Place) -> None:
    """Whether there is what a step without a finding speaks of. Raises UnknownName."""
    name, how = entry["step"], entry["how"]
    if how == CAN:
        EVERYTHING.updated(name, bench.shop.catalogue.kit)
    known = bench.shop.catalogue.stops if how == MADE_SAFE else bench.tests
    if how not in (CAN, NOTE, *FOUND) and name not in known:
        raise UnknownName("test or stop", name, place, nearest(name, known))
