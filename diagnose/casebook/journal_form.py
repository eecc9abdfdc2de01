"""The lines of a journal: steps of a walk as plain values, and back again, checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from math import isclose
from pathlib import Path
from typing import Any

from diagnose.bench import Bench
from diagnose.casebook.case_file import rig_yaml, time_of, written_time
from diagnose.casebook.lines import read_lines
from diagnose.casebook.record import line
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse
from diagnose.errors import BadDocument, DiagnoseError, Place
from diagnose.reasoning.evidence import Evidence, Seen, measured, seen
from diagnose.walkthrough import Step

FORM = 1
"""Of the journals that this program writes and reads."""

Entry = Mapping[str, Any]


@dataclass(frozen=True)
class Opening:
    """The first line of a journal.

    told: the findings given at the start, as plain values; knowledge: version of the book that
    the walk began with
    """

    id: str
    opened: datetime
    rig: Rig
    complaint: tuple[str, ...]
    told: tuple[Entry, ...]
    knowledge: str


def opening_values(opening: Opening) -> dict[str, Any]:
    """The first line."""
    return {
        "journal": FORM,
        "id": opening.id,
        "opened": written_time(opening.opened),
        "rig": rig_yaml(opening.rig),
        "assumed": list(opening.rig.assumed),
        "complaint": list(opening.complaint),
        "told": [dict(item) for item in opening.told],
        "knowledge": opening.knowledge,
    }


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
    """The opening of a journal, and its other lines with their numbers. Raises BadDocument."""
    lines = read_lines(path)
    place = Place(str(path), 1)
    if not lines:
        raise BadDocument("is empty; nothing was written here yet", place)
    try:
        return _opening(lines[0][1], place), lines[1:]
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _meant(error, place) from None


def _opening(entry: Entry, place: Place) -> Opening:
    if entry["journal"] != FORM:
        raise BadDocument("is no journal of this version of the program", place)
    rig = read_rig(parse(entry["rig"], f"{place}, the rig there"))
    return Opening(
        id=str(entry["id"]),
        opened=time_of(entry["opened"], place),
        rig=replace(rig, assumed=tuple(str(key) for key in entry["assumed"])),
        complaint=tuple(line(words) for words in entry["complaint"]),
        told=tuple(dict(item) for item in entry["told"]),
        knowledge=str(entry["knowledge"]),
    )


def finding_of(bench: Bench, values: Entry, place: Place) -> Evidence:
    """A finding again, checked against today's book and the rig. Raises DiagnoseError."""
    try:
        return replace(_plain_finding(bench, values, place), sure=values.get("sure") is True)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _meant(error, place) from None


def _plain_finding(bench: Bench, values: Entry, place: Place) -> Evidence:
    catalogue = bench.shop.catalogue
    if "seen" in values:
        facts = bench.hypotheses.facts
        return seen(catalogue, facts, values["seen"], values["option"], place)
    reading = reading_of(values["read"], place)
    value = float(values["value"])
    item = measured(catalogue, bench.rig, reading, value, place)
    if "typed" not in values:
        return item
    typed = measured(catalogue, bench.rig, reading, str(values["typed"]), place)
    if not isclose(typed.value, value, rel_tol=1e-9):
        raise BadDocument("the value is not what was typed; the file was changed here", place)
    return typed


def step_of(bench: Bench, entry: Entry, place: Place) -> tuple[Step, datetime]:
    """A step again, and when it was taken. Raises DiagnoseError."""
    try:
        found = entry.get("finding")
        item = finding_of(bench, found, place) if found is not None else None
        step = Step(str(entry["step"]), item, float(entry["minutes"]), str(entry["how"]))
        return step, time_of(entry["at"], place)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _meant(error, place) from None


def _meant(error: Exception, place: Place) -> DiagnoseError:
    """What a line that is not as it should be comes to."""
    if isinstance(error, DiagnoseError):
        return error
    return BadDocument("is not a line of a walk; the file was changed or damaged here", place)
