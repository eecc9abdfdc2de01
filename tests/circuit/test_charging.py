"""Volts of a battery on charge tell of the charger.

Source: 13.2 to 14.7 V at the posts while charging, 12.6 to 12.9 V rested and full (battery makers'
tables, from memory); a charging battery hides its own state (common practice).
"""

from __future__ import annotations

import pytest

import diagnose
from diagnose.circuit.charging import was_on_charge
from diagnose.circuit.meter import Reading
from diagnose.circuit.model import Model
from diagnose.circuit.rig import open_rig

POSTS = Reading("voltage", ("battery+", "battery-"), "rest")


@pytest.mark.parametrize(
    ("rig", "volts", "charging"),
    [
        ("camper", 12.8, False),
        ("camper", 13.4, True),
        ("camper", 14.4, True),
        ("camper", 16.0, False),
        ("leaf-loader", 13.9, False),
        ("leaf-loader", 27.8, True),
        ("spray-trailer", 13.4, False),  # lithium, full
        ("spray-trailer", 14.2, True),
        ("bowser", 14.0, False),  # its file names nothing that charges
    ],
)
def test_more_than_a_battery_holds_is_a_charger(rig: str, volts: float, charging: bool) -> None:
    assert was_on_charge(Model.of(open_rig(rig)), POSTS, volts) is charging


def test_it_says_nothing_of_the_cause() -> None:
    rig = diagnose.open_rig("camper")
    without = diagnose.rank(rig, seen=["pump-action=slow"])
    read = diagnose.rank(rig, seen=["pump-action=slow"], read=[f"{POSTS} = 14.2 V"])

    assert {one.failure_mode: one.probability for one in read.causes} == pytest.approx(
        {one.failure_mode: one.probability for one in without.causes}, abs=1e-9
    )
