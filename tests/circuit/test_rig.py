"""Rig files: what is read, what is taken for granted, and what is refused."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import WIRES
from diagnose.circuit.ratings import fuse_ratings, usual_fuse
from diagnose.circuit.rig import (
    BATTERY_KINDS,
    CONTROLS,
    TAPS,
    TOPOLOGIES,
    WATER,
    Rig,
    bundled_rigs,
    interpolate,
    open_rig,
    read_rig,
)
from diagnose.design.facts import rig_facts
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from diagnose.figures import shipped_figures

FULL = """
name: bowser of the test
topology: relay
control: float_switch
remote: true
control_tap: lug+
pump: {current: 10 A, pressure: 3 bar, flow: 12 L/min}
wire: {gauge: 6 mm^2, length: 10 ft}
main_fuse: {rating: 15 A, distance: 10 in}
control_fuse: {rating: 2 A}
relay: {contact: 30 A, coil: 90 ohm}
battery: {kind: gel, capacity: 60 A*h}
"""


NO_10 = pytest.approx(5.26, abs=0.01)
"""Area of 10 AWG [mm2]."""


def rig_of(text: str) -> Rig:
    return read_rig(parse(text, "rig.yaml"))


def complaints(text: str) -> list[str]:
    with pytest.raises(DiagnoseError) as caught:
        rig_of(text)
    return str(caught.value).splitlines()


def test_everything_that_is_written_is_read_in_si_units() -> None:
    rig = asdict(rig_of(FULL))

    assert rig == {
        "name": "bowser of the test",
        "topology": "relay",
        "control": "float_switch",
        "remote": True,
        "control_tap": "lug+",
        "pump_current": 10.0,
        "pump_pressure": pytest.approx(3e5),
        "pump_flow": pytest.approx(12e-3 / 60),
        "pump_at": "cut-out",
        "switch_rating": None,
        "use": "",
        "wire_gauge": "6 mm2",
        "wire_area": 6.0,
        "wire_length": pytest.approx(3.048),
        "main_fuse_rating": 15.0,
        "main_fuse_distance": pytest.approx(0.254),
        "control_fuse_rating": 2.0,
        "relay_contact": 30.0,
        "relay_coil": 90.0,
        "battery_kind": "gel",
        "battery_capacity": 60.0,
        "assumed": (),
        **USUAL,
    }


USUAL = {
    "battery_count": 1,
    "battery_volts": 12.0,
    "battery_series": 1,
    "charging": (),
    "pump_kind": "diaphragm",
    "water": (),
    "feed": (),
    "control_parts": (),
    "loads": (),
    "return_length": 0.0,
    "return_area": 0.0,
}
"""What only a list of parts tells."""


def test_what_is_left_out_takes_a_usual_value_and_is_named() -> None:
    rig = rig_of("topology: relay\npump: {current: 10 A}\n")

    assert (rig.name, rig.control, rig.remote) == ("unnamed rig", "pressure_switch", False)
    assert (rig.control_tap, rig.wire_gauge, rig.wire_area) == (
        "fuse.out",
        "10 AWG",
        pytest.approx(5.26, abs=0.01),
    )
    assert (rig.wire_length, rig.main_fuse_distance) == pytest.approx((12 * 0.3048, 7 * 0.0254))
    assert (rig.main_fuse_rating, rig.control_fuse_rating) == (15.0, 3.0)
    assert (rig.relay_contact, rig.relay_coil) == (40.0, 85.0)
    assert (rig.battery_kind, rig.battery_capacity) == ("agm", 75.0)
    assert 2e5 < rig.pump_pressure < 6e5
    assert 1e-4 < rig.pump_flow < 5e-4
    assert set(rig.assumed) == {
        "wire.gauge", "control", "control_tap", "pump.pressure", "pump.flow", "wire.length",
        "main_fuse.rating", "main_fuse.distance", "control_fuse.rating", "relay.contact",
        "relay.coil", "battery.kind", "battery.capacity",
    }  # fmt: skip
    assert len(rig.assumed) == len(set(rig.assumed))


def test_a_direct_rig_leans_on_nothing_of_a_relay() -> None:
    rig = rig_of("topology: direct\npump: {current: 5 A}\n")

    assert not rig.has_relay
    assert not [key for key in rig.assumed if key.startswith(("relay", "control_"))]
    assert "control" in rig.assumed


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("control: float_switch", "control: flood", ["line 4", "'flood'", "pressure_switch"]),
        ("current: 10 A, ", "", ["pump.current", "needed here"]),
        ("current: 10 A", "current: 0.1 A", ["line 7", "pump.current", "0.2"]),
        ("current: 10 A", "current: 101 A", ["pump.current", "100"]),
        ("pressure: 3 bar", "pressure: 3 A", ["pump.pressure", "a pressure"]),
        ("pressure: 3 bar", "pressure: 30 bar", ["pump.pressure"]),
        ("flow: 12 L/min", "flow: 400 L/min", ["pump.flow"]),
        ("gauge: 6 mm^2", "gauge: 41 AWG", ["line 8", "wire.gauge", "4/0 AWG to 40 AWG"]),
        ("gauge: 6 mm^2", "gauge: thick", ["wire.gauge", "a cross-section"]),
        ("length: 10 ft", "length: 101 m", ["wire.length", "0.3 to 330 ft"]),
        ("length: 10 ft", "length: 5 cm", ["wire.length", "0.3 to 330 ft"]),
        ("rating: 15 A", "rating: 501 A", ["main_fuse.rating", "500"]),
        ("rating: 15 A", "rating: 0.4 A", ["main_fuse.rating", "0.5"]),
        ("distance: 10 in", "distance: 51 m", ["main_fuse.distance", "0 to 165 ft"]),
        ("distance: 10 in", "distance: -1 in", ["main_fuse.distance"]),
        ("rating: 2 A", "rating: 61 A", ["control_fuse.rating", "60"]),
        ("rating: 2 A", "rating: 0.05 A", ["control_fuse.rating", "0.1"]),
        ("contact: 30 A", "contact: 1001 A", ["relay.contact", "1000"]),
        ("contact: 30 A", "contact: 0.5 A", ["relay.contact"]),
        ("coil: 90 ohm", "coil: 2001 ohm", ["relay.coil", "2000"]),
        ("coil: 90 ohm", "coil: 0.4 ohm", ["relay.coil", "0.5"]),
        ("kind: gel", "kind: jelly", ["battery.kind", "jelly", "agm"]),
        ("capacity: 60 A*h", "capacity: 2001 A*h", ["battery.capacity", "2000"]),
        ("capacity: 60 A*h", "capacity: 0.5 A*h", ["battery.capacity"]),
        ("control_tap: lug+", "control_tap: lug-", ["control_tap", "lug-"]),
        ("topology: relay", "topology: direct", ["line 5", "remote", "topology: relay"]),
        ("name:", "nmae:", ["nmae", "Did you mean 'name'?"]),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(old: str, new: str, words: list[str]) -> None:
    assert old in FULL

    said = complaints(FULL.replace(old, new, 1))

    assert len(said) == 1
    assert said[0].startswith("rig.yaml")
    assert not [word for word in words if word not in said[0]], said[0]


def test_all_mistakes_are_named_at_once() -> None:
    wrong = FULL.replace("10 A", "10 V").replace("gel", "jelly").replace("6 mm^2", "x")

    assert len(complaints(wrong)) == 3


@pytest.mark.parametrize(
    ("x", "y"), [(-5, 1.0), (0, 1.0), (1, 2.0), (2, 3.0), (3, 5.0), (4, 7.0), (99, 7.0)]
)
def test_a_table_is_read_by_straight_lines_and_held_at_its_ends(x: float, y: float) -> None:
    assert interpolate(x, (0, 2, 4), (1.0, 3.0, 7.0)) == pytest.approx(y)


@pytest.mark.parametrize(("amps", "rating"), [(0.1, 1), (4, 5), (4.01, 7.5), (16, 20), (80, 100)])
def test_the_usual_fuse_is_the_next_step_above_125_percent(amps: float, rating: float) -> None:
    assert usual_fuse(amps) == rating
    assert rating in fuse_ratings(shipped_figures())


def test_a_bundled_rig_is_opened_by_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file of that name comes first."""
    monkeypatch.chdir(tmp_path)
    assert {"bowser", "header-tank", "mist-bench"} < {*bundled_rigs()}
    assert open_rig("bowser").name == "tree-watering bowser"

    (tmp_path / "bowser").write_text(FULL, encoding="utf-8")
    assert open_rig("bowser").name == "bowser of the test"
    with pytest.raises(DiagnoseError, match="no such file"):
        open_rig("no-such-rig.yaml")


