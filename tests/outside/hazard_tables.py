"""Hazards that published safety texts name, beside what this program says of them.

tests/tables/hazards.yaml holds them with their sources, and the places that say them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from diagnose.catalogue.checklist import shipped_checklist
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.rule_records import ThenCaution, ThenStop
from diagnose.circuit.rig import open_rig
from diagnose.design.check import check_rig
from diagnose.design.finding import Finding
from diagnose.report.lessons import shipped_lessons
from diagnose.units import read_gauge
from tests.outside.cells import Cell, table

TABLE, SOURCES = table("hazards.yaml"), shipped_catalogue().sources
BASIS = {"seen": "published", "memory": "from memory"}
"""What a row rests on, by the basis of its source; any other is common practice."""

Place = tuple[str, tuple[str, ...]]
"""A place in this program: its text, and the sources that it names."""


@cache
def places() -> Mapping[str, Place]:
    """Everything that may say a hazard, by kind and id."""
    book = shipped_catalogue()
    found = {
        **{f"caution {one.id}": (one.text, one.sources) for one in book.cautions.values()},
        **{
            f"stop {one.id}": (" ".join((one.text, *one.do, one.ends)), one.sources)
            for one in book.stops.values()
        },
        **{f"rule {one.id}": (one.because, one.sources) for one in shipped_rules()},
        **{
            f"checklist {one.id}": (f"{one.ask} {one.why} {one.change}", one.sources)
            for one in shipped_checklist()
        },
        **{
            f"lesson {one.id}": (" ".join(one.paragraphs), one.sources) for one in shipped_lessons()
        },
        **_checks(),
    }
    return {name: (" ".join(text.split()), sources) for name, (text, sources) in found.items()}


def _checks() -> dict[str, Place]:
    """What `rig check` says by rule: of a sound rig, and of one that is wrong everywhere."""
    found: dict[str, Place] = {}
    for one in _findings():
        text, sources = found.get(f"check {one.id}", ("", ()))
        said = f"{text} {one.what} {one.figure} {one.limit} {one.change}"
        found[f"check {one.id}"] = said, (*sources, one.source)
    return found


def _findings() -> Iterator[Finding]:
    sound = open_rig("bowser")
    yield from check_rig(sound)
    yield from check_rig(
        replace(
            sound,
            main_fuse_rating=100.0,
            main_fuse_distance=2.0,
            wire_gauge="16 AWG",
            wire_area=read_gauge("16 AWG"),
            battery_kind="flooded",
        )
    )


def rows() -> list[dict[str, Any]]:
    """The rows of the table."""
    found: list[dict[str, Any]] = TABLE["hazards"]
    return found


def said_at(where: Mapping[str, list[str]]) -> Iterator[str]:
    """Those of some places that hold their words."""
    for name, words in where.items():
        text = places().get(name, ("", ()))[0].lower()
        if text and all(word.lower() in text for word in words):
            yield name


def cells() -> list[Cell]:
    """Each hazard with the places that have to say it, and those that do."""
    return [_cell(row) for row in rows()]


def _cell(row: Mapping[str, Any]) -> Cell:
    source = SOURCES[row["source"]]
    section = f", {row['section']}" if row["section"] else ""
    said = ", ".join(said_at(row["where"]))
    return Cell(
        table="hazards",
        what=f"{row['hazard']}{section}: {row['says']}",
        published=", ".join(row["where"]),
        ours=said,
        within=0,
        source=source.title,
        basis=BASIS.get(source.basis, "common practice"),
        said=said,
    )


def left_out() -> Iterator[str]:
    """What the same texts ask for and this program does not say."""
    for row in TABLE["left-out"]:
        title = SOURCES[row["source"]].title
        yield f"not said, {row['because']}: {title}, {row['section']}, {row['what']}"
    for name in TABLE["without-a-source"]:
        yield f"common practice, no source: {name}"


def cited() -> Iterator[tuple[str, str]]:
    """Each place that is there for safety, with each published source that it names: cautions,
    stops, what the rules say that raise them, the checklist."""
    for name, (_, sources) in places().items():
        if name.split()[0] in ("caution", "stop", "checklist") or name in _alarms():
            yield from ((name, one) for one in sources if SOURCES[one].basis == "seen")


@cache
def _alarms() -> frozenset[str]:
    """The rules that raise cautions and stops."""
    return frozenset(
        f"rule {one.id}" for one in shipped_rules() if isinstance(one.then, ThenCaution | ThenStop)
    )
