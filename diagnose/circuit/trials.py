"""Things a person tries on the rig: jumpers, swaps, another battery. Each changes the circuit."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.meter import BLOWN
from diagnose.circuit.model import Model
from diagnose.circuit.parameters import IN_SERIES, NAMES, OPEN, Batch
from diagnose.circuit.parts import link_of, spares

JUMPER = 0.01
"""Resistance of a fused jumper with its clips [ohm]; estimate."""

RELAY = (
    "relay_contact",
    "coil",
    "coil_shunt",
    "coil.pull_in",
    "coil.drop_out",
    "relay.welded",
    "coil.diode_reversed",
)
MOTOR_AND_PUMP = (
    "leak_case",
    *(name for name in NAMES if name.startswith(("motor.", "pump."))),
)
AROUND = ("thermal", "ambient")
"""What stays as it is wherever the pump is taken."""


def jumper_relay_contact(model: Model, batch: Batch) -> Batch:
    """A fused jumper from terminal 30 to terminal 87."""
    return batch.with_values(
        {"relay.welded": 1.0, "relay_contact": JUMPER, "relay_socket": JUMPER / 2}
    )


def jumper_pressure_switch(model: Model, batch: Batch) -> Batch:
    """A fused jumper across the pressure switch."""
    return batch.with_values({"pressure_switch": JUMPER, "pressure_switch.welded": 1.0})


def jumper_float(model: Model, batch: Batch) -> Batch:
    """A fused jumper across the float switch."""
    return batch.with_values(
        {"float_switch": JUMPER, "float_switch.welded": 1.0, "float_switch.inverted": 0.0}
    )


def other_way(model: Model, batch: Batch) -> Batch:
    """The pump called past its own switch, by hand or by a second switch."""
    called = jumper_float(model, jumper_pressure_switch(model, batch))
    welded = (f"{name}.welded" for name in spares(model.rig))
    closed = {name: 1.0 for name in welded if name in batch.names}
    return called.with_values({"remote_output": JUMPER, "hand_switch": JUMPER, **closed})


def swap_relay(model: Model, batch: Batch) -> Batch:
    """Another relay of the same kind in the same socket."""
    return batch.restored(RELAY, model.sound)


def swap_battery(model: Model, batch: Batch) -> Batch:
    """Another battery, charged, its clips beside the lugs that are there; of two in series both,
    with the link between them."""
    link = link_of(model.rig)
    pair = (*IN_SERIES, *link.parameters) if link else ()
    return batch.restored(("battery.voltage", "battery.resistance", *pair), model.sound)


def swap_battery_and_lugs(model: Model, batch: Batch) -> Batch:
    """The same with both lugs taken over to its posts, which makes their joints anew."""
    lugs = ("terminal_positive", "terminal_negative")
    return swap_battery(model, batch).restored(lugs, model.sound)


def control_unplugged(model: Model, batch: Batch) -> Batch:
    """The lead off the switch that calls the pump; with a relay, off its coil."""
    if model.rig.has_relay:
        return batch.with_values({"control_wire_2": OPEN})
    return batch.with_values({"pressure_switch": OPEN, "float_switch": OPEN})


def relay_out(model: Model, batch: Batch) -> Batch:
    """The relay pulled out of its socket."""
    return batch.with_values(
        {"relay_contact": OPEN, "relay.welded": 0.0, "motor_on_87a": OPEN, "coil": OPEN}
    )


def swap_pump(model: Model, batch: Batch) -> Batch:
    """Another pump on the same wires and hoses."""
    return batch.restored(MOTOR_AND_PUMP, model.sound)


def new_main_fuse(model: Model, batch: Batch) -> Batch:
    """A new main fuse of the rating that the rig is described with, in the same holder."""
    return batch.restored(("main_fuse", "main_fuse.rating", "main_fuse.bridged"), model.sound)


def reset_breaker(model: Model, batch: Batch) -> Batch:
    """The breaker closed again, as worn as it is."""
    sound = model.sound["main_fuse"]
    return batch.with_values(
        {"main_fuse": np.where(batch["main_fuse"] > BLOWN, sound, batch["main_fuse"])}
    )


def charging(model: Model, batch: Batch) -> Batch:
    """The battery with an engine or charger running on it."""
    volts = model.figures.get("charging-voltage", "V")
    stiff = model.figures.get("charging-resistance", "ohm") / model.rig.battery_series
    resistance = batch["battery.resistance"].clip(max=stiff)
    raised = batch["battery.voltage"].clip(min=volts)
    return batch.with_values({"battery.voltage": raised, "battery.resistance": resistance})


def bench_run(model: Model, batch: Batch) -> Batch:
    """The motor on a known-good fused battery with short heavy leads, both hoses in a bucket."""
    kept = {*MOTOR_AND_PUMP, *AROUND, "pressure_switch.cut_out", "pressure_switch.cut_in"}
    sound = batch.restored([name for name in batch.names if name not in kept], model.sound)
    return sound.with_values(
        {
            "battery.voltage": model.figures.get("good-battery-voltage", "V"),
            "battery.resistance": model.figures.get("good-battery-resistance", "ohm")
            / model.rig.battery_series,
            "relay.welded": 1.0,
        }
    )
