"""From an open case to a closed one, and back; the reading after the repair, and what it proves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from diagnose.casebook.case_fields import Clock, added, now, whole_line
from diagnose.casebook.record import (
    CONFIRMATIONS,
    Case,
    ComeBack,
    Verification,
)
from diagnose.errors import DiagnoseError, UnknownName, nearest, quoted
from diagnose.outcome import Proof
from diagnose.reasoning import words
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.hypotheses import OTHER


def shortened(value: float) -> float:
    """Four digits: more says nothing about a band."""
    return float(f"{value:.4g}")


def verified(proof: Proof, value: float, at: datetime | None = None) -> Verification:
    """The verification reading of a result, with the value measured [reading's unit]; whether the
    pump ran is not known."""
    low, high = shortened(proof.low), shortened(proof.high)
    return Verification(proof.reading, value, low, high, at)


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


RUNNING = "Does the pump do its job again?"

LOADED = {
    "in-use": "it runs with the outlet open, as in use",
    "shut": "it runs against a shut outlet",
    "still": "it does not run",
}
"""How a pump may stand while its proof is read (record.LOADS)."""

NEXT = "Look at the joints just made, then at what came next in the ranking."


class TooCoarse(DiagnoseError):
    """A reading with too few digits to prove anything."""


def judged(proof: Proof, item: Measured, runs: bool, load: str = "") -> Verification:
    """The reading taken after a repair. load: as in LOADED, "" for how a pump usually stands that
    does its job, or does not. Raises TooCoarse where its digits leave open what it should prove."""
    taken = (load or ("in-use" if runs else "still")) if is_loaded(proof) else ""
    found = replace(verified(proof, item.value), runs=runs, load=taken, typed=item.typed)
    if found.proves and item.resolution > found.high - found.low:
        stated, wanted = (
            words.band(*ends, item.reading) for ends in (item.ends, (found.low, found.high))
        )
        raise TooCoarse(
            f"{item.typed} may be anything from {stated}, and the proof is {wanted}: type every "
            "digit the meter shows."
        )
    return found


def is_loaded(proof: Proof) -> bool:
    """Whether the proof is read while the pump is called, so that it matters how it runs."""
    return proof.reading.condition == "calling"


def shown(found: Verification) -> str:
    """The value, with the digits that were given."""
    return found.typed or words.value(found.value, found.reading)


def verdict(found: Verification) -> str:
    """What the reading says of the repair."""
    value, band = shown(found), words.band(found.low, found.high, found.reading)
    if not found.within:
        return f"{value} is outside {band}: not mended yet, or something else is wrong too. {NEXT}"
    if found.proves:
        return f"{value} is within {band}: the repair holds."
    return doubt(found)


def doubt(found: Verification) -> str:
    """Why a reading within its band proves nothing; "" where it does, or is outside."""
    if not found.within or found.proves:
        return ""
    value = shown(found)
    if found.loaded:
        band = words.band(found.low, found.high, found.reading)
        return (
            f"{value} is within {band}, but the pump does not do its job: something else is wrong "
            f"too, or this was not it. {NEXT}"
        )
    if found.load == "shut":
        return (
            f"Against a shut outlet the pump does another work than in use, so {value} proves "
            "nothing: open the outlet and read again."
        )
    if found.low <= 0:
        return (
            f"Nothing flows, so nothing can be lost: a drop of {value} on a rig that does not run "
            "proves nothing. Find why it does not run, then read again while it does."
        )
    return (
        f"Without the pump's current almost any joint shows good volts: {value} on a rig that does "
        "not run proves nothing. Find why it does not run, then read again while it does."
    )
