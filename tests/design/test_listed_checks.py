"""The checks of protection, loads and wire that only a rig in list form has, each at its limits.

Limits and their sources stand in knowledge/figures/design.yaml; sums are done by hand beside the
test. The rigs are invented.
"""

from __future__ import annotations

import pytest

from diagnose.circuit.model import Model
from diagnose.circuit.rig import read_rig
from diagnose.design.finding import FINE, NOTE, SHOULD, UNSAFE, Severity
from diagnose.design.plan import Plan
from diagnose.design.site import site
from diagnose.documents import parse
from tests.design.few_parts import FUSE, found, one, rig_of

LOAD = "loads: [{name: lamp, at: fuse.out, current: %s A}]"


# --- protection -----------------------------------------------------------------------------------


def test_a_feed_without_fuse_or_breaker_is_unsafe() -> None:
    """33 CFR 183.455: a fuse or a manually reset, trip-free breaker in every conductor, within
    7 in. 1.25 x 10 A = 12.5 A, so 15 A."""
    finding = one(rig_of("hand_switch"), "fuse-missing")

    assert finding.severity is UNSAFE
    assert "15 A within 7 in" in finding.change
    assert not found(rig_of("hand_switch"), "fuse-for-wire")


@pytest.mark.parametrize(
    ("feed", "told"),
    [
        (("plug", FUSE, "hand_switch"), "The plug stands"),
        (("plug", "isolator", FUSE, "hand_switch"), "The plug and the isolator stand"),
        ((FUSE, "plug", "hand_switch"), ""),
    ],
)
def test_what_stands_ahead_of_the_fuse_is_named(feed: tuple[str, ...], told: str) -> None:
    findings = found(rig_of(*feed), "parts-ahead-of-fuse")

    assert [one.what.partition(" ahead")[0] for one in findings] == ([told] if told else [])
    assert all(one.severity is SHOULD for one in findings)


@pytest.mark.parametrize(("reset", "severity"), [("manual", FINE), ("automatic", SHOULD)])
def test_a_breaker_is_set_again_by_hand(reset: str, severity: Severity) -> None:
    """33 CFR 183.455 asks for manually reset breakers."""
    rig = rig_of(f"breaker: {{rating: 15 A, reset: {reset}}}", "hand_switch")

    assert one(rig, "breaker-reset").severity is severity


def test_a_breaker_is_held_against_wire_and_pump_as_a_fuse_is() -> None:
    """10 A over 15 A: thermal breaker; table breaker-opening-time, not that of blade fuses."""
    rig = rig_of("breaker: {rating: 15 A}", "hand_switch")

    assert "15 A breaker" in one(rig, "fuse-for-wire").what
    assert one(rig, "fuse-for-running").severity is FINE
    assert one(rig, "fuse-at-start").source == "breaker-calibration"


@pytest.mark.parametrize(
    ("ratings", "severity"),
    [((30, 15), FINE), ((15, 20), NOTE), ((40, 50), NOTE)],
)
def test_of_two_fuses_the_pumps_own_is_the_smaller_and_stands_behind(
    ratings: tuple[int, int], severity: Severity
) -> None:
    """Selective: the fuse nearest to the trouble opens (common practice)."""
    first, second = ratings
    rig = rig_of(
        f"fuse: {{rating: {first} A}}",
        f"fuse: {{name: pump fuse, rating: {second} A}}",
        "hand_switch",
    )

    assert one(rig, "further-fuse").severity is severity


def test_a_first_fuse_carries_what_hangs_between_it_and_the_pumps_own() -> None:
    """1.1 x (10 + 12) A = 24.2 A, so a 15 A fuse is too small, though it suits the pump."""
    rig = rig_of(
        "fuse: {rating: 20 A}",
        "fuse: {name: pump fuse, rating: 15 A}",
        "hand_switch",
        more=LOAD % 12,
    )

    finding = one(rig, "further-fuse")

    assert (finding.severity, finding.limit) == (SHOULD, "25 A for 22 A")
    assert one(rig, "fuse-for-running").limit == "15 A for 10 A"


@pytest.mark.parametrize(
    ("feed", "amps", "severity"),
    [
        (("fuse: {rating: 15 A}", "hand_switch"), 2, SHOULD),
        (("fuse: {rating: 15 A}", "hand_switch"), 12, FINE),
    ],
)
def test_a_load_has_a_fuse_that_suits_it(
    feed: tuple[str, ...], amps: int, severity: Severity
) -> None:
    """1.25 x 2 A = 2.5 A, so 3 A; 1.25 x 12 A = 15 A (fuse-over-running-continuous)."""
    assert one(rig_of(*feed, more=LOAD % amps), "load-fuse").severity is severity


def test_a_load_ahead_of_every_fuse_is_unsafe() -> None:
    rig = rig_of(FUSE, "hand_switch", more="loads: [{name: lamp, at: lug+, current: 2 A}]")

    assert one(rig, "load-fuse").severity is UNSAFE


def test_loads_count_in_fuse_wire_battery_and_volts() -> None:
    """10 A of pump and 6 A of lamp behind the fuse: 1.1 x 16 A = 17.6 A, so 20 A."""
    plain, loaded = rig_of(FUSE, "hand_switch"), rig_of(FUSE, "hand_switch", more=LOAD % 6)

    assert one(loaded, "fuse-for-running").limit == "20 A for 16 A"
    assert one(loaded, "wire-for-current").figure == "16 A"
    assert "draw 16 A" in one(loaded, "battery-size").what
    plans = [Plan(Model.of(rig), site()) for rig in (plain, loaded)]
    assert plans[1].loads.volts() > 0
    assert plans[1].starting < plans[0].starting


def test_a_coil_without_a_fuse_of_its_own_leans_on_the_one_ahead_of_its_tap() -> None:
    """1 mm2 of 105 degC carries 20 A (ISO 13297 annex A): 15 A protect it, 30 A do not."""
    text = (
        "feed: [{fuse: {rating: %s A}}, relay]\ncontrol: {tap: %s, parts: [pressure_switch]}\n"
        "pump: {current: 10 A}\n"
    )

    severities = [
        one(read_rig(parse(text % values, "rig")), "control-fuse").severity
        for values in ((15, "fuse.out"), (30, "fuse.out"), (15, "lug+"))
    ]

    assert severities == [SHOULD, UNSAFE, UNSAFE]


# --- wire -----------------------------------------------------------------------------------------


def test_a_return_of_its_own_length_and_size_counts() -> None:
    """6 ft of 8 AWG out, 18 ft of 14 AWG back. SAE minimum areas 14810 and 3702 CM: as much drop as
    24 / (6 / 14810 + 18 / 3702) = 4556 CM; needed 10.75 x 10 x 24 / 0.36 = 7167 CM. 14 AWG of
    105 degC carries 35 A (33 CFR 183.425)."""
    rig = rig_of(FUSE, "hand_switch", more="return: {wire: {gauge: 14 AWG, length: 18 ft}}")

    length, amps = one(rig, "wire-for-length"), one(rig, "wire-for-current")

    assert length.figure == "8 AWG, 4556 CM"
    assert length.limit.startswith("7167 CM")
    assert "8 AWG out and 14 AWG back" in length.what
    assert amps.limit == "35 A allowed"
