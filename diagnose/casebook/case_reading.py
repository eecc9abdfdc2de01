"""Case files read back, strictly: every problem of a file in one go, with line and key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from math import fsum, isclose
from pathlib import Path
from typing import TypeVar

from diagnose.casebook.case_file import time_of
from diagnose.casebook.record import (
    CONFIRMATIONS,
    LOADS,
    SCHEMA,
    STATUSES,
    Case,
    ComeBack,
    PassedOver,
    ReadAt,
    SeenAt,
    StopAt,
    Verification,
    line,
    paragraphs,
)
from diagnose.catalogue.rule_records import VERDICTS
from diagnose.circuit.meter import Reading
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import Rig, rig_in
from diagnose.documents import Section, load, parse
from diagnose.errors import BadDocument, DiagnoseError, Place, quoted
from diagnose.reasoning.evidence import value_of

T = TypeVar("T")
R = TypeVar("R")
WAYS_PAST = ("skipped", "unknown")
_NO_READING = Reading("voltage", ("motor+", "motor-"), "calling")
_NO_TIME = datetime(1970, 1, 1, tzinfo=UTC)


def load_case(path: Path) -> Case:
    """The case in a file, whose name must be its id.

    Raises DiagnoseError: BadDocument, or Mistakes with every problem of the file.
    """
    return read_case(load(path), path.stem)


def from_yaml(text: str | bytes, name: str) -> Case:
    """The case in a text that messages call `name`. Raises as `load_case`."""
    return read_case(parse(text, name))


def read_case(document: Section, name: str | None = None) -> Case:
    """The case in an opened document, whatever its schema; `name`: the id that it must have."""
    place = document.place_of("schema")
    schema = document.number("schema")
    read = READERS.get(int(schema))
    if read is None and schema > SCHEMA:
        newer = f"this case is of schema {schema:g}, and this program reads up to {SCHEMA}"
        raise BadDocument(f"{newer}; install a newer version of it", place)
    if read is None:
        raise BadDocument(f"there is no case schema {schema:g}; write {SCHEMA}", place)
    case = read(document)
    if name is not None and case.id != name:
        _wrong(document, "id", f"the file is called {quoted(name)}, so its id should be the same")
    document.finish()
    return case


def _read_1(document: Section) -> Case:
    """A case of schema 1."""
    ranking = _ranking(document)
    case = Case(
        id=_word(document, "id"),
        opened=_time(document, "opened"),
        closed=_optional_time(document, "closed"),
        rig=_rig(document),
        complaint=_lines(document, "complaint"),
        seen=tuple(_seen(part) for part in document.sections("seen", default=())),
        read=tuple(_read(part) for part in document.sections("read", default=())),
        passed_over=tuple(_passed(part) for part in document.sections("passed_over", default=())),
        stops=tuple(_stop(part) for part in document.sections("stops", default=())),
        ranking=ranking,
        rest=document.number("rest", minimum=0, maximum=1),
        cause=_word(document, "cause"),
        repair=_word(document, "repair"),
        root_cause=line(document.text("root_cause", default="")),
        root_cause_seen=document.flag("root_cause_seen", default=False),
        findings=_lines(document, "findings"),
        status=document.choice("status", STATUSES),
        confirmed_by=document.choice("confirmed_by", CONFIRMATIONS),
        true_cause=line(document.text("true_cause", default="")),
        true_words=line(document.text("true_words", default="")),
        verification=_verification(document),
        came_back=tuple(_came_back(p) for p in document.sections("came_back", default=())),
        parts=_lines(document, "parts"),
        minutes=document.number("minutes", minimum=0),
        questions=int(document.number("questions", minimum=0)),
        notes=paragraphs(document.text("notes", default="")),
        knowledge=_word(document, "knowledge"),
    )
    _check(document, case)
    return case


READERS: dict[int, Callable[[Section], Case]] = {1: _read_1}
"""One reader a schema: each knows its own form and gives today's Case, which is saved in the
newest form. An older reader stays as it is when a schema is added."""


def _check(document: Section, case: Case) -> None:
    """Note what no case can be: two entries that cannot both be right."""
    whole = fsum([case.rest, *(probability for _, probability in case.ranking)])
    if abs(whole - 1) > 0.001:
        _wrong(document, "ranking", f"the ranking and the rest make {whole:.3f}, not 1")
    if case.status == "closed" and case.closed is None:
        _wrong(document, "status", "a closed case needs the time at which it was closed")
    if case.status == "closed" and case.closed and case.closed < case.opened:
        _wrong(document, "closed", "the case was closed before it was opened")
    if case.confirmed_by != "none" and not case.true_cause:
        _wrong(document, "confirmed_by", "a confirmed case needs its true_cause")
    if case.status == "reopened" and not case.came_back:
        _wrong(document, "status", "a reopened case needs the time in came_back")


def _wrong(document: Section, key: str, sentence: str) -> None:
    document.problem(BadDocument(sentence, document.place_of(key)))


def _noted(section: Section, take: Callable[[], T], stand_in: R) -> T | R:
    """What `take` gives; or, with its problem noted, the stand-in."""
    try:
        return take()
    except DiagnoseError as problem:
        section.problem(problem)
        return stand_in


def _word(section: Section, key: str) -> str:
    return line(section.text(key))


def _lines(section: Section, key: str) -> tuple[str, ...]:
    return tuple(line(text) for text in section.texts(key, default=()))


def _time(section: Section, key: str) -> datetime:
    return _taken(section, section.text(key), section.place_of(key)) or _NO_TIME


def _optional_time(section: Section, key: str) -> datetime | None:
    return _taken(section, section.text(key, default=""), section.place_of(key))


def _came_back(part: Section) -> ComeBack:
    return ComeBack(_time(part, "at"), _optional_time(part, "closed"))


def _taken(section: Section, text: str, place: Place) -> datetime | None:
    """The time that a text says; with the problem noted, None."""
    return _noted(section, lambda: time_of(text, place), None) if text else None


def _rig(document: Section) -> Rig:
    assumed = document.texts("rig_assumed", default=())
    rig = rig_in(document.section("rig"))
    return replace(rig, name=line(rig.name), wire_gauge=line(rig.wire_gauge), assumed=assumed)


def _ranking(document: Section) -> tuple[tuple[str, float], ...]:
    part = document.section("ranking")
    return tuple((line(n), part.number(n, minimum=0, maximum=1)) for n in part)


def _seen(part: Section) -> SeenAt:
    return SeenAt(
        observation=_word(part, "observation"),
        option=_word(part, "option"),
        at=_optional_time(part, "at"),
        minutes=part.number("minutes", default=0.0, minimum=0),
        moved=part.number("moved", default=None),
        sure=part.flag("sure", default=False),
    )


def _reading(part: Section) -> Reading:
    text, place = part.text("reading"), part.place_of("reading")
    return _noted(part, lambda: reading_of(text, place), _NO_READING) if text else _NO_READING


def _value(part: Section, reading: Reading) -> float:
    given = part.raw("value")
    if not isinstance(given, str | int | float) or isinstance(given, bool):
        part.text("value")  # notes what is wrong with it
        return 0.0
    return _noted(part, lambda: value_of(str(given), reading, part.place_of("value")), 0.0)


def _read(part: Section) -> ReadAt:
    reading = _reading(part)
    value = _value(part, reading)
    return ReadAt(
        reading=reading,
        value=value,
        low=part.quantity("low", reading.unit),
        high=part.quantity("high", reading.unit),
        verdict=part.choice("verdict", VERDICTS),
        at=_optional_time(part, "at"),
        minutes=part.number("minutes", default=0.0, minimum=0),
        moved=part.number("moved", default=None),
        sure=part.flag("sure", default=False),
        typed=_typed(part, reading, value),
    )


def _typed(part: Section, reading: Reading, value: float) -> str:
    """The value as it was typed, which must be the value that stands beside it."""
    typed = part.text("typed", default="")
    if typed:
        place = part.place_of("typed")
        here = _noted(part, lambda: value_of(typed, reading, place), value)
        if not isclose(here, value, rel_tol=1e-9):
            _wrong(part, "typed", "does not agree with the value; mend both, or leave typed out")
    return line(typed)


def _passed(part: Section) -> PassedOver:
    return PassedOver(
        test=_word(part, "test"),
        how=part.choice("how", WAYS_PAST),
        at=_optional_time(part, "at"),
        minutes=part.number("minutes", default=0.0, minimum=0),
    )


def _stop(part: Section) -> StopAt:
    return StopAt(
        _word(part, "stop"), _optional_time(part, "raised"), _optional_time(part, "lifted")
    )


def _verification(document: Section) -> Verification | None:
    part = document.section("verification", default=None)
    if part is None:
        return None
    reading = _reading(part)
    value = _value(part, reading)
    proof = Verification(
        reading=reading,
        value=value,
        low=part.quantity("low", reading.unit),
        high=part.quantity("high", reading.unit),
        at=_optional_time(part, "at"),
        runs=part.flag("runs", default=None),
        load=part.choice("load", LOADS, default=""),
        typed=_typed(part, reading, value),
    )
    if part.flag("within") != proof.within:
        _wrong(part, "within", "does not agree with the value and the band above it")
    return proof
