"""From what a trainee types to what is to be done: "volts 30 87 calling", "look fuse holder".

An act is a test (of the book, or a reading between any two points), a change of the rig's state,
or something that has to be stopped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.circuit.meter import Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import FIXED_CONDITION, STATES, fits, points_for
from diagnose.drill.words import Words, plain
from diagnose.errors import DiagnoseError, Place, UnknownName, nearest, quoted
from diagnose.reasoning.evidence import NotOnThisRig
from diagnose.reasoning.next_test import Test
from diagnose.walkthrough import Bench

POINTS = ("voltage", "resistance")
"""Quantities that are read between two points."""


class NotAnAct(DiagnoseError):
    """What was typed is nothing that can be done at the rig."""


@dataclass(frozen=True)
class Do:
    """A test to make. set_up: the state it needs was named, so bringing the rig there is part of
    the act."""

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


Act = Do | Change | Stop


def act_of(text: str, bench: Bench, words: Words, state: str) -> Act:
    """What a typed line asks for, with the rig in that state.

    Raises NotAnAct, UnknownName or NotOnThisRig with one sentence that helps.
    """
    said = words.plain(text)
    if not said:
        raise NotAnAct("Type what you do, such as: volts 30 87, look fuse holder, or list.")
    for name, danger in words.dangers.items():
        if said in danger.phrases:
            return Stop(name, dangerous=True)
    for kind, names in (("state", words.states), ("ask", words.asks)):
        found = next((name for name, phrases in names.items() if said in phrases), None)
        if found:
            return Change(found) if kind == "state" else _observation(found, bench)
    return _with_verb(text, said, bench, words, state)


def _observation(name: str, bench: Bench) -> Act:
    """The test of that name. Raises NotOnThisRig."""
    if name not in bench.tests:
        raise NotOnThisRig(f"{name}: this rig has nothing to look at or to try there.")
    return Do(bench.tests[name])


def _with_verb(text: str, said: str, bench: Bench, words: Words, state: str) -> Act:
    for name, phrase in _longest_first(words.verbs):
        if said == phrase or said.startswith(f"{phrase} "):
            rest = said[len(phrase) :].strip()
            if name == "jumper":
                return _jumper(text, rest, bench, words)
            if name == "fit-fuse":
                return _fuse(text, bench)
            return _reading(name, rest, bench, words, state)
    near = nearest(said, [phrase for _, phrase in _longest_first({**words.verbs, **words.asks})])
    hint = f" Did you mean {quoted(near)}?" if near else " Type list to see what can be done."
    raise NotAnAct(f"{quoted(text)} is nothing that can be done here.{hint}")


def _longest_first(names: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    pairs = [(name, phrase) for name, phrases in names.items() for phrase in phrases]
    return sorted(pairs, key=lambda pair: (-len(pair[1].split()), pair[1]))


def _named(rest: str, meanings: Mapping[str, str]) -> Iterator[str]:
    """The meaning of each name in a text, the longest names first. Raises UnknownName."""
    tokens = rest.split()
    longest = max((len(name.split()) for name in meanings), default=1)
    while tokens:
        for count in range(min(longest, len(tokens)), 0, -1):
            name = " ".join(tokens[:count])
            if name in meanings:
                yield meanings[name]
                tokens = tokens[count:]
                break
        else:
            near = nearest(tokens[0], meanings)
            raise UnknownName("point, part or state", tokens[0], None, near)


def _meanings(quantity: str, words: Words) -> dict[str, str]:
    """What a name may stand for behind a verb: "point ...", "part ...", "place ...", "state ..."."""
    found = {phrase: f"state {s}" for s, phrases in words.states.items() for phrase in phrases}
    if quantity in POINTS:
        found |= {name: f"part {name}" for name in words.parts}
        kinds = {"point": words.points}
    else:
        allowed = points_for(quantity)[1]
        kinds = {"place": {name: words.places[name] for name in allowed}}
    for kind, names in kinds.items():
        for name, phrases in names.items():
            found |= dict.fromkeys(phrases, f"{kind} {name}")
    return found


def _reading(quantity: str, rest: str, bench: Bench, words: Words, state: str) -> Act:
    if quantity not in POINTS and _two_points(rest, words):
        return Stop("amps-across", dangerous=True)
    found = [one.split(" ", 1) for one in _named(rest, _meanings(quantity, words))]
    states = [name for kind, name in found if kind == "state"]
    points = _points(quantity, [(kind, name) for kind, name in found if kind != "state"], words)
    if len(set(points)) < len(points):
        return Stop("same-point", dangerous=False)
    condition = _condition(quantity, states, state)
    if quantity == "resistance" and not states and state != "isolated":
        return Stop("ohms-on-live", dangerous=True)
    return Do(_test(Reading(quantity, points, condition), bench, words), set_up=bool(states))


def _two_points(rest: str, words: Words) -> bool:
    """Whether a text names two test points and no more."""
    meanings = {phrase: name for name, phrases in words.points.items() for phrase in phrases}
    try:
        return len(list(_named(rest, meanings))) == 2
    except UnknownName:
        return False


def _points(quantity: str, found: list[tuple[str, str]], words: Words) -> tuple[str, ...]:
    """Red and black, or the one place. Raises NotAnAct."""
    kinds, names = [kind for kind, _ in found], tuple(name for _, name in found)
    if kinds == ["part"]:
        return words.parts[names[0]]
    if kinds == ["point"]:
        return names[0], words.black
    if kinds == ["point", "point"] or kinds == ["place"]:
        return names
    if not kinds and quantity not in POINTS and len(points_for(quantity)[1]) == 1:
        return tuple(points_for(quantity)[1])
    wanted = "two points or one part" if quantity in POINTS else "one place"
    example = {"voltage": "volts 30 87", "resistance": "ohms coil isolated"}.get(quantity, "")
    raise NotAnAct(f"A reading of {quantity} needs {wanted}{example and f', such as: {example}'}.")


def _condition(quantity: str, states: list[str], state: str) -> str:
    """The state to read in: the one named, else the one the rig is in, else calling."""
    fixed = FIXED_CONDITION.get(quantity)
    named = states[-1] if states else ""
    if fixed:
        if named not in ("", fixed):
            raise NotAnAct(f"{quantity} is read {fixed}, not {named}.")
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
    entry = ReadingEntry(
        reading, "", "", minutes, reading.condition, cautions, {}, nowhere
    )
    return Test(entry.id, entry)


_RATING = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:a|amps?|amperes?)\b")


def _rating(text: str) -> float | None:
    """The rating that was typed [A]."""
    found = _RATING.search(text.lower())
    return float(found[1].replace(",", ".")) if found else None


def _jumper(text: str, rest: str, bench: Bench, words: Words) -> Act:
    rating = _rating(text)
    bare = words.plain(_RATING.sub(" ", text.lower())).split(" ", 1)
    named, fused = _fuse_words(bare[1] if len(bare) > 1 else "", words)
    meanings = {name: f"part {name}" for name in words.parts}
    meanings |= {p: f"point {name}" for name, phrases in words.points.items() for p in phrases}
    found = [one.split(" ", 1) for one in _named(named, meanings)]
    points = _points("voltage", [(kind, name) for kind, name in found], words)
    if stop := _bad_bridge(points):
        return stop
    test = next((n for n, pair in words.jumpers.items() if set(pair) == set(points)), None)
    if fused is False:
        return Stop("unfused-jumper", dangerous=True)
    if test is None:
        return Stop("no-jumper", dangerous=False)
    if rating is None and fused is None:
        raise NotAnAct("Which fuse is in the jumper? Say it: jumper 30 87 15 A, or fused, or unfused.")
    if rating is not None and rating > _limit(test, bench):
        return Stop("oversized-jumper", dangerous=True)
    return _observation(test, bench)


def _fuse_words(rest: str, words: Words) -> tuple[str, bool | None]:
    """What is bridged, and whether with a fuse; None when that was not said."""
    for phrases, fused in ((words.unfused, False), (words.fused, True)):
        for phrase in phrases:
            if rest == phrase or rest.endswith(f" {phrase}"):
                return rest[: -len(phrase)].strip(), fused
    return rest, None


RETURN_SIDE = frozenset(("motor-", "ground", "lug-", "battery-", "relay.85"))


def _bad_bridge(points: tuple[str, ...]) -> Stop | None:
    """A bridge that is dangerous whatever is in it."""
    if set(points) in ({"fuse.in", "fuse.out"}, {"cfuse.in", "cfuse.out"}):
        return Stop("bridged-fuse", dangerous=True)
    if len({point in RETURN_SIDE for point in points}) > 1:
        return Stop("short-circuit", dangerous=True)
    return None


def _limit(test: str, bench: Bench) -> float:
    """The largest fuse that a jumper may have there [A]: the rig's own in that line."""
    rig = bench.rig
    power = test == "jumper-relay-contact" or not rig.has_relay
    return rig.main_fuse_rating if power else rig.control_fuse_rating


