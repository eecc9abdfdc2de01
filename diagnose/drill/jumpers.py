"""Jumpers and fuses: what may be bridged, with what, and what is stopped."""

from __future__ import annotations

import re

from diagnose.bench import Bench
from diagnose.drill.naming import NotAnAct, named, points_of, probed
from diagnose.drill.words import Words
from diagnose.units import read_quantity

RETURN_SIDE = frozenset(("motor-", "ground", "lug-", "battery-", "relay.85"))
"""Points that are joined to the battery's minus; bridged to any other, the bridge is a short."""

FUSES = (frozenset(("fuse.in", "fuse.out")), frozenset(("cfuse.in", "cfuse.out")))

_RATING = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:a|amps?|amperes?)\b")


def jumper(text: str, verb: str, bench: Bench, words: Words) -> tuple[str, str]:
    """("test", id of the observation), or ("danger" or "senseless", name) where it is stopped.

    text: the whole line; verb: the words that it begins with. Raises NotAnAct when the fuse was not
    named, or UnknownName.
    """
    rating = _rating(text)
    rest, fused = _fused(words.plain(_RATING.sub(" ", text.lower()))[len(verb) :].strip(), words)
    points = points_of("voltage", list(named(rest, probed(words))), words)
    test = next((n for n, pair in words.jumpers.items() if set(pair) == set(points)), "")
    if danger := _danger(points, fused, rating, _limit(test, bench)):
        return "danger", danger
    if not test:
        return "senseless", "no-jumper"
    if rating is None and fused is None:
        raise NotAnAct("Which fuse is in the jumper? Add its rating, such as 3 A, or say fused.")
    return "test", test


def _rating(text: str) -> float | None:
    """The rating that was typed [A]."""
    found = _RATING.search(text.lower())
    return read_quantity(found[1], "A") if found else None


def _fused(rest: str, words: Words) -> tuple[str, bool | None]:
    """What is bridged, and whether with a fuse; None when that was not said."""
    for phrases, fused in ((words.unfused, False), (words.fused, True)):
        for phrase in phrases:
            if rest == phrase or rest.endswith(f" {phrase}"):
                return rest[: -len(phrase)].strip(), fused
    return rest, None


def _danger(points: tuple[str, ...], fused: bool | None, rating: float | None, limit: float) -> str:
    """What is dangerous about a bridge, or ""."""
    if set(points) in FUSES:
        return "bridged-fuse"
    if len({point in RETURN_SIDE for point in points}) > 1:
        return "short-circuit"
    if fused is False:
        return "unfused-jumper"
    return "oversized-jumper" if rating is not None and rating > limit else ""


def _limit(test: str, bench: Bench) -> float:
    """The largest fuse that a jumper may have there [A]: the rig's own in that line."""
    rig = bench.rig
    control = rig.has_relay and test not in ("", "jumper-relay-contact")
    return rig.control_fuse_rating if control else rig.main_fuse_rating


def fit_fuse(text: str, bench: Bench) -> tuple[str, str]:
    """As `jumper`, for a fuse that somebody wants to put in."""
    number = re.search(r"\d+(?:\.\d+)?", text)
    rating = _rating(text) or (read_quantity(number[0], "A") if number else 0.0)
    larger = "larger" in text.lower() or "bigger" in text.lower()
    if larger or rating > bench.rig.main_fuse_rating:
        return "danger", "larger-fuse"
    return "senseless", "new-fuse"
