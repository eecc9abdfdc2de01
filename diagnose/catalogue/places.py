"""Where the records hold what many checks look at, each with its place in the files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.catalogue.entry_parts import When
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.mode_parts import Effect
from diagnose.catalogue.records import Catalogue, FailureMode
from diagnose.catalogue.written import under
from diagnose.errors import Place

Words = Mapping[str, str]


def effects(catalogue: Catalogue) -> Iterator[tuple[Place, FailureMode, Effect]]:
    """Every effect of every failure mode."""
    for mode in catalogue.failure_modes.values():
        for number, effect in enumerate(mode.effects, 1):
            yield under(mode.place, "effects", number), mode, effect


def shown(catalogue: Catalogue) -> Iterator[tuple[Place, str, Words]]:
    """Every line of every `shows`: its observation, and its answers with their words."""
    for mode in catalogue.failure_modes.values():
        for name, words in mode.shows.items():
            yield under(mode.place, "shows", name), name, words
    for place, _, effect in effects(catalogue):
        for name, words in effect.shows.items():
            yield under(place, "shows", name), name, words


def conditions(catalogue: Catalogue) -> Iterator[tuple[Place, When, When]]:
    """Every condition on the rig, and the one that its entry as a whole is under."""
    entries = (catalogue.failure_modes, catalogue.observations, catalogue.readings)
    for entry in (one for book in entries for one in book.values()):
        yield under(entry.place, "applies"), entry.applies, {}
    for mode in catalogue.failure_modes.values():
        for number, factor in enumerate(mode.prior_factors, 1):
            yield under(mode.place, "prior_factors", number, "when"), factor.when, mode.applies
        for number, cause in enumerate(mode.root_causes, 1):
            yield under(mode.place, "root_causes", number, "when"), cause.when, mode.applies


def cautions(catalogue: Catalogue) -> Iterator[tuple[Place, str]]:
    """Every mention of a caution by an entry."""
    entries = (catalogue.failure_modes, catalogue.observations, catalogue.readings)
    for entry in (one for book in entries for one in book.values()):
        for number, name in enumerate(entry.cautions, 1):
            yield under(entry.place, "cautions", number), name


def sources(knowledge: Knowledge) -> Iterator[tuple[Place, str]]:
    """Every mention of a source by anything but a rule: its own file checks those."""
    catalogue, figures = knowledge.catalogue, knowledge.figures
    entries = (catalogue.failure_modes, catalogue.cautions, catalogue.stops)
    for entry in (one for book in entries for one in book.values()):
        for number, name in enumerate(entry.sources, 1):
            yield under(entry.place, "sources", number), name
    for quantity in catalogue.quantities.values():
        yield under(quantity.place, "meter", "source"), quantity.source
    for figure in (one for group in (figures.values, figures.tables) for one in group.values()):
        yield under(figure.place, "source"), figure.source
