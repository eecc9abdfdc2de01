"""Case files read back, strictly: every problem of a file in one go, with line and key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import fsum, isclose
from pathlib import Path

from diagnose.casebook import case_fields as fields
from diagnose.casebook.files import read_regular
from diagnose.casebook.limits import RANGES
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
)
from diagnose.catalogue.rule_records import VERDICTS
from diagnose.circuit.meter import Reading
from diagnose.circuit.reading_words import OF_ANY_PART, reading_of
from diagnose.circuit.rig import Rig, rig_in
from diagnose.documents import Section, parse
from diagnose.errors import BadDocument, quoted
from diagnose.reasoning.evidence import value_of
from diagnose.strict_yaml import LARGEST

WAYS_PAST = ("skipped", "unknown")
_NO_READING = Reading("voltage", ("motor+", "motor-"), "calling")


def load_case(path: Path) -> Case:
    """The case in a file, whose name must be its id.

    Raises DiagnoseError: BadDocument, or Mistakes with every problem of the file.
    """
    source = read_regular(path, LARGEST + 1)
    return read_case(parse(source, str(path)), path.stem)


def from_yaml(text: str | bytes, name: str) -> Case:
    """The case in a text that messages call `name`. Raises as `load_case`."""
    return read_case(parse(text, name))


def read_case(document: Section, name: str | None = None) -> Case:
    """The case in an opened document, whatever its schema; `name`: the id that it must have."""
    place = document.place_of("schema")
    schema = document.number("schema")
    read = READERS.get(int(schema)) if schema.is_integer() else None
    if read is None and schema > SCHEMA:
        newer = f"this case is of schema {schema:g}, and this program reads up to {SCHEMA}"
        raise BadDocument(f"{newer}; install a newer version of it", place)
    if read is None:
        raise BadDocument(f"there is no case schema {schema:g}; write {SCHEMA}", place)
    case = read(document)
    if name is not None and case.id != name:
        fields.wrong(
            document, "id", f"the file is called {quoted(name)}, so its id should be the same"
        )
    document.finish()
    return case


def _read_1(document: Section) -> Case:
    """A case of schema 1."""
    ranking = _ranking(document)
    case = Case(
        id=fields.word(document, "id"),
        opened=fields.time(document, "opened"),
        closed=fields.optional_time(document, "closed"),
        rig=_rig(document),
        complaint=fields.lines(document, "complaint"),
        seen=tuple(_seen(part) for part in document.sections("seen", default=())),
        read=tuple(_read(part) for part in document.sections("read", default=())),
        passed_over=tuple(_passed(part) for part in document.sections("passed_over", default=())),
        stops=tuple(_stop(part) for part in document.sections("stops", default=())),
        ranking=ranking,
        rest=fields.number(document, "rest", "share"),
        cause=fields.word(document, "cause"),
        repair=fields.word(document, "repair"),
        root_cause=fields.word(document, "root_cause", ""),
        root_cause_seen=document.flag("root_cause_seen", default=False),
        findings=fields.lines(document, "findings"),
        status=document.choice("status", STATUSES),
        confirmed_by=document.choice("confirmed_by", CONFIRMATIONS),
        true_cause=fields.word(document, "true_cause", ""),
        true_words=fields.word(document, "true_words", ""),
        verification=_verification(document),
        came_back=tuple(_came_back(p) for p in document.sections("came_back", default=())),
        parts=fields.lines(document, "parts"),
        minutes=fields.number(document, "minutes", "minutes"),
        questions=int(fields.number(document, "questions", "questions")),
        notes=fields.notes(document, "notes"),
        knowledge=fields.word(document, "knowledge"),
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
        fields.wrong(document, "ranking", f"the ranking and the rest make {whole:.3f}, not 1")
    if case.status == "closed" and case.closed is None:
        fields.wrong(document, "status", "a closed case needs the time at which it was closed")
    if case.status == "closed" and case.closed and case.closed < case.opened:
        fields.wrong(document, "closed", "the case was closed before it was opened")
    if case.confirmed_by != "none" and not case.true_cause:
        fields.wrong(document, "confirmed_by", "a confirmed case needs its true_cause")
    if case.status == "reopened" and not case.came_back:
        fields.wrong(document, "status", "a reopened case needs the time in came_back")


def _came_back(part: Section) -> ComeBack:
    return ComeBack(fields.time(part, "at"), fields.optional_time(part, "closed"))


def _rig(document: Section) -> Rig:
    part, assumed = document.section("rig"), fields.lines(document, "rig_assumed")
    rig = rig_in(part)
    name = fields.one_line(part, "name", rig.name)
    return replace(rig, name=name, wire_gauge=line(rig.wire_gauge), assumed=assumed)


def _ranking(document: Section) -> tuple[tuple[str, float], ...]:
    part = document.section("ranking")
    return tuple((line(n), fields.number(part, n, "share")) for n in fields.names(part))


def _seen(part: Section) -> SeenAt:
    return SeenAt(
        observation=fields.word(part, "observation"),
        option=fields.word(part, "option"),
        at=fields.optional_time(part, "at"),
        minutes=fields.number(part, "minutes", "minutes", 0.0),
        moved=fields.number(part, "moved", "moved", None),
        sure=part.flag("sure", default=False),
    )


def _reading(part: Section) -> Reading:
    text, place = part.text("reading"), part.place_of("reading")
    if not text:
        return _NO_READING
    return fields.noted(part, lambda: reading_of(text, place, OF_ANY_PART), _NO_READING)


def _value(part: Section, reading: Reading) -> float:
    given = part.raw("value")
    if not isinstance(given, str | int | float) or isinstance(given, bool):
        part.text("value")  # notes what is wrong with it
        return 0.0
    value = fields.noted(part, lambda: value_of(str(given), reading, part.place_of("value")), 0.0)
    if not RANGES["measured"].least <= value <= RANGES["measured"].most:
        fields.wrong(part, "value", "is no value that a meter shows")
        return 0.0
    return value


def _read(part: Section) -> ReadAt:
    reading = _reading(part)
    value = _value(part, reading)
    return ReadAt(
        reading=reading,
        value=value,
        low=fields.quantity(part, "low", reading.unit),
        high=fields.quantity(part, "high", reading.unit),
        verdict=part.choice("verdict", VERDICTS),
        at=fields.optional_time(part, "at"),
        minutes=fields.number(part, "minutes", "minutes", 0.0),
        moved=fields.number(part, "moved", "moved", None),
        sure=part.flag("sure", default=False),
        typed=_typed(part, reading, value),
    )


def _typed(part: Section, reading: Reading, value: float) -> str:
    """The value as it was typed, which must be the value that stands beside it."""
    typed = fields.word(part, "typed", "")
    if typed:
        place = part.place_of("typed")
        here = fields.noted(part, lambda: value_of(typed, reading, place), value)
        if not isclose(here, value, rel_tol=1e-9):
            fields.wrong(
                part, "typed", "does not agree with the value; mend both, or leave typed out"
            )
    return typed


def _passed(part: Section) -> PassedOver:
    return PassedOver(
        test=fields.word(part, "test"),
        how=part.choice("how", WAYS_PAST),
        at=fields.optional_time(part, "at"),
        minutes=fields.number(part, "minutes", "minutes", 0.0),
    )


def _stop(part: Section) -> StopAt:
    return StopAt(
        fields.word(part, "stop"),
        fields.optional_time(part, "raised"),
        fields.optional_time(part, "lifted"),
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
        low=fields.quantity(part, "low", reading.unit),
        high=fields.quantity(part, "high", reading.unit),
        at=fields.optional_time(part, "at"),
        runs=part.flag("runs", default=None),
        load=part.choice("load", LOADS, default=""),
        typed=_typed(part, reading, value),
    )
    if part.flag("within") != proof.within:
        fields.wrong(part, "within", "does not agree with the value and the band above it")
    return proof
