"""What must hold of every rig in list form, whatever it lists: drawings, sums and findings."""

from __future__ import annotations

import math

import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.rig import Rig, read_rig
from diagnose.design.check import check_rig
from diagnose.design.checks_switch import cured
from diagnose.design.drawing import draw
from diagnose.design.drawing_svg import draw_svg
from diagnose.design.finding import Severity
from diagnose.design.plan import Plan
from diagnose.design.schematic import schematic
from diagnose.design.site import site
from diagnose.design.volt_plot import way_round
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from tests.design.odd_lists import odd_lists
from tests.design.test_checks import done_again


def rigs(count: int) -> list[Rig]:
    """Of odd lists, those that a file may have."""
    found = []
    for text in odd_lists(count, seed=26):
        try:
            found.append(read_rig(parse(text, "rig")))
        except DiagnoseError:
            continue
    assert len(found) > 0.9 * count
    return found


RIGS = rigs(60)


@pytest.mark.parametrize("width", [80, 40])
def test_a_drawing_has_every_point_and_every_part_and_keeps_to_its_width(width: int) -> None:
    """An overlap raises while drawing."""
    for rig in RIGS:
        points = points_on(rig)
        drawing = draw(rig, width, volts=dict.fromkeys(points, "12.34 V"))

        assert drawing.count("●") == len(points)
        assert drawing.count("12.34 V") == len(points)
        assert max(map(len, drawing.splitlines())) <= width
        words = " ".join(drawing.split())
        for load in rig.loads:
            assert load.said.split()[0] in words


@pytest.mark.parametrize("width", [80, 40])
def test_a_probe_can_stand_at_any_point(width: int) -> None:
    for rig in RIGS[:15]:
        volts = dict.fromkeys(points_on(rig), "12.34 V")
        for point in points_on(rig):
            drawing = draw(rig, width, probes={point: "RED"}, volts=volts)
            assert drawing.count("RED") == 1
            assert max(map(len, drawing.splitlines())) <= width


def test_the_picture_and_the_way_round_know_every_point() -> None:
    for rig in RIGS[:20]:
        points = {*points_on(rig)}
        assert {*way_round(rig)} == points - {"battery-", "relay.87a"}
        picture = draw_svg(rig, volts=dict.fromkeys(points, "1 V"))
        assert picture.count("1 V<") >= len(points)


def test_switches_side_by_side_are_told_as_such() -> None:
    rig = next(one for one in RIGS if any(part.branches for part in one.control_parts))

    assert any(getattr(item, "word", "") == "either" for item in schematic(rig).control)
    assert " or\n" in draw(rig, 40)


def test_every_finding_has_its_source_its_limit_and_sums_that_can_be_done_again() -> None:
    sources = shipped_catalogue().sources
    for rig in RIGS:
        for finding in check_rig(rig):
            assert finding.source in sources, finding.id
            assert finding.limit, finding.id
            bad = finding.severity in (Severity.UNSAFE, Severity.SHOULD_CHANGE)
            assert finding.change or not bad, finding.id
            for line in finding.working:
                again, printed = done_again(line)
                assert math.isclose(again, printed, rel_tol=0.005, abs_tol=0.06), line


def test_what_a_relay_would_cure_can_be_drawn_and_checked() -> None:
    for rig in RIGS:
        better = cured(Plan(Model.of(rig), site()))
        assert better.has_relay or better is rig
        draw(better, 40)
        check_rig(better)
