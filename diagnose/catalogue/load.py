"""From the knowledge folder to a Catalogue, or every mistake of it in one go."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import Path
from typing import Protocol, TypeVar

from diagnose.catalogue.base_rates import BaseRates
from diagnose.catalogue.kit import Kit
from diagnose.catalogue.records import (
    Catalogue,
    Caution,
    Complaint,
    FailureMode,
    Observation,
    Quantity,
    ReadingEntry,
    Source,
    Stop,
    Word,
)
from diagnose.catalogue.templates import told
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, Place, quoted
from diagnose.field_types import Names
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read, read_list, read_mapping

T = TypeVar("T")


class _Entry(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def place(self) -> Place: ...


E = TypeVar("E", bound=_Entry)


@dataclass(frozen=True)
class _Readings:
    """The file of the readings."""

    quantities: Mapping[str, Quantity]
    readings: tuple[ReadingEntry, ...]

    def with_needs(self) -> Iterator[ReadingEntry]:
        """Every reading with what its quantity takes."""
        for entry in self.readings:
            known = self.quantities.get(entry.reading.quantity)
            yield replace(entry, needs=known.needs) if known else entry


def load_catalogue(folder: Path | None = None) -> Catalogue:
    """Everything in the knowledge folder. Raises Mistakes with all problems of all files."""
    files = _Files(folder or knowledge_folder())
    modes = files.by_id(
        "failure mode", files.each("failure_modes/*/*.yaml", partial(read, FailureMode))
    )
    sources = files.mapping("sources", Source)
    rates = files.rates(modes, sources)
    looks = files.each("observations/*.yaml", partial(read_list, Observation, key="observations"))
    tests = files.one("readings.yaml", partial(read, _Readings)) or _Readings({}, ())
    complaints = files.one("complaints.yaml", partial(read_list, Complaint, key="complaints"))
    stops = files.one("stops.yaml", partial(read_list, Stop, key="stops"))
    catalogue = Catalogue(
        failure_modes={name: _with_rate(mode, rates) for name, mode in modes.items()},
        observations=files.by_id("observation", (one for file in looks for one in file)),
        readings=files.by_id("reading", tests.with_needs()),
        quantities=tests.quantities,
        words={name: word.probability for name, word in files.mapping("words", Word).items()},
        cautions=files.mapping("cautions", Caution),
        sources=sources,
        complaints=files.by_id("complaint", complaints or ()),
        stops=files.by_id("stop", stops or ()),
        kit=files.one("kit.yaml", partial(read, Kit)) or Kit({}, {}),
    )
    if files.problems:
        raise Mistakes(files.problems)
    return catalogue


def _with_rate(mode: FailureMode, rates: BaseRates) -> FailureMode:
    return replace(mode, prior=replace(mode.prior, counted=rates.ratio(mode.id)))


@cache
def shipped_catalogue() -> Catalogue:
    """The knowledge that comes with the program, read once, as it is told without a rig."""
    return told(load_catalogue())


class _Files:
    """Opens files one after another; what is wrong in one does not hide the rest."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.problems: list[DiagnoseError] = []

    def one(self, name: str, reading: Callable[[Section], T]) -> T | None:
        """What is read from one file; None, with the problems kept, when it has any."""
        try:
            document = load(self.folder / name)
            found = reading(document)
            document.finish()
            return found
        except DiagnoseError as problem:
            self.problems.append(problem)
        return None

    def each(self, pattern: str, reading: Callable[[Section], T]) -> Iterator[T]:
        """What is read from each file of a pattern, by name."""
        for path in sorted(self.folder.glob(pattern)):
            found = self.one(str(path.relative_to(self.folder)), reading)
            if found is not None:
                yield found

    def mapping(self, name: str, kind: type[T]) -> dict[str, T]:
        """A file whose keys are the names of its records."""
        return self.one(f"{name}.yaml", partial(read_mapping, kind)) or {}

    def rates(self, modes: Collection[str], sources: Collection[str]) -> BaseRates:
        """The counts of recorded cases; none where the folder has none."""
        none = BaseRates(worth=1.0, cases=0, counts={})
        if not (self.folder / "base_rates.yaml").is_file():
            return none
        known = Names({"failure mode": modes, "source": sources})
        return self.one("base_rates.yaml", partial(read, BaseRates, known=known)) or none

    def by_id(self, kind: str, entries: Iterable[E]) -> dict[str, E]:
        """Entries by id; a second one of the same id is a problem."""
        found: dict[str, E] = {}
        for entry in entries:
            first = found.setdefault(entry.id, entry)
            if first is not entry:
                taken = f"there is a {kind} {quoted(entry.id)} already ({first.place})"
                self.problems.append(BadDocument(taken, entry.place))
        return found
