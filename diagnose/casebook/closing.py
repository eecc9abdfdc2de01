"""From a walk to a case, and from an open case to a closed one."""

from __future__ import annotations

import re
import secrets
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from hashlib import sha256
from math import log2
from pathlib import Path

from diagnose.bench import Bench
from diagnose.casebook.case_fields import Clock, added, line, now, paragraphs, whole_line
from diagnose.casebook.record import (
    CONFIRMATIONS,
    Case,
    ComeBack,
    PassedOver,
    ReadAt,
    SeenAt,
    StopAt,
    Verification,
)
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError, UnknownName, nearest, quoted
from diagnose.figures import knowledge_folder
from diagnose.outcome import Proof, Result
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.hypotheses import OTHER
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


def verified(proof: Proof, value: float, at: datetime | None = None) -> Verification:
    """The verification reading of a result, with the value measured [reading's unit]; whether the
    pump ran is not known."""
    low, high = _shortened(proof.low), _shortened(proof.high)
    return Verification(proof.reading, value, low, high, at)


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


def with_verification(case: Case, verification: Verification, clock: Clock = now) -> Case:
    """The case with the reading after the repair; it is closed when the reading proves it. Raises
    StillStopped: nothing is proved under power while a stop stands."""
    check_stops(case)
    case = replace(case, verification=verification)
    if not verification.proves:
        return case
    return close(case, case.cause, "verification", clock=clock)


def close(
    case: Case,
    true_cause: str,
    confirmed_by: str = "none",
    words: str = "",
    notes: str = "",
    parts: Iterable[str] | None = None,
    known: Iterable[str] = (),
    clock: Clock = now,
) -> Case:
    """The case with what it was in the end.

    true_cause: a failure mode, or "not-in-the-book", which needs `words`
    confirmed_by: one of CONFIRMATIONS; parts: what was really fitted, instead of the book's list
    known: the failure modes of the book, to check against; notes are added to those there are
    Raises StillStopped while a stop stands.
    """
    check_stops(case)
    known = set(known)
    if known and true_cause not in known | {OTHER}:
        raise UnknownName("failure mode", true_cause, None, nearest(true_cause, known))
    if confirmed_by not in CONFIRMATIONS:
        near = nearest(confirmed_by, CONFIRMATIONS)
        raise UnknownName("confirmation", confirmed_by, None, near, CONFIRMATIONS)
    if true_cause == OTHER and not words.strip():
        raise DiagnoseError(f"{quoted(case.id)}: not in the book, so say in words what it was")
    return replace(
        case,
        status="closed",
        closed=max(clock(), case.opened),
        true_cause=true_cause,
        true_words=whole_line(words, "what it was"),
        confirmed_by=confirmed_by,
        parts=case.parts if parts is None else tuple(whole_line(part, "a part") for part in parts),
        notes=added(case.notes, notes),
    )


class StillStopped(DiagnoseError):
    """A case that is to be closed while a stop of it stands."""


def check_stops(case: Case) -> None:
    """Raises StillStopped while a stop stands."""
    if case.standing:
        names = ", ".join(case.standing)
        raise StillStopped(
            f"{quoted(case.id)} stands stopped: {names}. Once that has been dealt with as it says, "
            f"give --made-safe {case.standing[0]} with what closes the case."
        )


def made_safe(case: Case, stops: Iterable[str], clock: Clock = now) -> Case:
    """The case with these stops dealt with. Raises UnknownName for one that does not stand."""
    wanted = tuple(stops)
    for name in wanted:
        if name not in case.standing:
            near = nearest(name, case.standing)
            raise UnknownName("stop that stands", name, None, near, case.standing)
    lifted = (
        replace(one, lifted=clock()) if one.stop in wanted and one.lifted is None else one
        for one in case.stops
    )
    return replace(case, stops=tuple(lifted))


def reopen(case: Case, notes: str = "", clock: Clock = now) -> Case:
    """The case after it turned out that the repair had not held: nothing is confirmed any more."""
    return replace(
        case,
        status="reopened",
        closed=None,
        confirmed_by="none",
        came_back=(*case.came_back, ComeBack(clock(), case.closed)),
        notes=added(case.notes, notes),
    )


def _shortened(value: float) -> float:
    """Four digits: more says nothing about a band."""
    return float(f"{value:.4g}")


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
    low, high = _shortened(band.low), _shortened(band.high)
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
