"""From the knowledge folder to a Catalogue, or every mistake of it in one go."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Protocol, TypeVar

from diagnose.catalogue.base_rates import BaseRates, base_rates
from diagnose.catalogue.expanding import told
from diagnose.catalogue.read_entries import (
    caution,
    complaint,
    observation,
    quantity,
    reading_entry,
    source,
    stop,
    thing,
    whereabouts,
    word,
)
from diagnose.catalogue.read_modes import failure_mode
from diagnose.catalogue.records import (
    Catalogue,
    Complaint,
    FailureMode,
    Kit,
    Observation,
    Quantity,
    ReadingEntry,
    Stop,
)
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, Place, quoted
from diagnose.figures import knowledge_folder

T = TypeVar("T")


class _Entry(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def place(self) -> Place: ...


E = TypeVar("E", bound=_Entry)


def load_catalogue(folder: Path | None = None) -> Catalogue:
    """Everything in the knowledge folder. Raises Mistakes with all problems of all files."""
    gather = _Gatherer(folder or knowledge_folder())
    modes = gather.by_id("failure mode", gather.files("failure_modes/*/*.yaml", failure_mode))
    sources = gather.mapping("sources.yaml", source)
    rates = _rates(gather, modes, sources)
    observations = gather.files("observations/*.yaml", _observations)
    quantities, readings = gather.file("readings.yaml", _readings) or ({}, ())
    catalogue = Catalogue(
        failure_modes={name: _with_rate(mode, rates) for name, mode in modes.items()},
        observations=gather.by_id("observation", (one for file in observations for one in file)),
        readings=gather.by_id("reading", readings),
        quantities=quantities,
        words=gather.mapping("words.yaml", word),
        cautions=gather.mapping("cautions.yaml", caution),
        sources=sources,
        complaints=gather.by_id("complaint", gather.file("complaints.yaml", _complaints) or ()),
        stops=gather.by_id("stop", gather.file("stops.yaml", _stops) or ()),
        kit=gather.file("kit.yaml", _kit) or Kit(),
    )
    if gather.problems:
        raise Mistakes(gather.problems)
    return catalogue


@cache
def shipped_catalogue() -> Catalogue:
    """The knowledge that comes with the program, read once, as it is told without a rig."""
    return told(load_catalogue())


class _Gatherer:
    """Opens files one after another; what is wrong in one does not hide the rest."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.problems: list[DiagnoseError] = []

    def file(self, name: str, read: Callable[[Section], T]) -> T | None:
        """What `read` makes of one file; None, with the problems kept, when it has any."""
        try:
            document = load(self.folder / name)
            result = read(document)
            document.finish()
            return result
        except DiagnoseError as problem:
            self.problems.append(problem)
        return None

    def files(self, pattern: str, read: Callable[[Section], T]) -> Iterator[T]:
        """What `read` makes of each file of a pattern, by name."""
        for path in sorted(self.folder.glob(pattern)):
            result = self.file(str(path.relative_to(self.folder)), read)
            if result is not None:
                yield result

    def mapping(self, name: str, read: Callable[[str, Section], T]) -> dict[str, T]:
        """A file whose keys are the ids of its entries."""
        return self.file(name, lambda document: _by_key(document, read)) or {}

    def by_id(self, kind: str, entries: Iterable[E]) -> dict[str, E]:
        """Entries by id; a second one of the same id is a problem."""
        found: dict[str, E] = {}
        for entry in entries:
            first = found.setdefault(entry.id, entry)
            if first is not entry:
                taken = f"there is a {kind} {quoted(entry.id)} already ({first.place})"
                self.problems.append(BadDocument(taken, entry.place))
        return found


def _by_key(document: Section, read: Callable[[str, Section], T]) -> dict[str, T]:
    return {name: read(name, document.section(name)) for name in document}


def _rates(gather: _Gatherer, modes: Collection[str], sources: Collection[str]) -> BaseRates:
    """The counts of recorded cases; none where the folder has none."""
    none = BaseRates(worth=1.0, cases=0, counts={})
    if not (gather.folder / "base_rates.yaml").is_file():
        return none
    found = gather.file("base_rates.yaml", lambda document: base_rates(document, modes, sources))
    return found or none


def _with_rate(mode: FailureMode, rates: BaseRates) -> FailureMode:
    return replace(mode, prior=replace(mode.prior, counted=rates.ratio(mode.id)))


def _observations(document: Section) -> tuple[Observation, ...]:
    return tuple(map(observation, document.sections("observations")))


def _readings(document: Section) -> tuple[dict[str, Quantity], tuple[ReadingEntry, ...]]:
    quantities = _by_key(document.section("quantities"), quantity)
    entries = map(reading_entry, document.sections("readings"))
    return quantities, tuple(_with_needs(entry, quantities) for entry in entries)


def _with_needs(entry: ReadingEntry, quantities: Mapping[str, Quantity]) -> ReadingEntry:
    known = quantities.get(entry.reading.quantity)
    return replace(entry, needs=known.needs) if known else entry


def _kit(document: Section) -> Kit:
    things = _by_key(document.section("things"), thing)
    return Kit(things, _by_key(document.section("places"), whereabouts))


def _stops(document: Section) -> tuple[Stop, ...]:
    return tuple(map(stop, document.sections("stops")))


def _complaints(document: Section) -> tuple[Complaint, ...]:
    return tuple(map(complaint, document.sections("complaints")))
