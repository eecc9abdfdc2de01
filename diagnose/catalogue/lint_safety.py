"""Checks on what can hurt: stops, and the cautions of tests."""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatchcase

from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.load_rules import rule_words
from diagnose.catalogue.records import Catalogue, Observation, ReadingEntry
from diagnose.catalogue.rule_records import ThenStop
from diagnose.record_places import under

UNDER_POWER = ("calling", "satisfied")
"""States of the rig in which whoever looks stands beside a rig that is fed."""

LONGEST_STOP = 16
"""Lines of 76 letters that a stop may take: with the prompt it fits on a screen of 24 lines."""


def _tests(book: Catalogue) -> Iterator[Observation | ReadingEntry]:
    yield from book.observations.values()
    yield from book.readings.values()


@check("K911", Severity.MUST_FIX)
def under_power_is_said(knowledge: Knowledge) -> Found:
    """A look at a rig that is fed says that it is made under power."""
    for one in knowledge.catalogue.observations.values():
        if one.state in UNDER_POWER and one.way != "power":
            yield under(one.place, "way"), f"the rig is {one.state} meanwhile: its way is power"


@check("K912", Severity.MUST_FIX)
def start_is_said(knowledge: Knowledge) -> Found:
    """A test made on a rig that is asked to run says that the pump can start."""
    for one in knowledge.catalogue.observations.values():
        if one.state in UNDER_POWER and "start" not in one.can:
            yield under(one.place, "can"), "the pump may start meanwhile: say start"


@check("K913", Severity.MUST_FIX)
def hazard_has_its_caution(knowledge: Knowledge) -> Found:
    """A test that can arc, burn, spray or start the pump carries a caution that warns of it."""
    book = knowledge.catalogue
    for one in _tests(book):
        warned = {word for name in one.cautions for word in _warns_of(book, name)}
        for hazard in one.can:
            if hazard not in warned:
                yield under(one.place, "cautions"), f"name a caution that warns of {hazard}"


def _warns_of(book: Catalogue, name: str) -> tuple[str, ...]:
    return book.cautions[name].warns_of if name in book.cautions else ()


@check("K914", Severity.MUST_FIX)
def stop_is_raised(knowledge: Knowledge) -> Found:
    """Some rule raises every stop."""
    raised = {rule.then.stop for rule in knowledge.rules if isinstance(rule.then, ThenStop)}
    for one in knowledge.catalogue.stops.values():
        if one.id not in raised:
            yield one.place, f"no rule raises the stop {one.id}"


@check("K915", Severity.MUST_FIX)
def stop_fits_a_screen(knowledge: Knowledge) -> Found:
    """A stop says what to do in so few words that it fits on one screen."""
    for one in knowledge.catalogue.stops.values():
        lines = sum(-(-len(" ".join(text.split())) // 74) for text in (one.text, *one.do, one.ends))
        if lines > LONGEST_STOP:
            yield one.place, f"it takes {lines} lines; {LONGEST_STOP} fit above the prompt"


@check("K916", Severity.MUST_FIX)
def stop_names_known_tests(knowledge: Knowledge) -> Found:
    """What a stop keeps off is a test of the book."""
    tests = rule_words(knowledge.catalogue).tests()
    for one in knowledge.catalogue.stops.values():
        for number, pattern in enumerate(one.keep_off, 1):
            if not any(fnmatchcase(test, pattern) for test in tests):
                yield under(one.place, "keep_off", number), f"no test is called {pattern}"


@check("K917", Severity.MUST_FIX)
def stop_and_caution_differ(knowledge: Knowledge) -> Found:
    """A stop is not called as a caution is, so that each is found by its name."""
    for one in knowledge.catalogue.stops.values():
        if one.id in knowledge.catalogue.cautions:
            yield under(one.place, "id"), f"there is a caution called {one.id}; take another name"
