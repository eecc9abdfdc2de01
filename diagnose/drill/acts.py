"""From what a trainee types to what is to be done: "volts 30 87 calling", "look fuse holder".

An act is a test (of the book, or a reading between any two points), a change of the rig's state,
or something that has to be stopped.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.catalogue.records import ReadingEntry
from diagnose.circuit.meter import Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import FIXED_CONDITION, SPOKEN, STATES, fits
from diagnose.drill.words import PROBED, NotAnAct, Words, meanings, named, points_of, probed
from diagnose.errors import Place, UnknownName, nearest, quoted
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import NotOnThisRig
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


@dataclass(frozen=True)
class Do:
    """A test to make. set_up: the state that it needs was named."""

    test: Test
    set_up: bool = False


@dataclass(frozen=True)
class Change:
    """Bring the rig into another state: rest, calling, satisfied, unplugged or isolated."""

    state: str


@dataclass(frozen=True)
class Stop:
    """Not to be done. name: of words.dangers where it is dangerous, else of words.senseless."""

    name: str
    dangerous: bool


@dataclass(frozen=True)
class MakeSafe:
    """Deal with the stops that stand as each of them says."""


Act = Do | Change | Stop | MakeSafe


def act_of(text: str, bench: Bench, words: Words, state: str) -> Act:
    """What a typed line asks for, with the rig in that state.

    Raises NotAnAct, UnknownName or NotOnThisRig with one sentence that helps.
    """
    said = words.plain(text)
    if not said:
        raise NotAnAct("Type what you do, such as: volts 30 87, look fuse holder, or list.")
    dangers = {name: danger.phrases for name, danger in words.dangers.items()}
    if danger := _said(said, dangers):
        return Stop(danger, dangerous=True)
    if said in words.safe:
        return MakeSafe()
    if changed := _said(said, words.probes.states):
        return Change(changed)
    if asked := _said(said, words.asks):
        return _observation(asked, bench)
    return _with_verb(text, said, bench, words, state)


def _said(said: str, names: Mapping[str, tuple[str, ...]]) -> str:
    return next((name for name, phrases in names.items() if said in phrases), "")


def _observation(name: str, bench: Bench) -> Act:
    """The test of that name. Raises NotOnThisRig."""
    if name not in bench.tests:
        raise NotOnThisRig(f"{name}: this rig has nothing to look at or to try there.")
    return Do(bench.tests[name])


def _with_verb(text: str, said: str, bench: Bench, words: Words, state: str) -> Act:
    for name, phrase in _longest_first(words.verbs):
        if said == phrase or said.startswith(f"{phrase} "):
            if name == "jumper":
                return _allowed(jumper(text, phrase, bench, words), bench)
            if name == "fit-fuse":
                return _allowed(fit_fuse(text, bench), bench)
            return _reading(name, said[len(phrase) :].strip(), bench, words, state)
    near = nearest(said, [phrase for _, phrase in _longest_first({**words.verbs, **words.asks})])
    hint = f" Did you mean {quoted(near)}?" if near else " Type list to see what can be done."
    raise NotAnAct(f"{quoted(text)} is nothing that can be done here.{hint}")


def _longest_first(names: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    pairs = [(name, phrase) for name, phrases in names.items() for phrase in phrases]
    return sorted(pairs, key=lambda pair: (-len(pair[1].split()), pair[1]))


def _allowed(verdict: tuple[str, str], bench: Bench) -> Act:
    kind, name = verdict
    return _observation(name, bench) if kind == "test" else Stop(name, kind == "danger")


def _reading(quantity: str, rest: str, bench: Bench, words: Words, state: str) -> Act:
    if quantity not in PROBED and _two_points(rest, words):
        return Stop("amps-across", dangerous=True)
    found = list(named(rest, meanings(quantity, words)))
    states = [name for kind, name in found if kind == "state"]
    points = points_of(quantity, [one for one in found if one[0] != "state"], words)
    if len(set(points)) < len(points):
        return Stop("same-point", dangerous=False)
    condition = _condition(quantity, states, state)
    test = _test(Reading(quantity, points, condition), bench, words)
    if quantity == "resistance" and not states and state != "isolated":
        return Stop("ohms-on-live", dangerous=True)
    return Do(test, set_up=bool(states))


def _two_points(rest: str, words: Words) -> bool:
    """Whether a text names two test points and no more."""
    try:
        return [kind for kind, _ in named(rest, probed(words))] == ["point", "point"]
    except UnknownName:
        return False


def _condition(quantity: str, states: list[str], state: str) -> str:
    """The state to read in: the one named, else the one the rig is in, else calling."""
    fixed = FIXED_CONDITION.get(quantity)
    named = states[-1] if states else ""
    if fixed:
        if named not in ("", fixed):
            how, other = SPOKEN.get(fixed, fixed), SPOKEN.get(named, named)
            raise NotAnAct(f"{quantity} is read {how}, not {other}.")
        return fixed
    if named == "isolated":
        raise NotAnAct(f"With the battery off there is no {quantity} to read.")
    return named or (state if state in STATES else "calling")


def _test(reading: Reading, bench: Bench, words: Words) -> Test:
    """The book's test for a reading, or one of our own. Raises NotOnThisRig."""
    if not fits(reading, bench.rig):
        missing = [point for point in reading.points if point not in points_on(bench.rig)]
        raise NotOnThisRig(f"This rig has no {' and no '.join(missing) or reading.points[0]}.")
    turned = Reading(reading.quantity, reading.points[::-1], reading.condition)
    for one in (reading, turned):
        if str(one) in bench.tests:
            return bench.tests[str(one)]
    minutes = words.minutes[reading.quantity]
    nowhere = Place("drill")
    cautions = ("isolate-before-ohms",) if reading.quantity == "resistance" else ("live-wiring",)
    entry = ReadingEntry(reading, "", "", minutes, reading.condition, cautions, {}, nowhere)
    return Test(entry.id, entry)