FACTS = """
    fuse-over-running: rating 10 A = under | = right | rating 25 A = over
    fuse-over-wire: = within | rating 80 A = over
    wire-drop: length 1 m = within-3 | length 8 m = within-10 | length 60 m = over
    relay-contact: contact 60 A = within | contact 12 A = under
    coil-draw: = small | coil 39.9 ohm = large | coil 40 ohm = small
    battery-kind: = gel | kind flooded = flooded
    battery-volts: = 12 | kind agm, voltage: 24 V = 24
    batteries-in-series: = no
    battery-size: = fair | capacity 36 A*h = small | capacity 40 A*h = fair
    fuse-distance: = far | distance 7 in = near
    control-tap: = lug+ | control_tap master.out = master.out
    remote: = yes | remote false = no
    topology: = relay
    control: = float_switch
    switch-carries-motor: = no
    switch-load: = within
    first-protection: = fuse
    control-fuse: = yes
    master-switch: = yes
    float-closes: = low
    pump-kind: = diaphragm
    charging: = none
    loads: = no
    use: = unknown
"""
"""What a change of the rig file makes of each fact."""


def changed(words: str) -> str:
    """The rig file with one of its values changed: "coil 40 ohm"."""
    key, _, value = words.partition(" ")
    return re.sub(rf"\b{key}: [^,}}\n]+", f"{key}: {value}", FULL, count=1) if key else FULL


