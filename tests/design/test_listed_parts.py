"""The checks of switches, plugs, cut-outs and batteries of rigs in list form, each at its limits.

Limits and their sources stand in knowledge/figures/design.yaml; sums are done by hand beside the
test. The rigs are invented.
"""

from __future__ import annotations

import pytest

from diagnose.circuit.model import Model
from diagnose.circuit.rig import open_rig, read_rig
from diagnose.design.check import check_rig, unsafe
from diagnose.design.checks_switch import cured
from diagnose.design.finding import FINE, NOTE, SHOULD, UNSAFE, Severity
from diagnose.design.plan import Plan
from diagnose.design.site import site
from diagnose.documents import parse
from tests.design.few_parts import FUSE, found, one, rig_of

# --- parts ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["plug", "controller", "isolator"])
@pytest.mark.parametrize(("rating", "severity"), [(13, FINE), (12, SHOULD), (9, UNSAFE)])
def test_a_part_is_rated_for_what_flows_through_it(
    kind: str, rating: int, severity: Severity
) -> None:
    """1.25 x 10 A = 12.5 A (common practice)."""
    key = "contact" if kind == "isolator" else "rating"
    rig = rig_of(FUSE, f"{kind}: {{{key}: {rating} A}}", "hand_switch")

    assert one(rig, f"{kind}-rating").severity is severity


@pytest.mark.parametrize(
    ("kind", "opens", "severity"),
    [
        ("agm", 10.5, SHOULD),
        ("agm", 11.5, FINE),
        ("agm", 12.3, NOTE),
        ("lithium", 10.5, SHOULD),
        ("lithium", 12.3, FINE),
    ],
)
def test_a_cut_out_is_set_for_its_battery(kind: str, opens: float, severity: Severity) -> None:
    """Common practice: lead-acid 11 to 12 V under load, lithium iron phosphate 11 to 12.5 V."""
    part = f"low_voltage_cutout: {{opens: {opens} V}}"

    assert one(rig_of(FUSE, part, "hand_switch", kind=kind), "cutout-setting").severity is severity


def test_a_cut_out_that_opens_under_the_pumps_own_current_is_told_so() -> None:
    """AGM at half charge rests at 12.30 V (table battery-open-circuit) and sags from there."""
    spent = [
        one(rig_of(FUSE, f"low_voltage_cutout: {{opens: {volts} V}}", "hand_switch"), name)
        for volts, name in ((11, "cutout-while-running"), (12.25, "cutout-while-running"))
    ]

    assert [finding.severity for finding in spent] == [FINE, SHOULD]


@pytest.mark.parametrize(
    ("kind", "amps", "severity"),
    [
        ("hand_switch", 5, FINE),
        ("hand_switch", 15, UNSAFE),
        ("foot_switch", 7, NOTE),
        ("trigger_switch", 7, SHOULD),
        ("trigger_switch", 9, UNSAFE),
        ("flow_switch", 8, UNSAFE),
        ("ignition", 10, NOTE),
        ("float_switch", 6, NOTE),
    ],
)
def test_a_switch_in_the_motors_line_is_rated_for_the_motor(
    kind: str, amps: int, severity: Severity
) -> None:
    """Half of a rating for long, 0.7 at the most (relay-contact-practice): hand switch 10 to 20 A,
    so 5 and 14 A; trigger 3 to 10 A, so 5 and 7 A (the usual ratings are estimates)."""
    caller = ("hand_switch",) if kind == "ignition" else ()
    rig = rig_of(FUSE, kind, *caller, current=amps)

    said = kind.replace("_", " ")
    finding = next(one for one in found(rig, "switch-carries-motor") if said in one.what)

    assert finding.severity is severity


def test_what_the_label_of_the_calling_switch_says_counts_for_it_alone() -> None:
    rig = rig_of(FUSE, "ignition", "pressure_switch", current=9, more="switch: {contact: 30 A}")

    limits = {
        one.what.split(" carries")[0]: one.limit for one in found(rig, "switch-carries-motor")
    }

    assert "(30 A contact)" in limits["The pressure switch"]
    assert limits["The ignition"] == "21 A (30 A contact)"


def test_a_relay_takes_the_motor_off_the_trigger_and_off_the_key() -> None:
    plan = Plan(Model.of(open_rig("utility-tank")), site())

    better = cured(plan)

    assert [part.kind for part in better.feed] == ["fuse", "relay"]
    assert [part.kind for part in better.control_parts] == ["fuse", "ignition", "trigger_switch"]
    assert not unsafe(check_rig(better))


@pytest.mark.parametrize(("kind", "count"), [("diaphragm", 1), ("impeller", 0)])
def test_a_diaphragm_pump_needs_no_reversing_switch(kind: str, count: int) -> None:
    """Its crank moves the diaphragms alike whichever way it turns; an impeller does not."""
    text = f"feed: [fuse, reversing_switch]\npump: {{kind: {kind}, current: 5 A}}\n"

    assert len(found(read_rig(parse(text, "rig")), "reversing-switch")) == count


# --- batteries ------------------------------------------------------------------------------------


def test_two_batteries_make_one_of_both_capacities() -> None:
    """Peukert, AGM 1.10: 20 x (200 / (10 x 20)) ^ 1.1 = 20 h to flat."""
    rig = rig_of(FUSE, "hand_switch", more="")
    pair = read_rig(
        parse(
            f"feed: [{{{FUSE}}}, hand_switch]\npump: {{current: 10 A}}\n"
            "battery: {capacity: 100 A*h, count: 2}\n",
            "rig",
        )
    )

    assert one(pair, "battery-size").what.startswith("Pump and coil draw 10 A: 200 A h last 20 h")
    assert one(pair, "batteries-in-parallel").severity is NOTE
    assert not found(rig, "batteries-in-parallel")


def test_a_lithium_battery_is_used_deeper_and_never_charged_in_frost() -> None:
    """Common practice: 80 % of a lithium iron phosphate battery, half of a lead-acid one."""
    rig = rig_of(FUSE, "hand_switch", kind="lithium")

    assert "20 % charge" in one(rig, "battery-size").figure
    assert one(rig, "battery-kind").severity is FINE
    assert one(rig, "battery-kind", air=-5).severity is SHOULD


@pytest.mark.parametrize(
    ("kind", "charging", "count"),
    [("lithium", "alternator", 1), ("lithium", "mains", 0), ("agm", "alternator", 0)],
)
def test_an_alternator_does_not_charge_lithium_without_a_charger_between(
    kind: str, charging: str, count: int
) -> None:
    rig = rig_of(FUSE, "hand_switch", kind=kind, more=f"charging: [{charging}]")

    assert len(found(rig, "charging-source")) == count


def test_two_in_series_are_told_apart_from_two_in_parallel() -> None:
    series = open_rig("leaf-loader")

    assert one(series, "batteries-in-series").severity is NOTE
    assert not found(series, "batteries-in-parallel")
    assert "12 cells" in " ".join(one(series, "battery-kind").working)


def test_a_heater_needs_a_relief_valve_and_is_taken_to_have_one() -> None:
    """A closed heater bursts; a relief valve on it is required wherever codes speak of heaters
    (common practice)."""
    silent = rig_of(FUSE, "hand_switch", more="water: {heater: true}\n")
    without = rig_of(FUSE, "hand_switch", more="water: {heater: true, relief_valve: false}\n")

    assert dict(silent.water)["relief_valve"] == "yes"
    assert not found(silent, "heater-relief")
    assert one(without, "heater-relief").severity is UNSAFE
