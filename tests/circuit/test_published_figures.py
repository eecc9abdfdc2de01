"""The circuit's parts against published tables and worked examples: tests/tables, with sources."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from diagnose.circuit.fuse import chance_open
from diagnose.circuit.heat import loss
from diagnose.circuit.meter import Bench, Reading
from diagnose.circuit.motor import load, run, stall_current
from diagnose.circuit.operate import Model
from diagnose.circuit.parameters import Array, Batch, fuse_resistance, wire_resistance
from diagnose.circuit.rig import open_rig, usual_fuse
from diagnose.figures import shipped_figures
from diagnose.units import read_gauge

TABLES = Path(__file__).parents[1] / "tables"
FIGURES = shipped_figures()
BOWSER = Model.of(open_rig("bowser"))
FOOT = 0.3048
LAY = 1.02
"""Stranded over solid: NEC chapter 9 table 8 gives 1.018 to 1.025."""


def table(name: str) -> Any:
    return yaml.safe_load((TABLES / name).read_text(encoding="utf-8"))


WIRE, FUSE, EXAMPLES = table("wire.yaml"), table("fuse.yaml"), table("worked_examples.yaml")


def each(rows: list[Any]) -> pytest.MarkDecorator:
    """One test a row, named by what tells the rows apart."""
    names = [str(row.get("case") or next(iter(row.values()))) for row in rows]
    return pytest.mark.parametrize("row", rows, ids=names)


def awg_ohms(gauge: int | str, length: float, celsius: float) -> float:
    return wire_resistance(read_gauge(f"{gauge} AWG"), length, FIGURES, celsius)


# --- wire -----------------------------------------------------------------------------------------


@each(WIRE["nec-stranded-75c"]["rows"])
def test_stranded_wire_at_75_degrees_is_that_of_nec_table_8(row: Any) -> None:
    ohms = awg_ohms(row["awg"], 1000 * FOOT, 75)

    assert ohms == pytest.approx(row["ohm"], rel=WIRE["nec-stranded-75c"]["deviation"])


@each(WIRE["nec-solid-75c"]["rows"])
def test_without_lay_it_is_the_solid_wire_of_nec_table_8(row: Any) -> None:
    ohms = awg_ohms(row["awg"], 1000 * FOOT, 75) / LAY

    assert ohms == pytest.approx(row["ohm"], rel=WIRE["nec-solid-75c"]["deviation"])


@each(WIRE["awg-20c"]["rows"])
def test_without_lay_it_is_ideal_copper_at_20_degrees(row: Any) -> None:
    ohms = awg_ohms(row["awg"], 1000 * FOOT, 20) / LAY

    assert ohms == pytest.approx(row["ohm"], rel=WIRE["awg-20c"]["deviation"])


@each(WIRE["iec-60228-class-2"]["rows"])
def test_a_sound_metric_wire_keeps_just_below_the_iec_maximum(row: Any) -> None:
    ohms = wire_resistance(row["mm2"], 1000, FIGURES, 20)

    assert row["ohm"] * (1 - WIRE["iec-60228-class-2"]["below"]) < ohms <= row["ohm"]


@each(WIRE["printed-drops"]["rows"])
def test_a_pair_of_wires_drops_what_was_printed(row: Any) -> None:
    wire = row["wire"]
    ohms = awg_ohms(wire["awg"], 2 * wire["feet"] * FOOT, wire["celsius"])

    volts = row["amps"] * ohms / (1 if wire["stranded"] else LAY)

    assert volts == pytest.approx(row["volts"], rel=row["within"]), row["source"]


def test_a_hot_wire_must_be_shorter_for_the_same_drop() -> None:
    row = WIRE["temperature"]

    hot, cold = awg_ohms(10, row["hot_feet"], row["celsius"]), awg_ohms(10, row["cold_feet"], 20)

    assert hot == pytest.approx(cold, rel=row["within"]), row["source"]


# --- fuse -----------------------------------------------------------------------------------------


def chance(ratio: float, seconds: float) -> float:
    return float(chance_open(np.array([ratio]), seconds, FIGURES)[0])


@each(FUSE["opening-time"]["rows"])
def test_a_fuse_opens_within_its_window(row: Any) -> None:
    assert chance(row["ratio"], row["shortest"]) < 0.05
    if "longest" in row:
        assert chance(row["ratio"], row["longest"]) > 0.95


@pytest.mark.parametrize("ratio", [0.1, 0.75, 1.0])
def test_a_fuse_holds_its_rating_for_ever(ratio: float) -> None:
    """100 h at 110 % is the least that it must stand; ten years here."""
    assert chance(ratio, 10 * 8760 * 3600) == 0


def test_more_current_and_more_time_never_make_a_fuse_safer() -> None:
    """But for 1e-4 far outside the window, where curves of different spread cross."""
    ratios, seconds = np.linspace(0.5, 12, 300), np.geomspace(1e-3, 1e8, 60)
    chances = np.array([chance_open(ratios, s, FIGURES) for s in seconds])

    assert np.all(np.diff(chances, axis=0) >= 0)
    assert np.all(np.diff(chances, axis=1) >= -1e-4)
    assert chances.min() >= 0
    assert chances.max() <= 1


@each(FUSE["cold-resistance"]["rows"])
def test_cold_fuse_resistance_is_as_measured(row: Any) -> None:
    cold = fuse_resistance(row["rating"], FIGURES) / FIGURES.get("fuse-hot-over-cold")

    spread = FUSE["cold-resistance"]["spread"]
    assert 1000 * cold == pytest.approx(row["milliohm"], rel=spread), row["source"]


def test_fuse_resistance_falls_with_the_rating() -> None:
    ohms = [fuse_resistance(rating, FIGURES) for rating in (0.5, 1, 3, 7.5, 20, 40, 60, 200)]

    assert all(more > less > 0 for more, less in pairwise(ohms))


@each(FUSE["continuous"]["rows"])
def test_the_usual_fuse_stands_125_percent_of_the_load(row: Any) -> None:
    assert usual_fuse(row["load"]) == row["rating"]


# --- worked examples ------------------------------------------------------------------------------


def with_motor(motor: dict[str, float], count: int = 1) -> Batch:
    """A motor by its textbook values; the whole torque is friction, so that it does not vary."""
    return BOWSER.sound_batch(count).with_values(
        {
            "motor.resistance": motor["resistance"],
            "motor.brush_drop": motor["brush"],
            "motor.back_emf": motor.get("back_emf", 10.0),
            "motor.friction": motor.get("amps", 1.0),
            "motor.pressure_torque": 0.0,
        }
    )


def one(value: float) -> Array:
    return np.array([float(value)])


@each(EXAMPLES["stall"])
def test_stall_current(row: Any) -> None:
    amps = stall_current(with_motor(row["motor"]), one(row["volts"]), one(0))

    assert amps[0] == pytest.approx(row["amps"], rel=row["within"]), row["source"]


@each(EXAMPLES["running"])
def test_speed_at_constant_torque(row: Any) -> None:
    batch = with_motor(row["motor"])

    motor = run(batch, one(row["volts"]), one(0), load(batch, True), one(1), breakaway=1.5)

    assert motor.current[0] == row["motor"]["amps"]
    assert motor.speed[0] == pytest.approx(row["speed"], rel=row["within"]), row["source"]


@each(EXAMPLES["nozzle"])
def test_flow_goes_with_the_root_of_pressure(row: Any) -> None:
    """The bypass holds the pressure where the example wants it."""
    held = np.array([0.3, 0.3 * row["pressure_ratio"]])
    batch = BOWSER.sound_batch(2).with_values({"pump.bypass": held})

    motor = run(batch, one(14), one(0), load(batch, True), batch["outlet.opening"], breakaway=1.5)

    assert motor.pressure == pytest.approx(held)
    ratio = motor.flow[1] / motor.flow[0]
    assert ratio == pytest.approx(row["flow_ratio"], rel=row["within"]), row["source"]


@each(EXAMPLES["resistance"])
def test_an_ohmmeter_reads_parts_in_parallel(row: Any) -> None:
    bench = Bench(BOWSER, BOWSER.sound_batch().with_values(row["parameters"]))

    ohms, _ = bench.predict(Reading("resistance", tuple(row["points"]), "isolated"))

    assert ohms[0] == pytest.approx(row["ohms"], rel=row["within"]), row["source"]


@each(EXAMPLES["battery"])
def test_a_battery_sags_by_its_internal_resistance(row: Any) -> None:
    """The load is a drain across the lugs, the posts counted in."""
    inside = {"battery.voltage": row["rest"], "battery.resistance": row["milliohm"] / 1000}
    posts = BOWSER.sound["terminal_positive"] + BOWSER.sound["terminal_negative"]
    drain = {"rest_drain": row["loaded"] / row["amps"] - posts}
    bench = Bench(BOWSER, BOWSER.sound_batch().with_values(inside | drain))

    volts, _ = bench.predict(Reading("voltage", ("battery+", "battery-"), "rest"))

    assert volts[0] == pytest.approx(row["loaded"], rel=row["within"]), row["source"]


@each(EXAMPLES["heat"])
def test_a_joint_turns_its_loss_into_heat(row: Any) -> None:
    """Pushed by a drain beyond it: the joint is the battery's plus terminal."""
    ohms = row["milliohm"] / 1000
    rest = 12.0 / row["amps"] - ohms - BOWSER.sound["terminal_negative"]
    values = {"battery.voltage": 12.0, "battery.resistance": 1e-9, "terminal_positive": ohms}
    bench = Bench(BOWSER, BOWSER.sound_batch().with_values(values | {"rest_drain": rest}))

    watts = loss(bench.operation("rest").idle, np.zeros(1), "battery+", "lug+")

    assert watts[0] == pytest.approx(row["watts"], rel=1e-6), row["source"]
