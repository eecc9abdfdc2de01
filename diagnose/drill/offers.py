"""What can be done at a rig, as it is typed: for lists, and to complete what was begun."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.catalogue.probe_words import plain
from diagnose.catalogue.records import Observation
from diagnose.circuit.meter import Reading
from diagnose.drill.session import Session
from diagnose.drill.words import PROBED, Words
from diagnose.reasoning.available_tests import Test


def short_form(test: Test, words: Words) -> str:
    """A test of the book as it is typed: "volts 30 87 asked"."""
    entry = test.entry
    if isinstance(entry, Observation):
        pair = words.jumpers.get(test.id)
        if pair:
            return f"jumper {' '.join(_short_point(p, words) for p in pair)} fused"
        return words.asks[test.id][0]
    return _short_reading(entry.reading, words)


def _short_reading(reading: Reading, words: Words) -> str:
    verb = words.verbs[reading.quantity][0]
    if reading.quantity in PROBED:
        where = [_short_point(point, words) for point in reading.points]
    else:
        where = [words.probes.places[reading.points[0]][0]]
    state = "" if reading.quantity == "temperature" else words.probes.states[reading.condition][0]
    return " ".join(filter(None, (verb, *where, state)))


def _short_point(point: str, words: Words) -> str:
    return words.probes.points[point][0] if point.startswith("relay.") else plain(point)


def candidates(typed: str, bench: Bench, words: Words) -> tuple[str, ...]:
    """Whole lines that begin with what was typed, in the order of the book."""
    begun = " ".join(typed.lower().split())
    forms = [short_form(test, words) for test in bench.tests.values()]
    forms += [phrases[0] for phrases in words.probes.states.values()]
    return tuple(dict.fromkeys(form for form in forms if form.startswith(begun)))


@dataclass(frozen=True)
class Offer:
    """One thing that can be done: as it is typed, what it asks, and its minutes."""

    typed: str
    asks: str
    minutes: float


def offers(session: Session, about: str = "") -> tuple[Offer, ...]:
    """What can be done now; about: words that must be in the act or its question."""
    wanted, stops = plain(about).split(), session.stops()
    tests = session.scenario.bench.tests.values()
    safe = [test for test in tests if not any(stop.forbids(test) for stop in stops)]
    found = [_offer(test, session.words) for test in safe]
    return tuple(
        offer
        for offer in found
        if all(word in plain(f"{offer.typed} {offer.asks}") for word in wanted)
    )


def _offer(test: Test, words: Words) -> Offer:
    entry = test.entry
    asks = entry.ask if isinstance(entry, Observation) else " ".join(entry.why.split())
    return Offer(short_form(test, words), asks, entry.minutes)
