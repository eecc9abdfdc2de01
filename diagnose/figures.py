"""The figures of the trade: every number the circuit model uses, with its unit and source.

They live in knowledge/figures/*.yaml and nowhere else; Python asks for them by name and unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Annotated, TypeVar

from diagnose.annotations import Name, Of, OneOf, Plain
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


@dataclass(frozen=True)
class Figure:
    """One sourced value, as it stands in the file."""

    name: Annotated[str, Name()]
    value: Annotated[str, Plain(str)]
    about: str
    source: Annotated[str, Of("source")]
    basis: Annotated[str, BASIS]
    place: Place


def _rows(raw: object) -> tuple[tuple[object, ...], ...]:
    rows = raw if isinstance(raw, list) else []
    return tuple(tuple(row) if isinstance(row, list) else (row,) for row in rows)


@dataclass(frozen=True)
class Table:
    """Sourced rows; `columns` gives the unit of each ("1" for a ratio or a word)."""

    name: Annotated[str, Name()]
    columns: Mapping[str, str]
    rows: Annotated[tuple[tuple[object, ...], ...], Plain(_rows)]
    about: str
    source: Annotated[str, Of("source")]
    basis: Annotated[str, BASIS]
    place: Place

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
    _read: dict[tuple[str, str], float] = field(default_factory=dict, repr=False)

    def get(self, name: str, unit: str = "1") -> float:
        """The figure `name` as a float in `unit` ("1" for a ratio). Raises UnknownName."""
        key = (name, unit)
        if key not in self._read:
            text = _named(self.values, name).value
            self._read[key] = float(text) if unit == "1" else read_quantity(text, unit)
        return self._read[key]

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