def facts() -> Iterator[tuple[str, str, str]]:
    for line in FACTS.strip().splitlines():
        fact, _, cases = line.strip().partition(":")
        for case in cases.split("|"):
            change, _, value = case.partition("=")
            yield fact, change.strip(), value.strip()


@pytest.mark.parametrize(("fact", "change", "value"), [*facts()])
def test_facts_of_a_rig(fact: str, change: str, value: str) -> None:
    assert rig_facts(Model.of(rig_of(changed(change))))[fact] == value


def test_the_switch_of_a_direct_rig_carries_the_motor() -> None:
    direct = FULL.replace("topology: relay", "topology: direct").replace("remote: true\n", "")
    by_hand = direct.replace("float_switch", "manual")

    assert rig_facts(Model.of(rig_of(direct)))["switch-carries-motor"] == "yes"
    assert rig_facts(Model.of(rig_of(by_hand)))["switch-carries-motor"] == "no"
    assert rig_facts(Model.of(rig_of(by_hand)))["switch-load"] == "within"
    assert not {"coil-draw", "relay-contact", "control-tap"} & set(
        rig_facts(Model.of(rig_of(direct)))
    )


def test_every_fact_has_a_case_above() -> None:
    listed = {"part", *(key.replace("_", "-") for key in WATER)}

    assert {fact for fact, _, _ in facts()} == set(RIG_FACTS) - listed


rigs = st.fixed_dictionaries(
    {
        "topology": st.sampled_from(TOPOLOGIES),
        "control": st.sampled_from(CONTROLS),
        "control_tap": st.sampled_from(TAPS),
        "pump": st.builds("{{current: {:.3f} A}}".format, st.floats(0.2, 100)),
        "wire": st.builds(
            "{{gauge: {} AWG, length: {:.2f} m}}".format, st.integers(1, 18), st.floats(0.1, 100)
        ),
        "main_fuse": st.builds("{{rating: {:.2f} A}}".format, st.floats(0.5, 500)),
        "relay": st.builds("{{coil: {:.2f} ohm}}".format, st.floats(0.5, 2000)),
        "battery": st.builds(
            "{{kind: {}, capacity: {:.1f} A*h}}".format,
            st.sampled_from(BATTERY_KINDS),
            st.floats(1, 2000),
        ),
    }
)


@settings(max_examples=60)
@given(rigs)
def test_any_rig_that_can_be_written_can_be_worked_out(written: dict[str, str]) -> None:
    """However odd: facts of the book, finite volts, no more of them than the battery has."""
    rig = rig_of("".join(f"{key}: {value}\n" for key, value in written.items()))
    model = Model.of(rig)

    facts = rig_facts(model)
    bench = Circuits(model, model.sound_batch())
    operation = bench.operation("calling")

    assert all(value in RIG_FACTS[fact] for fact, value in facts.items())
    assert 0 <= float(operation.running.current[0]) < 1e4
    assert 0 <= float(operation.live.volts("lug+", float(operation.motor_current[0]))[0]) < 14


@pytest.mark.parametrize(
    ("old", "new"), [("length: 10 ft", "length: 0.12 m"), ("distance: 10 in", "distance: 0 in")]
)
def test_every_stretch_of_wire_has_some_length(old: str, new: str) -> None:
    """With a wire shorter than the way to the fuse, and with a fuse on the battery's post."""
    sound = Model.of(rig_of(FULL.replace(old, new))).sound

    assert all(sound[name] > 1e-6 for name in WIRES)


@pytest.mark.parametrize(
    ("contact", "load"),
    [("20 A", "within"), ("16 A", "doubtful"), ("14 A", "over"), ("", "doubtful")],
)
def test_a_switch_is_judged_by_its_rating_where_that_is_known(contact: str, load: str) -> None:
    """A motor of 10 A: at most 0.5 of a rating is good, 0.7 the most (motor derating of contacts,
    common practice); pressure switches are rated from 10 to 25 A."""
    told = f"switch: {{contact: {contact}}}\n" if contact else ""
    direct = f"topology: direct\ncontrol: pressure_switch\npump: {{current: 10 A}}\n{told}"

    assert rig_facts(Model.of(rig_of(direct)))["switch-load"] == load


@pytest.mark.parametrize(
    ("at", "current", "satisfied"), [("cut-out", 8.5, 55), ("working", 10, 68.75), ("open", 21, 55)]
)
def test_a_label_is_read_at_the_cut_out_unless_it_says_otherwise(
    at: str, current: float, satisfied: float
) -> None:
    """Open flow takes 0.35 to 0.6 of the current at cut-out (common practice)."""
    label = f"{{current: 10 A, pressure: 55 psi, at: {at}}}"
    model = Model.of(rig_of(f"topology: relay\npump: {label}\n"))
    sound = Circuits(model, model.sound_batch())

    at_work, _ = sound.predict(Reading("current", ("motor-feed",), "calling"))
    standing, _ = sound.predict(Reading("pressure", ("outlet",), "satisfied"))
    assert at_work[0] == pytest.approx(current, rel=0.08)
    assert standing[0] == pytest.approx(satisfied, rel=0.01)