def _fuse(text: str, bench: Bench) -> Act:
    rating = _rating(text) or _bare_number(text)
    larger = "larger" in text or "bigger" in text
    if larger or (rating is not None and rating > bench.rig.main_fuse_rating):
        return Stop("larger-fuse", dangerous=True)
    return Stop("new-fuse", dangerous=False)


def _bare_number(text: str) -> float | None:
    found = re.search(r"\d+(?:\.\d+)?", text)
    return float(found[0]) if found else None


def short_form(test: Test, words: Words) -> str:
    """A test of the book as it is typed: "volts 30 87 calling"."""
    entry = test.entry
    if isinstance(entry, Observation):
        pair = words.jumpers.get(test.id)
        if pair:
            return f"jumper {' '.join(_short_point(p, words) for p in pair)} fused"
        return words.asks[test.id][0]
    reading = entry.reading
    verb = words.verbs[reading.quantity][0]
    if reading.quantity in POINTS:
        where = [_short_point(point, words) for point in reading.points]
    else:
        where = [words.places[reading.points[0]][0]]
    state = "" if reading.quantity == "temperature" else words.states[reading.condition][0]
    return " ".join(filter(None, (verb, *where, state)))


def _short_point(point: str, words: Words) -> str:
    return words.points[point][0] if point.startswith("relay.") else plain(point)


def candidates(typed: str, bench: Bench, words: Words) -> tuple[str, ...]:
    """Whole lines that begin with what was typed, in the order of the book."""
    begun = " ".join(typed.lower().split())
    forms = [short_form(test, words) for test in bench.tests.values()]
    forms += [phrases[0] for phrases in words.states.values()]
    return tuple(dict.fromkeys(form for form in forms if form.startswith(begun)))


@dataclass(frozen=True)
class Offer:
    """One thing that can be done: as it is typed, what it asks, and its minutes."""

    typed: str
    asks: str
    minutes: float


def offers(bench: Bench, words: Words, about: str = "") -> tuple[Offer, ...]:
    """What can be done on this rig; about: words that must be in the act or its question."""
    wanted = plain(about).split()
    found = [_offer(test, words) for test in bench.tests.values()]
    return tuple(
        offer
        for offer in found
        if all(word in plain(f"{offer.typed} {offer.asks}") for word in wanted)
    )


def _offer(test: Test, words: Words) -> Offer:
    entry = test.entry
    asks = entry.ask if isinstance(entry, Observation) else " ".join(entry.why.split())
    return Offer(short_form(test, words), asks, entry.minutes)
