"""Every row of every published table, worked example and library is met, and the report says so."""

from __future__ import annotations

from functools import cache

import pytest

from tests.outside.__main__ import KINDS, report
from tests.outside.cells import Cell, Missing
from tests.outside.design_tables import SIZES, chosen
from tests.outside.simulators import SIMULATORS

HERE = [kind for kind in KINDS if kind not in SIMULATORS]
"""The simulators have a file of their own."""


@cache
def cells(kind: str) -> tuple[Cell, ...]:
    try:
        return tuple(KINDS[kind]())
    except Missing as missing:
        pytest.skip(str(missing))


@pytest.mark.parametrize("kind", HERE)
def test_every_row_is_met(kind: str) -> None:
    found = cells(kind)

    assert len(found) > 5
    assert not [cell.told for cell in found if not cell.met]


@pytest.mark.parametrize("kind", HERE)
def test_no_row_could_be_met_by_anything(kind: str) -> None:
    """A value that is a tenth off, or another word, is no longer met."""
    for cell in cells(kind):
        if isinstance(cell.published, float) and cell.published and cell.floor is not None:
            assert cell.within < 0.1, cell.what
        elif isinstance(cell.published, float):
            assert cell.within < max(0.1 * abs(cell.published), 0.01), cell.what


@pytest.mark.parametrize("cell", SIZES["printed-3-percent"]["in-conflict"])
def test_the_cell_in_conflict_is_thinner_than_its_own_formula_asks(cell: dict[str, object]) -> None:
    """Not a figure to agree with: it is here so that the exception stays a known one."""
    amps, feet = float(str(cell["amps"])), float(str(cell["feet"]))

    assert chosen(amps, feet, 0.03) == cell["formula"] != cell["printed"]


def test_the_report_names_basis_source_rows_and_deviation() -> None:
    cell = Cell("wires", "8 AWG", 2.0, 2.01, 0.01, "some handbook", "published", floor=0.0)
    told = Cell("looks", "a sign", "red", "blue", 0, "the trade", "common practice")

    lines = [*report([cell, cell, told, "some library: not installed"])]

    assert "PUBLISHED: " in lines[0]
    assert " ".join(lines[1].split()) == "wires 2 of 2 rows met, largest deviation 0.5 %"
    assert lines[2].strip() == "some handbook"
    assert any("COMMON PRACTICE" in line for line in lines)
    assert any("0 of     1 rows met, largest deviation differs at a sign" in one for one in lines)
    assert lines[-2:] == ["some library: not installed", "2 of 3 rows met, from 2 sources"]
