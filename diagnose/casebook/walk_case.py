"""From a walk to a case."""

from __future__ import annotations

import re
import secrets
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from functools import cache
from hashlib import sha256
from math import log2
from pathlib import Path

from diagnose.bench import Bench
from diagnose.casebook.case_fields import Clock, line, now, paragraphs
from diagnose.casebook.closure import shortened, with_verification
from diagnose.casebook.record import (
    Case,
    PassedOver,
    ReadAt,
    SeenAt,
    StopAt,
    Verification,
)
from diagnose.circuit.rig import Rig
from diagnose.figures import knowledge_folder
from diagnose.outcome import Result
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.posterior import posterior
from diagnose.steps import MADE_SAFE
from diagnose.walkthrough import Walk

TOP = 10
"""Failure modes kept in a case's ranking; the others are kept as a sum."""


def slug(text: str) -> str:
    """A name as part of a file name: plain letters, digits and single hyphens."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-") or "rig"


def new_id(rig: Rig, opened: datetime) -> str:
    """Date, rig and six random hexadecimal digits: "2026-03-02-mist-bench-3fa91c"."""
    return f"{opened:%Y-%m-%d}-{slug(rig.name)}-{secrets.token_hex(3)}"


@cache
def knowledge_version(folder: Path | None = None) -> str:
    """The first 12 hexadecimal digits of the SHA-256 over all YAML files of the book."""
    root, digest = folder or knowledge_folder(), sha256()
    for path in sorted(root.rglob("*.yaml")):
        body = path.read_bytes().replace(b"\r\n", b"\n")
        digest.update(f"{path.relative_to(root).as_posix()}\0{len(body)}\0".encode() + body)
    return digest.hexdigest()[:12]


def case_of(
    walk: Walk,
    result: Result,
    complaint: Iterable[str] = (),
    notes: str = "",
    verification: Verification | None = None,
    clock: Clock = now,
    opened: datetime | None = None,
    times: Mapping[str, datetime] | None = None,
    name: str = "",
) -> Case:
    """The record of a walk that has come to `result`.

    opened: when it began, this moment if not given; times: when each test was answered, by id
    name: the id of the case, if it has one already

    A verification that proves the repair closes the case and confirms its cause.
    """
    opened = opened or clock()
    ranking = tuple((mode, round(p, 6)) for mode, p in result.ranking[:TOP])
    findings = tuple(_findings(walk, times or {}))
    case = Case(
        id=name or new_id(walk.bench.rig, opened),
        opened=opened,
        rig=walk.bench.rig,
        complaint=tuple(line(words) for words in complaint),
        seen=tuple(item for item in findings if isinstance(item, SeenAt)),
        read=tuple(item for item in findings if isinstance(item, ReadAt)),
        passed_over=tuple(_passed_over(walk, times or {})),
        stops=tuple(_stops(walk, times or {}, clock)),
        ranking=ranking,
        rest=max(0.0, round(1 - sum(p for _, p in ranking), 6)),
        cause=result.cause,
        repair=result.repair,
        root_cause=line(result.root_causes[0].cause) if result.root_causes else "",
        root_cause_seen=bool(result.root_causes) and result.root_causes[0].seen,
        findings=tuple(line(one.text) for one in result.findings),
        parts=tuple(line(part) for part in result.parts),
        minutes=round(result.minutes, 2),
        questions=result.questions,
        notes=paragraphs("\n".join(filter(None, (*walk.notes, notes)))),
        knowledge=knowledge_version(),
    )
    if verification is None:
        return case
    return with_verification(case, verification, clock)


def _passed_over(walk: Walk, times: Mapping[str, datetime]) -> Iterator[PassedOver]:
    for step in walk.steps:
        if step.item is None and step.is_question:
            yield PassedOver(step.test, step.how, times.get(step.test), round(step.minutes, 2))


def _stops(walk: Walk, times: Mapping[str, datetime], clock: Clock) -> Iterator[StopAt]:
    """Every stop that was raised, with the times at which it was raised and made safe."""
    standing = {one.id for one in walk.stops()}
    raised: dict[str, list[datetime]] = {}
    for one in walk.conclusions().stops:
        found = raised.setdefault(one.then.stop, [])
        found += [times[test] for test in one.raised_by if test in times]
    lifted = [step.test for step in walk.steps if step.how == MADE_SAFE]
    for name in dict.fromkeys((*raised, *lifted)):
        at = max(raised.get(name, ()), default=None)
        yield StopAt(name, at, None if name in standing else times.get(name) or clock())


def _findings(walk: Walk, times: Mapping[str, datetime]) -> Iterator[SeenAt | ReadAt]:
    """What is known at the end, in the order in which it was found."""
    minutes = {step.test: round(step.minutes, 2) for step in walk.steps if step.item}
    order = [*walk.told, *(step.item for step in walk.steps if step.item)]
    last = {item.id: item for item in order}
    for item, moved in zip(last.values(), _moves(walk.bench, tuple(last.values())), strict=True):
        spent, at = minutes.get(item.id, 0.0), times.get(item.id)
        yield _found(walk.bench, item, at, spent, round(moved, 3))


def _found(
    bench: Bench, item: Evidence, at: datetime | None, minutes: float, moved: float
) -> SeenAt | ReadAt:
    if isinstance(item, Seen):
        return SeenAt(item.observation, item.option, at, minutes, moved, item.sure)
    band = bench.healthy.expected(item.reading)
    low, high = shortened(band.low), shortened(band.high)
    verdict = bench.healthy.verdict(item)
    told = (at, minutes, moved, item.sure, item.typed)
    return ReadAt(item.reading, item.value, low, high, verdict, *told)


def _moves(bench: Bench, items: Sequence[Evidence]) -> Iterator[float]:
    """Bits by which each finding moved the ranking: its divergence from the ranking before.

    Source: Kullback and Leibler, On information and sufficiency, 1951 (from memory).
    """
    before = dict(posterior(bench.predictions, ()).ranking)
    for count in range(1, len(items) + 1):
        after = dict(posterior(bench.predictions, items[:count]).ranking)
        yield sum(p * log2(p / before[mode]) for mode, p in after.items() if p > 0)
        before = after
