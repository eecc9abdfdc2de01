"""Cases of others, from public pages, held against the ranking.

Each file of cases/ is one case in our own words, with its address; none of it comes from the people
who wrote the book. Half of them (`half: learning`) may teach the book, the other half may not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Evidence, parse_answer, parse_reading
from diagnose.walkthrough import Walk

FOLDER = Path(__file__).parent / "cases"
WITHIN = 10
"""Questions in which the facts that a person has should have been asked for."""


@dataclass(frozen=True)
class Record:
    """One case. seen, read: the first report; more_seen, more_read: what came out later; truth:
    failure modes, the one repaired first."""

    id: str
    half: str
    use: str
    rig: Rig
    seen: Mapping[str, str]
    read: tuple[str, ...]
    more_seen: Mapping[str, str]
    more_read: tuple[str, ...]
    truth: tuple[str, ...]
    said: str


def records(half: str = "") -> list[Record]:
    """All of a half, or all; those with one rig together, so that its bench is made once."""
    found = [_record(path) for path in sorted(FOLDER.glob("*.yaml"))]
    kept = [one for one in found if one is not None and half in ("", one.half)]
    return sorted(kept, key=lambda one: (str({**vars(one.rig), "name": ""}), one.id))


def _record(path: Path) -> Record | None:
    """None where the rig is larger than any that a rig file may describe."""
    row: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    more = row.get("more") or {}
    described = {"name": path.stem, **row["rig"], "use": row["use"]}
    try:
        rig = read_rig(parse(yaml.safe_dump(described), path.name))
    except DiagnoseError:
        return None
    return Record(
        id=row["id"],
        half=row["half"],
        use=row["use"],
        rig=rig,
        seen=row.get("seen") or {},
        read=tuple(row.get("read") or ()),
        more_seen=more.get("seen") or {},
        more_read=tuple(more.get("read") or ()),
        truth=tuple(row["truth"]),
        said=" ".join(row["said"].split()),
    )


@lru_cache(maxsize=4)
def _bench(rig: Rig) -> Bench:
    return Bench.for_rig(rig, Shop.shipped())


def bench(one: Record) -> Bench:
    """The bench of a record's rig; records with the same rig share it."""
    return _bench(Rig(**{**vars(one.rig), "name": "recorded"}))


def _taken(one: Bench, seen: Mapping[str, str], read: Iterable[str]) -> Iterator[Evidence]:
    """What can be told on such a rig; what it has no part for is left out."""
    book, facts = one.shop.catalogue, one.hypotheses.facts
    for name, option in seen.items():
        try:
            yield parse_answer(f"{name}={option}", book, facts, None)
        except DiagnoseError:
            continue
    for text in read:
        try:
            yield parse_reading(text, book, one.rig, None)
        except DiagnoseError:
            continue


@dataclass(frozen=True)
class Held:
    """How one record came out: place of the first true failure mode, and of its repair, from the
    first report and with all facts; asked: of the later facts, how many were asked for in time."""

    record: Record
    first: int
    first_repair: int
    full: int
    full_repair: int
    asked: int
    had: int


def held(one: Record) -> Held:
    """The record against today's book."""
    here = bench(one)
    walk = Walk(here)
    walk.tell(_taken(here, one.seen, one.read))
    first = walk.belief().ranking
    asked, had = _asked(here, walk.forked(), one)
    full = Walk(here)
    full.tell(_taken(here, one.seen, one.read))
    full.told = (*full.told, *_taken(here, one.more_seen, one.more_read))
    last = full.belief().ranking
    return Held(one, *_places(here, first, one), *_places(here, last, one), asked, had)


def _places(here: Bench, ranking: Iterable[tuple[str, float]], one: Record) -> tuple[int, int]:
    """Places from 1 of the first true mode, and of its repair among repairs."""
    names = [name for name, _ in ranking]
    repair = here.shop.repair
    wanted = {repair.get(name, name) for name in one.truth}
    totals: dict[str, float] = {}
    for name, p in ranking:
        key = repair.get(name, name)
        totals[key] = totals.get(key, 0.0) + p
    order = sorted(totals, key=lambda key: -totals[key])
    mode = min((names.index(t) + 1 for t in one.truth if t in names), default=99)
    mended = min((order.index(t) + 1 for t in wanted if t in order), default=99)
    return mode, mended


def _asked(here: Bench, walk: Walk, one: Record) -> tuple[int, int]:
    """Play the walk with a person who knows the later facts and no others."""
    facts = {item.id: item for item in _taken(here, one.more_seen, one.more_read)}
    told = {item.id for item in walk.evidence}
    facts = {name: item for name, item in facts.items() if name not in told}
    asked = 0
    for _ in range(WITHIN):
        for stop in walk.stops():
            if not stop.endless:
                walk.made_safe(stop.id)
        question = walk.question()
        if question is None:
            break
        item = facts.get(question.id)
        if item is None:
            walk.pass_over(question, "unknown")
            continue
        asked += 1
        walk.told = (*walk.told, item)
    return asked, len(facts)
