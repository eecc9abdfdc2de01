"""The sums of diagnose.design beside published tables and worked examples, cell by cell.

    python tests/outside/design_tables.py

prints the largest deviation of each table. tests/tables holds the published values with their
sources; test_design_tables.py fails where one is missed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

import yaml

from diagnose.circuit.design import ampacity
from diagnose.circuit.relay import warmed
from diagnose.design.ampacity import allowed, warmth_factor
from diagnose.design.checks_battery import fresh_air, run_time
from diagnose.design.checks_wire import turning_speed
from diagnose.design.recommend import usual_fuse
from diagnose.design.site import site
from diagnose.design.sizing import MIL, Size, choose, circular_mils, gauges, smallest
from diagnose.figures import shipped_figures
from diagnose.units import read_gauge

TABLES = Path(__file__).parents[1] / "tables"
FIGURES = shipped_figures()
FOOT = 0.3048


def table(name: str) -> Any:
    return yaml.safe_load((TABLES / name).read_text(encoding="utf-8"))


SIZES, CURRENTS, EXAMPLES = (
    table(f"{name}.yaml") for name in ("wire_sizes", "ampacity", "design_examples")
)


@dataclass(frozen=True)
class Cell:
    """One published value beside ours. within: the difference that rounding explains; a gauge must
    be equal."""

    table: str
    what: str
    published: float | str | None
    ours: float | str | None
    within: float
    source: str

    @property
    def difference(self) -> float:
        """Ours less the published value; for gauges 0 when they are equal, else infinite."""
        if isinstance(self.published, float) and isinstance(self.ours, float):
            return abs(self.ours - self.published)
        return 0.0 if self.published == self.ours else float("inf")


def chosen(amps: float, feet: float, share: float) -> str | None:
    """The gauge for a length out and back."""
    gauge, _ = choose(amps, feet / 2 * FOOT, share, FIGURES).sizes
    return gauge.name.removesuffix(" AWG") if gauge else None


SHARES = {"printed-3-percent": 0.03, "computed-3-percent": 0.03, "computed-10-percent": 0.10}


def wire_sizes() -> Iterator[Cell]:
    """Every cell of the tables, without those that are listed as in conflict."""
    for name, share in SHARES.items():
        known = SIZES[name]
        conflict = {(one["amps"], one["feet"]) for one in known.get("in-conflict", ())}
        for amps, row in known["rows"].items():
            for feet, size in zip(SIZES["lengths"], row, strict=False):
                if (amps, feet) not in conflict:
                    what, ours = f"{amps} A, {feet} ft", chosen(amps, feet, share)
                    yield Cell(name, what, size, ours, 0, known["source"])


def exact_areas() -> Iterator[Cell]:
    """The table that was made with exact areas and another constant: the formula itself."""
    known = SIZES["printed-3-percent-exact-areas"]
    offered = [
        Size(name, read_gauge(f"{name} AWG"), read_gauge(f"{name} AWG") / MIL)
        for name in known["sizes"]
    ]
    for feet, row in known["rows"].items():
        for amps, name in zip(known["amps"], row, strict=True):
            found = smallest(offered, circular_mils(amps, feet, 0.36, known["constant"]))
            ours = found.name if found else None
            yield Cell("exact-areas", f"{amps} A, {feet} ft", name, ours, 0, known["source"])


def conductors() -> Iterator[Cell]:
    """Table 5 by gauge and class."""
    known = CURRENTS["conductors"]
    for gauge, row in known["rows"].items():
        for insulation, amps in zip(known["classes"], row, strict=True):
            ours = ampacity(read_gauge(f"{gauge} AWG"), FIGURES, insulation)
            what = f"{gauge} AWG, {insulation} degC"
            yield Cell("conductors", what, float(amps), ours, 1e-6, known["source"])


def engine_spaces() -> Iterator[Cell]:
    """105 degC wire at 50 degC, and the factor of each class against the law of heat balance."""
    known, law = CURRENTS["engine-space-105"], CURRENTS["engine-space-law"]
    hot = site(insulation=105, air=50, bundle=1)
    for gauge, amps in known["rows"].items():
        ours = allowed(read_gauge(f"{gauge} AWG"), hot, FIGURES).amps
        yield Cell(
            "engine-space", f"{gauge} AWG", float(amps), ours, known["within"], known["source"]
        )
    for insulation in law["rows"]:
        if insulation not in law["except"]:
            heat = ((insulation - 50) / (insulation - 30)) ** 0.5
            ours = warmth_factor(insulation, 50, FIGURES)
            what = f"{insulation} degC"
            yield Cell("engine-space-law", what, heat, ours, law["within"], law["source"])


def bundles() -> Iterator[Cell]:
    """Boat cable in bundles, at both ends of each range of conductors."""
    known = CURRENTS["bundles"]
    for row in known["rows"]:
        for conductors in sorted(set(row["conductors"])):
            for where, air in (("outside", 30), ("inside", 50)):
                lies = site(insulation=105, air=air, bundle=conductors)
                ours = allowed(read_gauge(f"{row['gauge']} AWG"), lies, FIGURES).amps
                what = f"{row['gauge']} AWG, {conductors}, {where}"
                published = float(row[where])
                yield Cell("bundles", what, published, ours, known["within"], known["source"])


def examples() -> Iterator[Cell]:
    """Worked examples; `within` is relative there."""
    for row in EXAMPLES["circular-mils"]:
        needed = circular_mils(**row["inputs"])
        yield _example("circular-mils", row, needed)
        found = smallest(gauges(FIGURES), needed)
        ours = found.name if found else None
        yield Cell("circular-mils", row["case"], f"{row['gauge']} AWG", ours, 0, row["source"])
    for row in EXAMPLES["peukert"]:
        known = row["inputs"]
        hours = run_time(known["capacity"], known["current"], known["exponent"], known["hours"])
        yield _example("peukert", row, hours)
    for row in EXAMPLES["relay-warm"]:
        volts = float(warmed(row["inputs"]["volts"], row["inputs"]["coil"], FIGURES))
        yield _example("relay-warm", row, volts)
    for row in EXAMPLES["hydrogen"]:
        air = fresh_air(row["inputs"]["current"], row["inputs"]["cells"], FIGURES)
        yield _example("hydrogen", row, air)
    for row in EXAMPLES["speed"]:
        known = row["inputs"]
        inside = known["brush"] + known["amps"] * known["ohms"]
        yield _example("speed", row, turning_speed(known["volts"], known["rated"], inside))


def fuses() -> Iterator[Cell]:
    """The 125 % rule and the 150 % limit."""
    for row in EXAMPLES["fuse-for-continuous"]:
        ours = usual_fuse(row["current"], FIGURES)
        yield Cell(
            "fuse-for-continuous", row["case"], float(row["expected"]), ours, 0, row["source"]
        )
    for row in EXAMPLES["fuse-limit"]:
        limit = FIGURES.get("fuse-over-wire-largest")
        ours = limit * ampacity(read_gauge(f"{row['gauge']} AWG"), FIGURES)
        yield Cell("fuse-limit", row["case"], float(row["expected"]), ours, 1e-6, row["source"])


def _example(name: str, row: Any, ours: float) -> Cell:
    expected = float(row["expected"])
    return Cell(name, row["case"], expected, ours, row["within"] * expected, row["source"])


def cells() -> list[Cell]:
    """Every cell of every table."""
    sources = (wire_sizes, exact_areas, conductors, engine_spaces, bundles, examples, fuses)
    return [cell for source in sources for cell in source()]


def report() -> str:
    """One line a table: cells, how many of them are met, and the largest deviation."""
    lines = []
    for name, group in groupby(cells(), key=lambda cell: cell.table):
        found = list(group)
        met = sum(cell.difference <= cell.within for cell in found)
        worst = max(found, key=lambda cell: cell.difference)
        deviation = f"{worst.difference:.3g} at {worst.what}" if worst.difference else "none"
        lines.append(f"{name:22} {met} of {len(found)} cells, largest deviation {deviation}")
    return "\n".join(lines)


if __name__ == "__main__":
    print(report())
