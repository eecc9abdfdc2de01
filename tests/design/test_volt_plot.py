"""Volts along the circuit as bars."""

from __future__ import annotations

import pytest

from diagnose.circuit.network import points_on
from diagnose.circuit.rig import bundled_rigs, open_rig
from diagnose.design.volt_plot import Level, volt_plot, way_round

LEVELS = [
    Level("battery+", 12.0, 12.0),
    Level("motor+", 12.0, 6.0),
    Level("ground", 0.0, -0.5),
]


def test_a_fault_shows_as_a_shorter_bar_with_the_sound_rig_marked() -> None:
    assert volt_plot(LEVELS, 38, True) == [
        "battery+ ###################o  12.00 V",
        "motor+   ##########.........o   6.00 V",
        "ground   o...................  -0.50 V",
    ]


def test_without_a_fault_the_bar_is_the_sound_rig() -> None:
    assert volt_plot([Level("lug+", 12.0), Level("ground", 3.0)], 22, False) == [
        "lug+   ████████  12.00 V",
        "ground ██······   3.00 V",
    ]


@pytest.mark.parametrize("width", [80, 40])
def test_it_keeps_to_its_width(width: int) -> None:
    assert max(map(len, volt_plot(LEVELS, width, True))) == width


def test_a_dead_rig_has_no_bars() -> None:
    (line,) = volt_plot([Level("lug+", 0.0, 0.0)], 30, True)

    assert "#" not in line


@pytest.mark.parametrize("name", bundled_rigs())
def test_the_way_round_meets_the_points_of_the_rig(name: str) -> None:
    """All but battery-, where the black probe stays, 87a, which lies beside the way, and the ends
    of a link, which lie between two batteries."""
    rig = open_rig(name)

    apart = {"battery-", "relay.87a", "link.in", "link.out"}
    assert {*way_round(rig)} == {*points_on(rig)} - apart
    assert way_round(rig)[0] == "battery+"
