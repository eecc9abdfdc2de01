"""How far this program is from what others have published: python -m tests.outside [NAME]

Every source that it is checked against, with what the source rests on, the number of rows, and the
largest deviation: in per cent of the published value, or as it is where values are compared so; of
the safety texts every hazard, and where the program speaks of it.
With a NAME, every row of the tables whose name contains it. The tests hold the same rows to their
limits.
"""

from __future__ import annotations

import math
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial

from tests.outside import (
    belief_tables,
    circuit_simulators,
    circuit_tables,
    design_tables,
    hazard_tables,
    libraries,
    linear,
    score_tables,
    worth_tables,
)
from tests.outside.cells import BASES, MEANING, Cell, Missing
from tests.outside.simulators import SIMULATORS

KINDS: Mapping[str, Callable[[], Iterable[Cell]]] = {
    "wires, fuses, motors": circuit_tables.cells,
    "design": design_tables.cells,
    "belief": belief_tables.cells,
    "worth of tests": worth_tables.cells,
    "scores": score_tables.cells,
    "hazards": hazard_tables.cells,
    "unit factors": libraries.conversions,
    "LAPACK": linear.cells,
    "pint": libraries.units,
    "scipy": libraries.intervals,
    "pyagrum": libraries.ranking,
    **{name: partial(circuit_simulators.cells, name) for name in SIMULATORS},
}
"""Everything that is checked, by kind."""


ROUNDING = 1e-13
"""A deviation below this is none."""


def gathered() -> Iterator[Cell | str]:
    """Every cell of every kind, a sentence for each reference that is not there, and for each
    hazard that is left out or has no source."""
    for kind, cells in KINDS.items():
        try:
            yield from cells()
        except Missing as missing:
            yield f"{kind}: {missing}"
    yield from hazard_tables.left_out()


def deviation(cells: Iterable[Cell]) -> str:
    """The largest deviation of some cells of one table."""
    worst = max(cells, key=lambda cell: cell.deviation / (cell.within or 1.0))
    off = worst.deviation
    if off < ROUNDING:
        return "none"
    if math.isinf(off):
        return f"differs at {worst.what}"
    return f"{100 * off:.2g} %" if worst.floor is not None else f"{off:.2g}"


def grouped(cells: Iterable[Cell]) -> Mapping[tuple[int, str, str], list[Cell]]:
    """Cells by basis, source and table."""
    found: dict[tuple[int, str, str], list[Cell]] = {}
    for cell in cells:
        key = BASES.index(cell.basis), cell.source, cell.table
        found.setdefault(key, []).append(cell)
    return dict(sorted(found.items()))


def report(everything: Iterable[Cell | str]) -> Iterator[str]:
    """The lines of the report."""
    everything = list(everything)
    cells = [one for one in everything if isinstance(one, Cell)]
    before = -1
    for (basis, source, table), group in grouped(cells).items():
        if basis != before:
            yield f"\n{BASES[basis].upper()}: {MEANING[BASES[basis]]}"
        before, met = basis, sum(cell.met for cell in group)
        rows = f"{met:>5} of {len(group):>5} rows met"
        yield f"{table:<22} {rows}, largest deviation {deviation(group)}"
        yield _indented(source, 4)
        yield from (_indented(f"{one.what}. Said by {one.said}", 6) for one in group if one.said)
    yield ""
    yield from (one for one in everything if isinstance(one, str))
    met = sum(cell.met for cell in cells)
    yield f"{met} of {len(cells)} rows met, from {len({cell.source for cell in cells})} sources"


def _indented(text: str, by: int) -> str:
    filled = textwrap.fill(" ".join(text.split()), 92, break_on_hyphens=False)
    return textwrap.indent(filled, " " * by)


def rows(name: str) -> Iterator[str]:
    """Every row of the tables of a name."""
    for cell in gathered():
        if isinstance(cell, Cell) and name in cell.table:
            word = "met" if cell.met else "MISSED"
            yield f"{cell.table}, {cell.what}: outside {cell.published}, ours {cell.ours}, {word}"


def main() -> None:
    """Print the report, or the rows of one table."""
    for line in rows(sys.argv[1]) if len(sys.argv) > 1 else report(gathered()):
        print(line)


if __name__ == "__main__":
    main()
