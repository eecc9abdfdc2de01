"""Checks on what tests need, and on what somebody may have beside a rig."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import Catalogue, Observation, Quantity
from diagnose.record_places import under

ANYTHING = "*"
"""Stands in a place for everything of the kit."""


def _needing(book: Catalogue) -> Iterator[Observation | Quantity]:
    yield from book.observations.values()
    yield from book.quantities.values()


@check("K918", Severity.MUST_FIX)
def needs_are_of_the_kit(knowledge: Knowledge) -> Found:
    """What a test or a quantity needs is a thing of the kit."""
    book = knowledge.catalogue
    for one in _needing(book):
        for number, name in enumerate(one.needs, 1):
            if name not in book.kit.things:
                yield under(one.place, "needs", number), f"there is no {name} in kit.yaml"


@check("K919", Severity.SHOULD_FIX)
def thing_is_needed(knowledge: Knowledge) -> Found:
    """Something needs every thing of the kit."""
    book = knowledge.catalogue
    needed = {name for one in _needing(book) for name in one.needs}
    for thing in book.kit.things.values():
        if thing.id not in needed:
            yield thing.place, f"nothing needs {thing.id}"


@check("K920", Severity.MUST_FIX)
def place_has_known_things(knowledge: Knowledge) -> Found:
    """What is taken to be at a place is of the kit."""
    kit = knowledge.catalogue.kit
    for place in kit.places.values():
        for number, name in enumerate(place.has, 1):
            if name not in (*kit.things, ANYTHING):
                yield under(place.place, "has", number), f"there is no {name} among the things"
