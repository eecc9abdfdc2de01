"""Each rule of a rig's design at its limits: what is fine, what is not, and from where on.

Limits and their sources stand in knowledge/figures/design.yaml. The rigs are invented.
"""

from __future__ import annotations

import re

import pytest

from diagnose.circuit.rig import Rig, open_rig, read_rig
from diagnose.design.check import check_rig
from diagnose.design.finding import Finding, Severity
from diagnose.design.site import site
from diagnose.documents import parse


def rig_of(text: str) -> Rig:
    return read_rig(parse(text, "rig"))


def found(rig: Rig, name: str, **where: float) -> Finding:
    """The finding of one rule on a rig."""
    return next(one for one in check_rig(rig, site(**where)) if one.id == name)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("rating", "severity"),
    [
        (15, Severity.SHOULD_CHANGE),
        (20, Severity.FINE),
        (25, Severity.FINE),
        (30, Severity.NOTE),
    ],
)
def test_an_18_ampere_pump_takes_20_or_25(rating: int, severity: Severity) -> None:
    """Common practice, no published source: 18 A takes a 20 or a 25 A fuse."""
    rig = rig_of(f"topology: relay\npump: {{current: 18 A}}\nmain_fuse: {{rating: {rating} A}}")

    finding = found(rig, "fuse-for-running")

    assert finding.severity is severity
    assert finding.limit == "20 or 25 A for 18 A"


@pytest.mark.parametrize(
    ("inches", "sheathed", "severity"),
    [
        (7, False, Severity.FINE),
        (8, False, Severity.SHOULD_CHANGE),
        (8, True, Severity.FINE),
        (40, True, Severity.FINE),
        (41, True, Severity.UNSAFE),
        (41, False, Severity.UNSAFE),
    ],
)
def test_the_fuse_sits_near_the_battery(inches: int, sheathed: bool, severity: Severity) -> None:
    """33 CFR 183.455: 7 in, 40 in where the wire lies in a sheath."""
    text = "topology: relay\npump: {current: 9 A}\nmain_fuse: {distance: %s in}"

    assert found(rig_of(text % inches), "fuse-distance", sheathed=sheathed).severity is severity


@pytest.mark.parametrize(
    ("where", "severity"),
    [
        ({}, Severity.FINE),
        ({"insulation": 80}, Severity.UNSAFE),
        ({"air": 50}, Severity.NOTE),
        ({"bundle": 4}, Severity.UNSAFE),
    ],
)
def test_a_30_ampere_fuse_on_14_awg_depends_on_where_the_wire_lies(
    where: dict[str, float], severity: Severity
) -> None:
    """35 A at 105 degC, 25 A at 80 degC, 29.75 A at 50 degC air, 21 A of four in a bundle."""
    rig = rig_of(
        "topology: relay\npump: {current: 16 A}\nwire: {gauge: 14 AWG}\nmain_fuse: {rating: 30 A}"
    )

    assert found(rig, "fuse-for-wire", **where).severity is severity


@pytest.mark.parametrize(
    ("rating", "severity"),
    [(2, Severity.FINE), (5, Severity.FINE), (10, Severity.SHOULD_CHANGE), (30, Severity.UNSAFE)],
)
def test_the_control_fuse_is_2_to_5_amperes(rating: int, severity: Severity) -> None:
    """Common practice, no published source."""
    rig = rig_of(f"topology: relay\npump: {{current: 9 A}}\ncontrol_fuse: {{rating: {rating} A}}")

    assert found(rig, "control-fuse").severity is severity


@pytest.mark.parametrize(
    ("contact", "severity"),
    [(15, Severity.UNSAFE), (30, Severity.SHOULD_CHANGE), (50, Severity.NOTE), (70, Severity.FINE)],
)
def test_an_18_ampere_pump_wants_a_contact_of_60_to_80(contact: int, severity: Severity) -> None:
    """Common practice, no published source: a relay contact of 60 to 80 A for 18 A of motor."""
    text = "topology: relay\npump: {current: 18 A}\nwire: {gauge: 8 AWG}\nrelay: {contact: %s A}"

    finding = found(rig_of(text % contact), "relay-contact")

    assert finding.severity is severity
    assert "better 70 A" in finding.limit


@pytest.mark.parametrize(
    ("coil", "severity"),
    [(90, Severity.FINE), (15, Severity.SHOULD_CHANGE), (3.5, Severity.UNSAFE)],
)
def test_the_coil_tells_relay_from_solenoid(coil: float, severity: Severity) -> None:
    rig = rig_of(f"topology: relay\npump: {{current: 9 A}}\nrelay: {{coil: {coil} ohm}}")

    assert found(rig, "coil-draw").severity is severity


@pytest.mark.parametrize(
    ("current", "rating", "severity"),
    [
        (4, None, Severity.FINE),
        (7.5, None, Severity.NOTE),
        (14, None, Severity.SHOULD_CHANGE),
        (20, None, Severity.UNSAFE),
        (7.5, 15, Severity.FINE),
        (7.5, 10, Severity.UNSAFE),
    ],
)
def test_a_small_switch_that_carries_the_motor(
    current: float, rating: float | None, severity: Severity
) -> None:
    """Common practice: pressure switches are rated 10 to 25 A, a motor may take half for long."""
    rig = rig_of(f"topology: direct\npump: {{current: {current} A}}")

    finding = next(
        one
        for one in check_rig(rig, site(switch_rating=rating))
        if one.id == "switch-carries-motor"
    )

    assert finding.severity is severity


def test_a_hand_switched_rig_has_no_switch_to_overload() -> None:
    ids = [
        one.id
        for one in check_rig(rig_of("topology: direct\ncontrol: manual\npump: {current: 16 A}"))
    ]

    assert not any(name.startswith("switch-carries") for name in ids)


def test_more_pumping_between_charges_asks_for_a_larger_battery() -> None:
    rig = open_rig("bowser")

    short, long = (found(rig, "battery-size", duty=hours) for hours in (1, 6))

    assert (short.severity, long.severity) == (Severity.FINE, Severity.SHOULD_CHANGE)
    capacity = re.search(r"at least (\d+) A h", long.change)
    assert capacity
    bigger = rig_of(
        f"topology: relay\npump: {{current: 14 A}}\nrelay: {{coil: 85 ohm}}\n"
        f"battery: {{capacity: {capacity[1]} A*h}}"
    )
    assert found(bigger, "battery-size", duty=6).severity is Severity.FINE
