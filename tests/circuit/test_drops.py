"""Healthy drops are V = I R of the wire between the points, from the NEC table, by hand."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
import yaml

from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.rig import bundled_rigs, open_rig, read_rig
from diagnose.documents import parse

WIRE = yaml.safe_load(
    (Path(__file__).parents[1] / "tables" / "wire.yaml").read_text(encoding="utf-8")
)
NEC_8_AWG = next(row["ohm"] for row in WIRE["nec-stranded-75c"]["rows"] if row["awg"] == 8)
OHM_PER_FOOT = NEC_8_AWG / 1000 * 254.5 / 309.5
"""Stranded 8 AWG at 20 degC: NFPA 70 chapter 9 table 8 (0.778 ohm per 1000 ft at 75 degC), brought
to 20 degC with (234.5 + T), FAA AC 43.13-1B paragraph 11-66."""

BOWSER = Model.of(open_rig("bowser"))  # 8 AWG, 14 ft one way, main fuse 5 in from the battery
LEAD, ONE_WAY = 5 / 12, 14.0
TO_MASTER = BOWSER.figures.get("feed-share-to-master")
TO_SWITCH = BOWSER.figures.get("feed-share-to-switch")
TO_GROUND = BOWSER.figures.get("return-share-to-ground")
STUD = 0.0003
"""A clean ring on the ground stud [ohm], estimate of figure ground-stud-resistance."""


def drop(bench: Circuits, red: str, black: str) -> float:
    volts, _ = bench.predict(Reading("voltage", (red, black), "calling"))
    return float(volts[0])


def amps(bench: Circuits, conductor: str) -> float:
    current, _ = bench.predict(Reading("current", (conductor,), "calling"))
    return float(current[0])


@pytest.mark.parametrize(
    ("red", "black", "feet"),
    [
        ("lug+", "fuse.in", LEAD),
        ("fuse.out", "master.in", TO_MASTER * (ONE_WAY - LEAD)),
        ("master.out", "relay.30", TO_SWITCH * (ONE_WAY - LEAD)),
        ("relay.87", "motor+", (1 - TO_MASTER - TO_SWITCH) * (ONE_WAY - LEAD)),
        ("motor-", "ground", TO_GROUND * ONE_WAY),
    ],
)
def test_each_stretch_of_wire_drops_by_its_length(red: str, black: str, feet: float) -> None:
    """Within 2 %: the coil's 0.15 A beside 14 A, and rounding of the table."""
    bench = Circuits(BOWSER, BOWSER.sound_batch())

    by_hand = amps(bench, "motor-feed") * OHM_PER_FOOT * feet

    assert drop(bench, red, black) == pytest.approx(by_hand, rel=0.02)


def test_the_ground_return_drops_by_its_length_and_its_stud() -> None:
    bench = Circuits(BOWSER, BOWSER.sound_batch())

    by_hand = amps(bench, "battery") * (OHM_PER_FOOT * (1 - TO_GROUND) * ONE_WAY + STUD)

    assert drop(bench, "ground", "lug-") == pytest.approx(by_hand, rel=0.02)


def test_all_drops_and_the_motor_add_up_to_the_battery() -> None:
    """Kirchhoff round the loop, as the meter shows it."""
    loop = ["battery+", "lug+", "fuse.in", "fuse.out", "master.in", "master.out", "relay.30"]
    loop += ["relay.87", "motor+", "motor-", "ground", "lug-", "battery-"]
    bench = Circuits(BOWSER, BOWSER.sound_batch())

    drops = [drop(bench, red, black) for red, black in pairwise(loop)]

    assert min(drops) > 0
    assert sum(drops) == pytest.approx(drop(bench, "battery+", "battery-"), rel=1e-6)


SHORT = [name for name in bundled_rigs() if not open_rig(name).feed]
"""The rigs whose wire is told in one length, there and back."""

HAND_SWITCHED = """
topology: direct
control: manual
pump: {current: 10 A}
wire: {gauge: 8 AWG, length: 14 ft}
"""


@pytest.mark.parametrize("name", [*SHORT, "hand-switched"])
def test_feed_and_return_together_are_twice_the_length_of_wire(name: str) -> None:
    """Every foot of wire carries the pump, whichever way the rig is switched."""
    hand = read_rig(parse(HAND_SWITCHED, "hand.yaml"))
    model = Model.of(hand if name == "hand-switched" else open_rig(name))
    parts = ["terminal_positive", "terminal_negative", "fuse_holder", "main_fuse", "master_switch"]
    if model.rig.has_relay:
        parts += ["relay_socket", "relay_contact"]
    elif model.rig.control != "manual":
        parts.append(model.rig.control)
    bench = Circuits(model, model.sound_batch())
    operation = bench.operation("calling")

    rest = model.sound["battery.resistance"] + sum(model.sound[part] for part in parts) + STUD
    copper = operation.live.source[0] - rest

    ohm_per_metre = 0.01724137931 * 1.02 / model.rig.wire_area  # IEC 60028, 2 % lay
    assert copper == pytest.approx(2 * model.rig.wire_length * ohm_per_metre, rel=1e-3)
