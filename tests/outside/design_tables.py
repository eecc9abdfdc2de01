"""The sums of diagnose.design beside published tables and worked examples, cell by cell.

tests/tables holds the published values with their sources.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from diagnose.circuit.ratings import usual_fuse
from diagnose.circuit.relay import warmed
from diagnose.design.ampacity import allowed, ampacity, warmth_factor
from diagnose.design.checks_battery import fresh_air, run_time
from diagnose.design.checks_wire import turning_speed
from diagnose.design.site import site
from diagnose.design.sizing import MIL, Size, choose, circular_mils, gauges, smallest
from diagnose.figures import shipped_figures
from diagnose.units import read_gauge
from tests.outside.cells import Cell, table

FIGURES = shipped_figures()
FOOT = 0.3048
EXAMPLE = "worked example"

SIZES, CURRENTS, METRIC, EXAMPLES = (
    table(f"{name}.yaml")
    for name in ("wire_sizes", "ampacity", "metric_ampacity", "design_examples")
)


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
                    yield Cell(name, what, size, ours, 0, known["source"], known["basis"])


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
            what = f"{amps} A, {feet} ft"
            yield Cell("exact-areas", what, name, ours, 0, known["source"], known["basis"])


def conductors() -> Iterator[Cell]:
    """Table 5 by gauge and class."""
    known = CURRENTS["conductors"]
    for gauge, row in known["rows"].items():
        for insulation, amps in zip(known["classes"], row, strict=True):
            ours = ampacity(read_gauge(f"{gauge} AWG"), FIGURES, insulation)
            what = f"{gauge} AWG, {insulation} degC"
            source, basis = known["source"], known["basis"]
            yield Cell("conductors", what, float(amps), ours, 1e-6, source, basis)


def metric_conductors() -> Iterator[Cell]:
    """The metric table by area and class; where the American one allows less, that."""
    known, american = METRIC["conductors"], CURRENTS["conductors"]
    less = {(one["area"], one["class"]): one["gauges"] for one in known["american-is-less"]}
    for area, row in known["rows"].items():
        for insulation, amps in zip(known["classes"], row, strict=True):
            expected, source = float(amps), known["source"]
            if gauges := less.get((area, insulation)):
                column = american["classes"].index(insulation)
                ends = [(_round_wire(one), american["rows"][one][column]) for one in gauges]
                ends = ends if len(ends) > 1 else [(0.0, 0), *ends]
                expected, source = _between(area, ends), american["source"]
                assert expected < amps, f"{area} mm2, {insulation} degC: the metric value is less"
            ours = ampacity(area, FIGURES, insulation, metric=True)
            what = f"{area} mm2, {insulation} degC"
            seen = gauges or area in known["published"].get(insulation, ())
            basis = american["basis"] if seen else known["basis"]
            yield Cell("metric-conductors", what, expected, ours, 0.02, source, basis)


def _round_wire(gauge: str) -> float:
    """Area of a solid round wire [mm2], ASTM B258 as in any table of gauges."""
    number = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    return float(53.4751 * 92.0 ** (-2 * number / 39))


def _between(x: float, ends: list[tuple[float, int]]) -> float:
    """On the straight line between two cells."""
    (x1, y1), (x2, y2) = ends
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def engine_spaces() -> Iterator[Cell]:
    """105 degC wire at 50 degC, and the factor of each class against the law of heat balance."""
    known, law = CURRENTS["engine-space-105"], CURRENTS["engine-space-law"]
    hot = site(insulation=105, air=50, bundle=1)
    for gauge, amps in known["rows"].items():
        ours = allowed(read_gauge(f"{gauge} AWG"), hot, FIGURES).amps
        yield _cell("engine-space", f"{gauge} AWG", float(amps), ours, known)
    for insulation in law["rows"]:
        if insulation not in law["except"]:
            heat = ((insulation - 50) / (insulation - 30)) ** 0.5
            ours = warmth_factor(insulation, 50, FIGURES)
            what = f"{insulation} degC"
            yield _cell("engine-space-law", what, heat, ours, law)


def bundles() -> Iterator[Cell]:
    """Boat cable in bundles, at both ends of each range of conductors."""
    known = CURRENTS["bundles"]
    for row in known["rows"]:
        for conductors in sorted(set(row["conductors"])):
            for where, air in (("outside", 30), ("inside", 50)):
                lies = site(insulation=105, air=air, bundle=conductors)
                ours = allowed(read_gauge(f"{row['gauge']} AWG"), lies, FIGURES).amps
                what = f"{row['gauge']} AWG, {conductors}, {where}"
                yield _cell("bundles", what, float(row[where]), ours, known)


def examples() -> Iterator[Cell]:
    """Worked examples; `within` is relative there."""
    for row in EXAMPLES["circular-mils"]:
        needed = circular_mils(**row["inputs"])
        yield _example("circular-mils", row, needed)
        found = smallest(gauges(FIGURES), needed)
        ours = found.name if found else None
        gauge = f"{row['gauge']} AWG"
        basis = row.get("basis", EXAMPLE)
        yield Cell("circular-mils", row["case"], gauge, ours, 0, row["source"], basis)
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
        expected = float(row["expected"])
        yield Cell("fuse-for-load", row["case"], expected, ours, 0, row["source"], "from memory")
    for row in EXAMPLES["fuse-limit"]:
        limit = FIGURES.get("fuse-over-wire-largest")
        ours = limit * ampacity(read_gauge(f"{row['gauge']} AWG"), FIGURES)
        expected = float(row["expected"])
        yield Cell("fuse-limit", row["case"], expected, ours, 1e-6, row["source"], "published")


def _example(name: str, row: Any, ours: float) -> Cell:
    basis = row.get("basis", EXAMPLE)
    expected, within = float(row["expected"]), row["within"]
    return Cell(name, row["case"], expected, ours, within, row["source"], basis, floor=0.0)


def _cell(name: str, what: str, published: float, ours: float, known: Any) -> Cell:
    return Cell(name, what, published, ours, known["within"], known["source"], known["basis"])


def cells() -> list[Cell]:
    """Every cell of every table."""
    sources = (
        wire_sizes,
        exact_areas,
        conductors,
        metric_conductors,
        engine_spaces,
        bundles,
        examples,
        fuses,
    )
    return [cell for source in sources for cell in source()]
