"""The circuit's parts beside published tables and worked examples, row by row: the cells of
tests/tables/wire.yaml, fuse.yaml, worked_examples.yaml and trade_facts.yaml, each with its source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from diagnose.circuit.fuse import chance_open
from diagnose.circuit.healthy import fuse_resistance, wire_resistance
from diagnose.circuit.heat import loss, temperatures
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.motor import Running, load, run, stall_current
from diagnose.circuit.parameters import Array, Batch
from diagnose.circuit.ratings import usual_fuse
from diagnose.circuit.rig import bundled_rigs, open_rig
from diagnose.design.checks_fuse import opening_window
from diagnose.units import read_gauge
from tests.outside.cells import Cell, table
from tests.outside.design_tables import EXAMPLE, FIGURES, FOOT

WIRE, FUSE, EXAMPLES, FACTS = (
    table(f"{name}.yaml") for name in ("wire", "fuse", "worked_examples", "trade_facts")
)
BOWSER = Model.of(open_rig("bowser"))
LAY = 1.02
"""Stranded over solid: NEC chapter 9 table 8 gives 1.018 to 1.025."""


def awg_ohms(gauge: int | str, length: float, celsius: float) -> float:
    return wire_resistance(read_gauge(f"{gauge} AWG"), length, FIGURES, celsius)


def copper() -> Iterator[Cell]:
    """Resistance of conductors by gauge and by cross-section."""
    for name, celsius, lay in (
        ("nec-stranded-75c", 75, 1.0),
        ("nec-solid-75c", 75, LAY),
        ("awg-20c", 20, LAY),
    ):
        known = WIRE[name]
        for row in known["rows"]:
            ours = awg_ohms(row["awg"], 1000 * FOOT, celsius) / lay
            told = {**known, **row}
            yield _cell(name, f"{row['awg']} AWG", row["ohm"], ours, told, known["deviation"])
    metric = WIRE["iec-60228-class-2"]
    for row in metric["rows"]:
        share = wire_resistance(row["mm2"], 1000, FIGURES, 20) / row["ohm"]
        allowed = (1 - metric["below"], 1.0)
        what, source, basis = f"{row['mm2']} mm2", metric["source"], metric["basis"]
        yield Cell("iec-60228-maximum", what, allowed, share, 1e-9, source, basis)


def drops() -> Iterator[Cell]:
    """Drops of wire pairs, and what warmth does to them."""
    for row in WIRE["printed-drops"]["rows"]:
        wire = row["wire"]
        ohms = awg_ohms(wire["awg"], 2 * wire["feet"] * FOOT, wire["celsius"])
        ours = row["amps"] * ohms / (1 if wire["stranded"] else LAY)
        yield _cell("printed-drops", row["case"], row["volts"], ours, row)
    warm = WIRE["temperature"]
    ours = warm["cold_feet"] * awg_ohms(10, 1, 20) / awg_ohms(10, 1, warm["celsius"])
    yield _cell("wire-warm", "39 ft at 75 degC", warm["hot_feet"], ours, warm)


def gauges() -> Iterator[Cell]:
    """Areas of the wire gauge, and the diameters that define it."""
    mils, scale = WIRE["circular-mils"], WIRE["scale"]
    for name, area in mils["rows"].items():
        ours = read_gauge(f"{name} AWG") / (math.pi / 4 * 0.0254**2)
        yield _cell("circular-mils-awg", f"{name} AWG", area, ours, mils, mils["deviation"])
    for name, inches in scale["rows"].items():
        ours = (read_gauge(f"{name} AWG") * 4 / math.pi) ** 0.5 / 25.4
        yield _cell("gauge-scale", f"{name} AWG", inches, ours, scale, scale["deviation"])


def fuses() -> Iterator[Cell]:
    """Opening times of blade fuses, their resistance when cold, and the fuse for a load."""
    times = FUSE["opening-time"]
    for row in times["rows"]:
        yield from _opening({**times, **row}, f"{row['ratio']} x rating")
    cold = FUSE["cold-resistance"]
    for row in cold["rows"]:
        ours = 1000 * fuse_resistance(row["rating"], FIGURES) / FIGURES.get("fuse-hot-over-cold")
        told = {**cold, **row}
        yield _cell("fuse-cold", f"{row['rating']} A", row["milliohm"], ours, told, cold["spread"])
    for row in FUSE["continuous"]["rows"]:
        ours = usual_fuse(row["load"])
        yield _cell(
            "fuse-125-percent", f"{row['load']} A", row["rating"], ours, FUSE["continuous"], 0
        )


def _opening(row: Any, what: str) -> Iterator[Cell]:
    """The window of one current, and how likely the fuse has opened at either end of it."""
    shortest, longest = opening_window(row["ratio"], FIGURES)
    known = float(row.get("longest", math.inf))
    name, source, basis = "fuse-opening-time", row["source"], row["basis"]
    yield _cell(name, f"{what}, soonest", row["shortest"], shortest, row, 1e-9)
    yield _cell(name, f"{what}, latest", known, longest, row, 1e-9)
    for seconds, chances in ((row["shortest"], (0.0, 0.05)), (known, (0.95, 1.0))):
        if seconds < math.inf:
            ours = float(chance_open(_one(row["ratio"]), seconds, FIGURES)[0])
            said = f"chance open at {what} after {seconds} s"
            yield Cell("fuse-opens-in-window", said, chances, ours, 1e-9, source, basis)


def _motor(values: dict[str, float]) -> Batch:
    """A motor by its textbook values; the whole torque is friction, so that it does not vary."""
    return BOWSER.sound_batch(1).with_values(
        {
            "motor.resistance": values["resistance"],
            "motor.brush_drop": values["brush"],
            "motor.back_emf": values.get("back_emf", 10.0),
            "motor.friction": values.get("amps", 1.0),
            "motor.pressure_torque": 0.0,
        }
    )


def _one(value: float) -> Array:
    return np.array([float(value)])


def _runs(motor: Batch, volts: float, opening: Array) -> Running:
    return run(motor, _one(volts), _one(0), load(motor, True), opening, breakaway=1.5)


def motors() -> Iterator[Cell]:
    """Stall currents and speeds of a d.c. motor, and the flow of its pump through a nozzle."""
    for row in EXAMPLES["stall"]:
        amps = stall_current(_motor(row["motor"]), _one(row["volts"]), _one(0))
        yield _cell("motor-stall", row["case"], row["amps"], float(amps[0]), row)
    for row in EXAMPLES["running"]:
        speed = float(_runs(_motor(row["motor"]), row["volts"], _one(1)).speed[0])
        yield _cell("motor-speed", row["case"], row["speed"], speed, row)
    for row in EXAMPLES["nozzle"]:
        ours = _flow(0.3 * row["pressure_ratio"]) / _flow(0.3)
        yield _cell("nozzle-flow", row["case"], row["flow_ratio"], ours, row)


def _flow(pressure: float) -> float:
    """Flow of the bowser's pump with its bypass holding a pressure; over rated."""
    batch = BOWSER.sound_batch(1).with_values({"pump.bypass": pressure})
    runs = _runs(batch, 14, batch["outlet.opening"])
    assert math.isclose(runs.pressure[0], pressure), "the bypass does not open"
    return float(runs.flow[0])


