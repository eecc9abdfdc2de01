"""The reading after the repair: what it says, and when it proves nothing."""

from __future__ import annotations

from dataclasses import replace

from diagnose.casebook.closing import verified
from diagnose.casebook.record import Verification
from diagnose.errors import DiagnoseError
from diagnose.outcome import Proof
from diagnose.reasoning import words
from diagnose.reasoning.evidence import Measured

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
