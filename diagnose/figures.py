"""The figures of the trade: every number the circuit model uses, with its unit and source.

They live in knowledge/figures/*.yaml and nowhere else; Python asks for them by name and unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Annotated, TypeVar

from diagnose.annotations import At, Name, Of, OneOf, Plain
from diagnose.documents import Section, load
from diagnose.errors import (
    BadDocument,
    DiagnoseError,
    Mistakes,
    Place,
    UnknownName,
    nearest,
    quoted,
)
from diagnose.record_reader import read
from diagnose.units import read_quantity

BASES = ("seen", "derived", "memory", "common-practice", "estimate")
BASIS = OneOf(BASES)


class NoKnowledge(DiagnoseError):
    """The knowledge folder is not where the program was installed."""


@cache
def knowledge_folder() -> Path:
    """Where the YAML knowledge lies: beside the code in a wheel, above it in a checkout."""
    here = Path(__file__).resolve().parent
    for folder in (here / "knowledge", here.parent / "knowledge"):
        if (folder / "figures").is_dir():
            return folder
    raise NoKnowledge(f"{here}: the knowledge folder is missing; install the program again.")


PER_12 = "per_12_volts"
"""Where the files say that a figure is of a 12 V system: 1 for volts, 2 for ohms of equal watts."""


@dataclass(frozen=True)
class Figure:
    """One sourced value, as it stands in the file. per_12: the power of the system's voltage over
    12 V with which it goes, 0 for most."""

    name: Annotated[str, Name()]
    value: Annotated[str, Plain(str)]
    about: str
    source: Annotated[str, Of("source")]
    basis: Annotated[str, BASIS]
    place: Place
    per_12: Annotated[int, At(PER_12)] = 0


def _rows(raw: object) -> tuple[tuple[object, ...], ...]:
    rows = raw if isinstance(raw, list) else []
    return tuple(tuple(row) if isinstance(row, list) else (row,) for row in rows)


@dataclass(frozen=True)
class Table:
    """Sourced rows; `columns` gives the unit of each ("1" for a ratio or a word). per_12: by column
    the power of the system's voltage over 12 V with which its numbers go."""

    name: Annotated[str, Name()]
    columns: Mapping[str, str]
    rows: Annotated[tuple[tuple[object, ...], ...], Plain(_rows)]
    about: str
    source: Annotated[str, Of("source")]
    basis: Annotated[str, BASIS]
    place: Place
    per_12: Annotated[Mapping[str, int], At(PER_12)] = field(default_factory=dict)

    def at(self, times: float) -> Table:
        """The same on a system of `times` 12 V."""
        factors = [times ** self.per_12.get(name, 0) for name in self.columns]

        def scaled(row: tuple[object, ...]) -> tuple[object, ...]:
            pairs = zip(row, factors, strict=True)
            return tuple(cell if by == 1 else float(str(cell)) * by for cell, by in pairs)

        return replace(self, rows=tuple(map(scaled, self.rows))) if self.per_12 else self

    def column(self, name: str) -> tuple[float, ...]:
        """The numbers of one column, in the unit that `columns` states."""
        index = list(self.columns).index(name)
        return tuple(float(str(row[index])) for row in self.rows)

    def row(self, key: str) -> dict[str, float]:
        """The numbers of the row whose first cell is `key`, by column name."""
        for row in self.rows:
            if row[0] == key:
                names = list(self.columns)[1:]
                return {n: float(str(v)) for n, v in zip(names, row[1:], strict=True)}
        raise KeyError(f"table {self.name} has no row {key!r}")


T = TypeVar("T", Figure, Table)


@dataclass(frozen=True)
class Figures:
    """All figures and tables by name."""

    values: Mapping[str, Figure]
    tables: Mapping[str, Table]
    times_12: float = 1.0
    """The voltage of the system over 12 V, for which all of them are written."""
    _read: dict[tuple[str, str], float] = field(default_factory=dict, repr=False)

    def get(self, name: str, unit: str = "1") -> float:
        """The figure `name` as a float in `unit` ("1" for a ratio). Raises UnknownName."""
        key = (name, unit)
        if key not in self._read:
            one = _named(self.values, name)
            value = float(one.value) if unit == "1" else read_quantity(one.value, unit)
            self._read[key] = value * self.times_12**one.per_12
        return self._read[key]

    def at(self, times_12: float) -> Figures:
        """The same for a system of so many times 12 V."""
        if times_12 == self.times_12:
            return self
        found = {name: one.at(times_12 / self.times_12) for name, one in self.tables.items()}
        return Figures(self.values, found, times_12)

    def table(self, name: str) -> Table:
        """The table `name`. Raises UnknownName."""
        return _named(self.tables, name)


def _named(found: Mapping[str, T], name: str) -> T:
    """One of the figures or tables. Raises UnknownName: somebody took it out of the files."""
    if name not in found:
        raise UnknownName("figure", name, None, nearest(name, found))
    return found[name]


@dataclass(frozen=True)
class _File:
    """What stands in one file."""

    figures: Mapping[str, Figure] = field(default_factory=dict)
    tables: Mapping[str, Table] = field(default_factory=dict)


def load_figures(folder: Path | None = None) -> Figures:
    """Every figure and table below `folder` (default: the shipped ones). Raises Mistakes with all
    problems of all files."""
    values: dict[str, Figure] = {}
    tables: dict[str, Table] = {}
    problems: list[DiagnoseError] = []
    for path in sorted((folder or knowledge_folder() / "figures").glob("*.yaml")):
        try:
            document = load(path)
            file = read(_File, document)
            _add(document, file.figures, values)
            _add(document, file.tables, tables)
            document.finish()
        except DiagnoseError as problem:
            problems.append(problem)
    if problems:
        raise Mistakes(problems)
    return Figures(values, tables)


def _add(document: Section, ones: Mapping[str, T], found: dict[str, T]) -> None:
    """Add those of a document to `found`; a name that is taken is a problem."""
    for name, one in ones.items():
        first = found.setdefault(name, one)
        if first is not one:
            taken = f"there is {quoted(name)} already ({first.place})"
            document.problem(BadDocument(taken, one.place))


@cache
def shipped_figures() -> Figures:
    """The figures that come with the program, read once."""
    return load_figures()