def meters() -> Iterator[Cell]:
    """Ohms in parallel, the sag of a battery and the heat of a joint, in the whole circuit."""
    for row in EXAMPLES["resistance"]:
        reading = Reading("resistance", tuple(row["points"]), "isolated")
        yield _cell(
            "ohms-in-parallel", row["case"], row["ohms"], _reads(row["parameters"], reading), row
        )
    posts = BOWSER.sound["terminal_positive"] + BOWSER.sound["terminal_negative"]
    for row in EXAMPLES["battery"]:
        changed = {
            "battery.voltage": row["rest"],
            "battery.resistance": row["milliohm"] / 1000,
            "rest_drain": row["loaded"] / row["amps"] - posts,
        }
        reading = Reading("voltage", ("battery+", "battery-"), "rest")
        yield _cell("battery-sag", row["case"], row["loaded"], _reads(changed, reading), row)
    for row in EXAMPLES["heat"]:
        yield _cell("joint-heat", row["case"], row["watts"], _heat(row), {**row, "within": 1e-6})


def _bench(changed: dict[str, float]) -> Circuits:
    return Circuits(BOWSER, BOWSER.sound_batch().with_values(changed))


def _reads(changed: dict[str, float], reading: Reading) -> float:
    return float(_bench(changed).predict(reading)[0][0])


def _heat(row: Any) -> float:
    """The battery's plus terminal as the joint, its current pushed by a drain beyond it."""
    ohms = row["milliohm"] / 1000
    rest = 12.0 / row["amps"] - ohms - BOWSER.sound["terminal_negative"]
    values = {"battery.voltage": 12.0, "battery.resistance": 1e-9, "terminal_positive": ohms}
    bench = _bench({**values, "rest_drain": rest})
    return float(loss(bench.operation("rest").idle, np.zeros(1), "battery+", "lug+")[0])


def trade() -> Iterator[Cell]:
    """Facts of the trade, on every bundled rig."""
    for name in bundled_rigs():
        model = Model.of(open_rig(name))
        held = model.sound_batch().with_values({"motor.locked": 1.0})
        amps = _runs(held, 12.0 * model.rig.times_12, _one(1)).current[0] / model.rig.pump_current
        yield _fact("held-motor", name, float(amps))
        bench = Circuits(model, model.sound_batch())
        parts = temperatures(model, bench.batch, bench.operation("calling"))
        yield _fact("warm-but-not-hot", name, float(max(found[0] for found in parts.values())))


def _fact(name: str, rig: str, ours: float) -> Cell:
    low, high = FACTS[name]["range"]
    known = (float(low), float(high))
    return Cell(name, rig, known, ours, 1e-9, FACTS[name]["source"], FACTS[name]["basis"])


def _cell(
    name: str, what: str, published: float, ours: float, told: Any, within: float | None = None
) -> Cell:
    """A cell whose limit is relative: `within`, or that of the row."""
    limit = float(told["within"] if within is None else within)
    basis = told.get("basis", EXAMPLE)
    return Cell(name, what, float(published), ours, limit, told["source"], basis, floor=0.0)


def cells() -> list[Cell]:
    """Every cell of every table of the circuit."""
    sources = (copper, drops, gauges, fuses, motors, meters, trade)
    return [cell for source in sources for cell in source()]
