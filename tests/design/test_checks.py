"""Rigs with one known mistake in their design: it is named first, with sums that can be done again.

The rigs are invented. Limits and their sources stand in knowledge/figures/design.yaml; published
tables are held against the sums in tests/outside/design_tables.py.
"""

from __future__ import annotations

import re
from itertools import product

import pytest

from diagnose.circuit.label import at_work
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.design.check import CHECKS, RESTS_ON, check_rig, leaned_on, unsafe
from diagnose.design.checks_switch import cured
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.site import site
from diagnose.documents import parse

END = "volts-at-end-of-duty"
BAD = {
    "40 A fuse on 14 AWG": """
topology: relay
pump: {current: 16 A}
wire: {gauge: 14 AWG, length: 8 ft}
main_fuse: {rating: 40 A}
relay: {contact: 70 A}
""",
    "no relay at 20 A": """
topology: direct
pump: {current: 20 A}
wire: {gauge: 8 AWG, length: 8 ft}
""",
    "100 A continuous solenoid on a small battery": """
topology: relay
pump: {current: 10 A}
relay: {contact: 100 A, coil: 15 ohm}
battery: {capacity: 18 A*h}
""",
    "40 ft of 12 AWG": """
topology: relay
pump: {current: 16 A}
wire: {gauge: 12 AWG, length: 40 ft}
relay: {contact: 70 A}
""",
}


def rig_of(text: str) -> Rig:
    return read_rig(parse(text, "rig"))


def found(rig: Rig, name: str, **where: float) -> Finding:
    """The finding of one rule on a rig."""
    return next(one for one in check_rig(rig, site(**where)) if one.id == name)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("case", "first", "severity", "told"),
    [
        ("40 A fuse on 14 AWG", "fuse-for-wire", Severity.UNSAFE, ["40 A", "35 A", "20 A"]),
        ("no relay at 20 A", "switch-carries-motor", Severity.UNSAFE, ["20 A", "17.5 A", "relay"]),
        (
            "100 A continuous solenoid on a small battery",
            "coil-draw",
            Severity.SHOULD_CHANGE,
            ["0.8453 A", "18 A h", "60 to 110 ohm"],
        ),
        (
            "40 ft of 12 AWG",
            "wire-for-length",
            Severity.SHOULD_CHANGE,
            ["38222 CM", "11467 CM", "2 AWG", "8 AWG"],
        ),
    ],
)
def test_the_known_mistake_comes_first(
    case: str, first: str, severity: Severity, told: list[str]
) -> None:
    finding = check_rig(rig_of(BAD[case]))[0]

    assert (finding.id, finding.severity) == (first, severity)
    said = " ".join((finding.what, finding.figure, finding.limit, finding.change, *finding.working))
    assert [word for word in told if word not in said] == []


def test_the_small_battery_comes_right_after_the_hungry_coil() -> None:
    findings = check_rig(rig_of(BAD["100 A continuous solenoid on a small battery"]))

    assert [one.id for one in findings[:2]] == ["coil-draw", "battery-size"]


def test_a_battery_that_is_flat_before_the_end_has_no_volts_to_tell() -> None:
    finding = found(rig_of(BAD["100 A continuous solenoid on a small battery"]), END)

    assert (finding.severity, finding.figure) == (Severity.SHOULD_CHANGE, "flat after 1.3 h")
    assert not [sum_ for sum_ in finding.working if "V" in sum_]


def test_a_finding_names_what_was_taken_as_usual() -> None:
    """Of a rig with known wire and unknown relay only the relay's finding leans on a guess."""
    rig = rig_of("topology: relay\npump: {current: 16 A}\nwire: {gauge: 10 AWG, length: 8 ft}")

    leaning = {one.id: leaned_on(rig, one) for one in check_rig(rig)}

    assert leaning["relay-contact"] == ("relay.contact",)
    assert leaning["wire-for-length"] == ()
    assert leaning.keys() <= RESTS_ON.keys()


def test_only_what_is_unsafe_makes_a_rig_unsafe() -> None:
    verdicts = {case: unsafe(check_rig(rig_of(text))) for case, text in BAD.items()}

    assert [case for case, bad in verdicts.items() if bad] == [
        "40 A fuse on 14 AWG",
        "no relay at 20 A",
    ]


def test_18_amperes_over_8_feet_pass_with_10_awg() -> None:
    """Common practice, no published source: 10 AWG for 18 A over 8 ft, and thicker beyond.
    By hand: 10.75 x 18 x 16 / 0.36 = 8600 CM of 9343 in 10 AWG; over 9 ft 9675."""
    rig = "topology: relay\npump: {current: 18 A}\nwire: {gauge: 10 AWG, length: %s ft}"

    verdicts = [found(rig_of(rig % feet), "wire-for-length") for feet in (8, 9)]

    assert [one.severity for one in verdicts] == [Severity.FINE, Severity.NOTE]
    assert "8 AWG" in verdicts[1].change


