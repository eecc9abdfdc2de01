"""No wire is offered behind a fuse that does not protect it.

Held against the published tables in tests/tables: 33 CFR 183.425 table 5 for gauges, ISO 13297
annex A (in part from memory) for metric sizes, bundle factors of UL 1426; all at 30 degC, so that
warm air only lowers it.
"""

from __future__ import annotations

import json
import re
from itertools import product
from pathlib import Path

import pytest
from typer.testing import CliRunner

from diagnose.circuit.rig import read_rig
from diagnose.design.ampacity import allowed
from diagnose.design.check import check_rig
from diagnose.design.finding import Severity
from diagnose.design.recommend import Recommendation, recommend
from diagnose.design.site import Site, insulation_classes, site
from diagnose.design.sizing import Size
from diagnose.documents import parse
from diagnose.figures import shipped_figures
from diagnose.terminal.app import app
from diagnose.units import read_gauge
from tests.outside.cells import table

FIGURES = shipped_figures()
FOOT = 0.3048
AMERICAN, METRIC = (table(f"{name}.yaml")["conductors"] for name in ("ampacity", "metric_ampacity"))
BUNDLES = {1: 1.0, 3: 0.7, 6: 0.6, 25: 0.4}
CURRENTS = (0.2, 4, 7.5, 14, 24, 45, 80, 100)
LENGTHS = (0.3, 12, 330)
HARD = ["--current", "100 A", "--length", "2 ft", "--insulation", "60 degC", "--air", "50 degC"]


def published(size: Size, insulation: int) -> float:
    """What its table allows in free air at 30 degC, in the nearest class that is no hotter."""
    known = METRIC if size.metric else AMERICAN
    rows = {str(name): row for name, row in known["rows"].items()}
    column = max(i for i, one in enumerate(known["classes"]) if one <= insulation)
    return float(rows[size.name.split()[0]][column])


def offered(advice: Recommendation) -> set[Size]:
    found = [*advice.wire]
    for row in advice.rows:
        found += [*row.offered(row.good), *row.offered(row.most)]
    return {size for size in found if size}


@pytest.mark.parametrize("insulation", insulation_classes(FIGURES))
def test_no_wire_is_offered_that_its_fuse_does_not_protect(insulation: int) -> None:
    for air, bundle in product((-40, 30, 50, 58), BUNDLES):
        where = site(insulation=insulation, air=air, bundle=bundle)
        for current, feet in product(CURRENTS, LENGTHS):
            advice = recommend(current, feet * FOOT, where, FIGURES)
            fuse = max(advice.fuses)
            assert fuse >= current
            for size in offered(advice):
                case = f"{current} A, {feet} ft, {air} degC, {bundle}: {fuse} A, {size.name}"
                assert fuse <= published(size, insulation) * BUNDLES[bundle] + 1e-9, case
                assert fuse <= allowed(size.area, where, FIGURES, size.metric).amps + 1e-9, case
            assert bool(advice.missing) is not any(advice.wire)


@pytest.mark.parametrize("current", [1, 7.5, 14, 30, 60, 100])
@pytest.mark.parametrize("air", [30, 50])
def test_a_rig_built_as_advised_is_not_called_unsafe_for_its_fuse(current: float, air: int) -> None:
    where = site(insulation=75, air=air, bundle=4)
    advice = recommend(current, 3.0, where, FIGURES)
    for size in advice.wire:
        assert size
        rig = read_rig(
            parse(
                f"topology: relay\npump: {{current: {current} A}}\n"
                f"wire: {{gauge: {size.name}, length: 3 m}}\n"
                f"main_fuse: {{rating: {advice.fuses[1]} A}}\n",
                "rig",
            )
        )
        findings = {one.id: one.severity for one in check_rig(rig, where)}
        assert findings["fuse-for-wire"] is findings["wire-for-current"] is Severity.FINE


def told(*words: str) -> str:
    done = CliRunner().invoke(app, ["rig", "size", *words])
    assert done.exit_code == 0, done.stderr
    return " ".join(done.stdout.split())


def test_a_hot_place_takes_the_thin_gauges_off_the_list() -> None:
    """125 A fuse; 33 CFR 183.425: 2/0 AWG of 60 degC 225 A x 0.58 = 130.5 A, 1/0 AWG 113.1 A."""
    text, record = told(*HARD), json.loads(told(*HARD, "--json"))

    assert "Run 2/0 AWG or 70 mm2" in text
    assert "the fuse asks for more: 2/0 AWG or 70 mm2" in text
    assert "14 AWG" not in text
    assert (record["protected"], record["missing"]) == (["2/0 AWG", "70 mm2"], "")
    first = record["lengths"][0]["10 %"]
    assert (first["sizes"], first["set_by"]) == (["2/0 AWG", "70 mm2"], "fuse")


