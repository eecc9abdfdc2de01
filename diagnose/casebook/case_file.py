"""Case files: a Case as YAML that a person can read and mend, and back again, strictly.

Every text of a case is made harmless on its way out and on its way in, so that what comes from
somebody else's file can be shown on a terminal.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

import yaml

from diagnose.casebook.limits import EARLIEST, LATEST
from diagnose.casebook.record import (
    SCHEMA,
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
from diagnose.casebook.rig_text import exactly, rig_values
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.rig import Rig
from diagnose.errors import BadDocument, Place, quoted

HEADER = "# One repair; times are UTC. What is wrong may be mended here by hand.\n"


class Flow(dict[str, Any]):
    """A mapping that is written on one line."""


class _Dumper(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Writes so that documents.py reads the same values back."""


# What needs no quotes: words, quantities, times and ids, but not the words of YAML itself.
_PLAIN = re.compile(
    r"[A-Za-z].*"
    r"|-?[0-9.]+(e[-+]?[0-9]+)? [A-Za-z].*"
    r"|[0-9-]{10} [0-9:]{8} UTC"
    r"|[0-9-]{11}[a-z].*"
)
_RESERVED = frozenset(("on", "off", "yes", "no", "true", "false", "null"))


def _write_text(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    plain = _PLAIN.fullmatch(text) and text.lower() not in _RESERVED
    style = "|" if "\n" in text else None if plain else "'"
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style)


def _write_number(dumper: yaml.SafeDumper, value: float) -> yaml.ScalarNode:
    text = exactly(value, "")
    if "e" in text and "." not in text:
        text = text.replace("e", ".0e")
    kind = "float" if "." in text else "int"
    return dumper.represent_scalar(f"tag:yaml.org,2002:{kind}", text)


def _write_flow(dumper: yaml.SafeDumper, values: Flow) -> yaml.MappingNode:
    return dumper.represent_mapping("tag:yaml.org,2002:map", values.items(), flow_style=True)


_Dumper.add_representer(str, _write_text)
_Dumper.add_representer(float, _write_number)
_Dumper.add_representer(Flow, _write_flow)


def to_yaml(case: Case) -> str:
    """The text of the file of one case."""
    return HEADER + _dump(case_values(case))


def rig_yaml(rig: Rig) -> str:
    """The text of a rig file that says everything about a rig."""
    return _dump(_tidied(rig_values(rig)))


def _dump(values: dict[str, Any]) -> str:
    text: str = yaml.dump(values, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100)
    return text


def case_values(case: Case) -> dict[str, Any]:
    """The case as plain values in the order of the file; what is empty is left out."""
    values = {
        "schema": SCHEMA,
        "id": case.id,
        "opened": written_time(case.opened),
        "closed": case.closed and written_time(case.closed),
        "status": case.status,
        "confirmed_by": case.confirmed_by,
        "came_back": [_came_back_values(item) for item in case.came_back],
        "true_cause": case.true_cause,
        "true_words": line(case.true_words),
        "cause": case.cause,
        "repair": case.repair,
        "root_cause": line(case.root_cause),
        "root_cause_seen": case.root_cause_seen or None,
        "parts": _lines(case.parts),
        "minutes": case.minutes,
        "questions": case.questions,
        "verification": case.verification and _verification_values(case.verification),
        "notes": paragraphs(case.notes),
        "complaint": _lines(case.complaint),
        "seen": [_seen_values(item) for item in case.seen],
        "read": [_read_values(item) for item in case.read],
        "findings": _lines(case.findings),
        "passed_over": [_passed_values(item) for item in case.passed_over],
        "stops": [_stop_values(item) for item in case.stops],
        "ranking": dict(case.ranking),
        "rest": case.rest,
        "knowledge": case.knowledge,
        "rig": _tidied(rig_values(case.rig)),
        "rig_assumed": _lines(case.rig.assumed),
    }
    return {key: value for key, value in values.items() if value not in (None, "", [])}