WEAK = {
    "bilge": ["breaker-reset"],
    "boom-sprayer": ["load-fuse"],
    "cellar-drain": ["load-fuse"],
    "nursery-feed": ["load-fuse"],
    "orchard-cart": ["coil-draw"],
    "quad-sprayer": ["battery-size", "parts-ahead-of-fuse"],
    "spray-trailer": ["parts-ahead-of-fuse"],
    "two-pump-cart": ["load-fuse"],
    "utility-tank": ["switch-carries-motor"],
    "van-shower": ["fuse-distance", "parts-ahead-of-fuse"],
}
"""The weak points of the example rigs that list their parts, as the remarks in their files tell
most of them; the others have none."""


@pytest.mark.parametrize("name", bundled_rigs())
def test_a_bundled_rig_has_its_weak_points_and_no_other(name: str) -> None:
    bad = (Severity.UNSAFE, Severity.SHOULD_CHANGE)
    findings = [one.id for one in check_rig(open_rig(name)) if one.severity in bad]

    assert findings == WEAK.get(name, [])


def test_the_relay_circuit_cures_the_switch_that_carries_the_motor() -> None:
    plan = Plan(Model.of(rig_of(BAD["no relay at 20 A"])), site())

    findings = check_rig(cured(plan))

    assert not unsafe(findings)
    assert next(one for one in findings if one.id == "switch-carries-coil").severity is (
        Severity.FINE
    )


# --- the sums -------------------------------------------------------------------------------------

UNITS = r"(?<=\d) (?:A h|A|V|ohm|ft|mm2|CM|cells|h|W|%)(?![\w/])"


def done_again(sum_: str) -> tuple[float, float]:
    """Both sides of a printed sum, worked out from what is printed alone."""
    left, right = sum_.split(" = ")
    terms = re.sub(r"\([a-z ]+\)", "", re.sub(UNITS, "", left))
    terms = terms.replace(" x ", " * ").replace("^", "**")
    assert re.fullmatch(r"[0-9.+*/() -]+", terms), terms
    number = re.match(r"-?[0-9.]+", right)
    assert number, right
    return float(eval(terms)), float(number[0])


def rigs() -> list[Rig]:
    """Bundled rigs, the bad ones, and one of each shape in three sizes."""
    shapes = product(("direct", "relay"), ("pressure_switch", "float_switch", "manual"))
    text = "topology: %s\ncontrol: %s\npump: {current: %s A}\nbattery: {kind: %s}"
    sizes = ((3, "flooded"), (14, "gel"), (30, "agm"))
    made = [rig_of(text % (*shape, *size)) for shape, size in product(shapes, sizes)]
    return [*made, *map(open_rig, bundled_rigs()), *map(rig_of, BAD.values())]


@pytest.mark.parametrize("rig", rigs(), ids=lambda rig: f"{rig.name}-{rig.topology}-{rig.control}")
def test_every_sum_can_be_done_again_from_what_is_printed(rig: Rig) -> None:
    sums = [line for finding in check_rig(rig) for line in finding.working]

    for line in sums:
        again, printed = done_again(line)
        assert again == pytest.approx(printed, rel=0.005, abs=0.06), line
    assert len(sums) > 20


def test_every_rule_speaks_on_a_rig_with_a_relay() -> None:
    assert len(check_rig(open_rig("bowser"))) == len(CHECKS)


def test_a_rule_names_its_limit_its_source_and_its_change() -> None:
    for rig in rigs():
        for finding in check_rig(rig):
            assert finding.limit, finding.id
            assert finding.source, finding.id
            bad = finding.severity in (Severity.UNSAFE, Severity.SHOULD_CHANGE)
            assert bool(finding.change) or not bad, finding.id


def full_load_at_work(plan: Plan) -> float:
    """The pump's current at rated volts and working pressure [A]."""
    return at_work(plan.rig, plan.figures).current


def test_the_plan_agrees_with_the_circuit_model() -> None:
    """The model lets the motor find its own current; series arithmetic takes that of the label,
    which is more than that at work where it is read as the switch cuts out."""
    for name in bundled_rigs():
        model = Model.of(open_rig(name))
        plan = Plan(model, site(air=20))
        bench = Circuits(model, model.sound_batch())

        motor, _ = bench.predict(Reading("voltage", ("motor+", "motor-"), "calling"))
        start = bench.operation("calling").start_current

        volts = plan.motor_volts(plan.battery_volts, plan.battery_ohms)
        more = plan.running - full_load_at_work(plan)
        ohms = plan.battery_ohms + plan.loop.ohms
        assert volts + more * ohms == pytest.approx(float(motor[0]), abs=0.05)
        assert plan.starting == pytest.approx(float(start[0]), rel=0.01)