def test_where_no_wire_is_left_it_says_so_and_what_to_change() -> None:
    """4/0 AWG of 60 degC: 300 A x 0.58 x 0.4 = 69.6 A, below a 125 A fuse."""
    text, record = (
        told(*HARD, "--bundle", "25"),
        json.loads(told(*HARD, "--bundle", "25", "--json")),
    )

    assert "No wire of the tables may carry what a 125 A fuse lets pass" in text
    assert "insulation of a higher class" in text
    assert "AWG" not in text
    assert (record["wire"], record["protected"]) == ([None, None], [None, None])
    assert "higher class" in record["missing"]


def test_where_the_way_is_too_long_it_says_that_instead() -> None:
    text = told("--current", "100 A", "--length", "330 ft")

    assert "keeps this length within 3 %. Shorten the way" in text


def test_the_wire_table_of_a_check_keeps_to_the_rigs_own_fuse(tmp_path: Path) -> None:
    """A 60 A fuse on a 4 A pump: 33 CFR 183.425 at 105 degC, 10 AWG carries 60 A, 12 AWG 45 A."""
    path = tmp_path / "rig.yaml"
    path.write_text("topology: relay\npump: {current: 4 A}\nmain_fuse: {rating: 60 A}\n", "utf-8")

    record = json.loads(CliRunner().invoke(app, ["rig", "check", str(path), "--json"]).stdout)

    names = {row[drop]["sizes"][0] for row in record["wire"] for drop in ("3 %", "10 %")}
    assert "10 AWG" in names
    assert not {"12 AWG", "14 AWG", "16 AWG", "18 AWG"} & names


@pytest.mark.parametrize("fuse", [5, 20, 40, 60, 100])
@pytest.mark.parametrize("where", [site(), site(insulation=60, air=50), site(bundle=6)])
def test_what_a_check_says_to_run_suits_the_fuse_that_is_there(fuse: int, where: Site) -> None:
    rig = read_rig(
        parse(
            "topology: relay\npump: {current: 16 A}\nwire: {gauge: 18 AWG, length: 8 ft}\n"
            f"main_fuse: {{rating: {fuse} A}}\n",
            "rig",
        )
    )
    said = [one.change for one in check_rig(rig, where) if one.id.startswith(("wire-for", "volts"))]
    names = re.findall(r"[0-9/.]+ (?:AWG|mm2)", " ".join(said))

    assert names
    for name in names:
        size = Size(name, read_gauge(name), 0)
        assert fuse <= allowed(size.area, where, FIGURES, size.metric).amps, (said, name)


def test_where_no_wire_helps_the_check_says_what_does(tmp_path: Path) -> None:
    """100 A over 330 ft of 0.1 mm2: no volts below nothing, no wire beyond the tables."""
    path = tmp_path / "rig.yaml"
    path.write_text(
        "topology: relay\npump: {current: 100 A}\nwire: {gauge: 0.1 mm2, length: 330 ft}\n", "utf-8"
    )

    said = " ".join(CliRunner().invoke(app, ["rig", "check", str(path)]).stdout.split())

    assert "shorten the way, or bring a battery nearer" in said
    assert "nothing left" in said
    assert "more than 4/0" not in said
    assert "kV" not in said


# --- metric wire ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gauge", "insulation", "amps"),
    [
        ("0.75 mm2", 90, 12),
        ("1.5 mm2", 90, 21),
        ("5 mm2", 105, 52.5),
        ("0.375 mm2", 90, 6),
        ("240 mm2", 105, 475),
        ("16 AWG", 90, 25),
        ("2.5 mm2", 75, 21.71),
    ],
)
def test_a_wire_follows_the_table_that_it_is_sold_by(
    gauge: str, insulation: int, amps: float
) -> None:
    """ISO 13297 annex A from memory: between sizes by a straight line, below the smallest by its
    copper, above the largest no more. 2.5 mm2 of 75 degC: 25 A in the class of 70; between 14 and
    12 AWG of 75 degC 20 + 5 x (2.5 - 2.081) / (3.309 - 2.081) = 21.71 A, which is less. 16 AWG:
    33 CFR 183.425."""
    rig = read_rig(
        parse(f"topology: relay\npump: {{current: 2 A}}\nwire: {{gauge: {gauge}}}\n", "rig")
    )

    finding = next(
        one
        for one in check_rig(rig, site(insulation=insulation, bundle=1))
        if one.id == "wire-for-current"
    )

    assert float(finding.limit.split(" A")[0]) == pytest.approx(amps, abs=0.02)
    standard = "cfr-183-425" if "AWG" in gauge else "iso-13297-conductors"
    assert finding.source == standard


def test_more_copper_never_carries_less_in_either_table() -> None:
    for insulation, metric in product(insulation_classes(FIGURES), (True, False)):
        where = site(insulation=insulation, air=20, bundle=1)
        areas = [0.1 * 1.02**step for step in range(395)]
        amps = [allowed(area, where, FIGURES, metric).amps for area in areas]
        assert amps == sorted(amps), (insulation, metric)