def _tidied(values: dict[str, Any]) -> dict[str, Any]:
    """The parts of a rig on a line each, its texts harmless."""
    found: dict[str, Any] = {}
    for key, value in values.items():
        found[key] = Flow(_tidied(value)) if isinstance(value, dict) else value
        if isinstance(value, str):
            found[key] = line(value)
        if isinstance(value, list):
            found[key] = [Flow(one) if isinstance(one, dict) else one for one in value]
    return found


def _lines(texts: Iterable[str]) -> list[str]:
    """Texts on a line each; what is empty says nothing and is left out."""
    return [text for text in map(line, texts) if text]


def _came_back_values(item: ComeBack) -> Flow:
    before = {"closed": written_time(item.closed)} if item.closed else {}
    return Flow(before | {"at": written_time(item.at)})


def _when(item: SeenAt | ReadAt | PassedOver | Verification) -> dict[str, Any]:
    return {"at": written_time(item.at)} if item.at else {}


def _moved(item: SeenAt | ReadAt) -> dict[str, Any]:
    moved = {} if item.moved is None else {"moved": item.moved}
    return moved | ({"sure": True} if item.sure else {})


def _seen_values(item: SeenAt) -> Flow:
    what = {"observation": item.observation, "option": item.option, "minutes": item.minutes}
    return Flow(what | _moved(item) | _when(item))


def _band(item: ReadAt | Verification) -> dict[str, Any]:
    return {
        "reading": str(item.reading),
        "value": value_text(item.value, item.reading),
        "low": exactly(item.low, item.reading.unit),
        "high": exactly(item.high, item.reading.unit),
    }


def value_text(value: float, reading: Reading) -> str:
    """A measured value with its unit, every digit kept; ohms above the range as "OL"."""
    over = reading.quantity == "resistance" and value >= LARGEST_OHMS
    return "OL" if over else exactly(value, reading.unit)


def _typed(item: ReadAt | Verification) -> dict[str, Any]:
    return {"typed": line(item.typed)} if item.typed else {}


def _read_values(item: ReadAt) -> dict[str, Any]:
    spent = {"verdict": item.verdict, "minutes": item.minutes}
    return Flow(_band(item) | _typed(item) | spent | _moved(item) | _when(item))


def _passed_values(item: PassedOver) -> Flow:
    return Flow({"test": item.test, "how": item.how, "minutes": item.minutes} | _when(item))


def _stop_values(item: StopAt) -> Flow:
    times = {"raised": item.raised, "lifted": item.lifted}
    return Flow({"stop": item.stop} | {key: written_time(at) for key, at in times.items() if at})


def _verification_values(proof: Verification) -> dict[str, Any]:
    runs = {} if proof.runs is None else {"runs": proof.runs}
    load = {"load": proof.load} if proof.load else {}
    return _band(proof) | _typed(proof) | {"within": proof.within} | runs | load | _when(proof)


def written_time(at: datetime) -> str:
    """A time as case files have it: "2026-03-02 09:05:00 UTC"."""
    return f"{at.astimezone(UTC).replace(tzinfo=None).isoformat(' ', 'seconds')} UTC"


def time_of(text: str, place: Place | None = None) -> datetime:
    """A written time, or one in the form of ISO 8601 with its zone. Raises BadDocument."""
    wrong = "is not a time; write it as '2026-03-02 09:05:00 UTC'"
    try:
        at = datetime.fromisoformat(text.strip().replace(" UTC", "+00:00"))
        if at.tzinfo is not None and EARLIEST <= at <= LATEST:
            return at.astimezone(UTC).replace(microsecond=0)
        if at.tzinfo is not None:
            wrong = f"is not a time from {EARLIEST.year} to {LATEST.year}; mend the year"
    except (ValueError, OverflowError):
        pass
    raise BadDocument(f"{quoted(text)} {wrong}", place)
