"""What a circuit does in a given condition: relay in, out or chattering; motor running or not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.fed import Fed, feed, put, put_fed
from diagnose.circuit.model import Model
from diagnose.circuit.motor import Impeller, Load, Running, load, run, stall_current
from diagnose.circuit.network import Contacts
from diagnose.circuit.operation import Operation, choose, put_operation
from diagnose.circuit.parameters import OPEN, Array, Batch, Flags
from diagnose.circuit.parts import feed_of, feed_wires
from diagnose.circuit.relay import warmed
from diagnose.circuit.rig import Rig
from diagnose.circuit.switches import control_switches

PARTED = 1e5
"""A coil above this carries no current worth the name [ohm]."""

CONDITIONS = ("rest", "calling", "satisfied", "unplugged", "isolated")


def _work(model: Model, batch: Batch, fed: Fed, outlet_open: bool) -> Running:
    """The motor on this feed; a reversed supply drives it just as hard."""
    asked = _load(model, batch, outlet_open)
    water = _let_go(model, batch, asked) if outlet_open else asked
    opening = batch["outlet.opening"] if outlet_open else np.zeros(len(batch))
    breakaway = model.figures.get("motor-breakaway")
    return run(batch, np.abs(fed.motor_volts), fed.source, water, opening, breakaway)


def _load(model: Model, batch: Batch, outlet_open: bool) -> Load:
    """What the water asks of this rig's kind of pump."""
    if model.rig.pump_kind == "diaphragm":
        return load(batch, outlet_open)
    figures = model.figures
    impeller = Impeller(figures.get("impeller-shut-pressure"), figures.get("impeller-idle-torque"))
    return impeller.load(batch, outlet_open)


def _let_go(model: Model, batch: Batch, water: Load) -> Load:
    """While water is drawn a pressure switch lets the pump work no higher than its cut-out."""
    if model.rig.control != "pressure_switch":
        return water
    highest = np.where(
        batch["pressure_switch.welded"] > 0, np.inf, batch["pressure_switch.cut_out"]
    )
    return replace(water, ceiling=np.minimum(water.ceiling, highest))


def _signed(fed: Fed, current: Array) -> Array:
    return np.asarray(np.sign(fed.motor_volts) * current, dtype=np.float64)


def contacts_in(rig: Rig, condition: str, relay: bool) -> Contacts:
    """How the contacts stand in one of CONDITIONS. Raises ValueError for any other word."""
    if condition not in CONDITIONS:
        raise ValueError(f"{condition!r} is none of the conditions {', '.join(CONDITIONS)}")
    called = condition in ("calling", "unplugged", "isolated")
    by_hand = rig.control == "manual" and not rig.has_relay and not control_switches(rig)
    master = condition != "rest" and (called or not by_hand)
    return Contacts(master, called, relay, condition != "isolated", hand=condition != "rest")


def without_motor(batch: Batch) -> Batch:
    """The same circuits with the motor's leads off, and what leaks inside it with them."""
    if "unplugged" not in batch.kept:
        batch.kept["unplugged"] = batch.with_values({"leak_case": OPEN})
    found: Batch = batch.kept["unplugged"]
    return found


def operate(model: Model, batch: Batch, condition: str, whole: bool = False) -> Operation:
    """Settle every circuit of the batch. whole: its live state too where the relay is sure to be
    out. Raises ValueError unless in one of CONDITIONS that has a battery, which `isolated` has
    not."""
    if condition == "isolated":
        raise ValueError("'isolated' has no battery, so that there is nothing to settle")
    settled = _operate(model, batch, condition, whole)
    for part in _cut_outs(model.rig):
        here = _cut_off(batch, settled, part)
        if len(here):
            opened = batch.take(here).with_values({part[1]: OPEN})
            settled = put_operation(settled, here, _operate(model, opened, condition, whole))
    return settled


def _operate(model: Model, batch: Batch, condition: str, whole: bool) -> Operation:
    if condition == "unplugged":
        return _settle(model, without_motor(batch), condition, True, False, whole)
    if condition == "satisfied" and model.rig.control == "pressure_switch":
        return _satisfied_by_pressure(model, batch, whole)
    outlet_open = condition == "calling" or model.rig.control == "float_switch"
    return _settle(model, batch, condition, outlet_open, True, whole)


def _cut_outs(rig: Rig) -> Iterator[tuple[str, str, str]]:
    """What opens by itself at low volts: its inlet, its contact and the volts at which it does."""
    for one in feed_of(rig):
        if one.kind.opens_below:
            part = one.part
            yield one.start, part.parameter(), part.parameter(one.kind.opens_below)


def _cut_off(batch: Batch, settled: Operation, part: tuple[str, str, str]) -> NDArray[np.intp]:
    """The circuits in which the volts of a cut-out under load are too low; it opens, and stays open
    until somebody charges the battery."""
    inlet, _, limit = part
    fed, current = settled.met, settled.met_current
    return np.flatnonzero(fed.volts(inlet, current) - fed.volts("lug-", current) < batch[limit])


def _settle(
    model: Model, batch: Batch, contacts: str, outlet_open: bool, motor: bool, whole: bool
) -> Operation:
    rig = model.rig
    idle = feed(rig, batch, contacts_in(rig, contacts, relay=False))
    resting = _work(model, batch, idle, outlet_open) if motor else _standing(len(batch))
    idle_current = _signed(idle, resting.current)
    pulled = _pulls_in(model, batch, idle, idle_current)
    live = _live(model, batch, contacts, idle, pulled | ~resting.stalled | whole)
    running, start = resting, resting.current
    if motor:
        running = resting if live is idle else _work(model, batch, live, outlet_open)
        start = stall_current(batch, np.abs(live.motor_volts), live.source)
    at_rest = _AtRest(idle, resting, idle_current, pulled)
    settled = _combine(model, batch, at_rest, live, running, start, motor)
    return _joint_apart(model, batch, contacts, settled)


def _live(model: Model, batch: Batch, contacts: str, idle: Fed, needed: Flags) -> Fed:
    """The relay in. needed: the circuits of which that says anything, few unless called: where the
    coil gets no volts and the motor stands, the relay stays out and nobody asks."""
    if not model.rig.has_relay:
        return idle
    put_in = contacts_in(model.rig, contacts, relay=True)
    if put_in.control:
        return feed(model.rig, batch, put_in)
    here = np.flatnonzero(needed)
    if not len(here):
        return idle
    return put_fed(idle, here, feed(model.rig, batch.take(here), put_in))


FUSES = ("main_fuse",)
"""What lies in the motor's way and is no joint that may be loose."""


@lru_cache(maxsize=64)
def power_path(rig: Rig) -> tuple[str, ...]:
    """The wires, contacts and joints in the motor's way, from post to post."""
    parts = [name for one in feed_of(rig) for name in one.parameters if name not in FUSES]
    minus = [one.minus[2] for one in feed_of(rig) if one.minus]
    wires = ("battery_lead", *feed_wires(rig), "return_1", "return_2")
    return ("terminal_positive", *wires, *parts, *minus, "terminal_negative")


SWITCHES = ("pressure_switch", "float_switch")


def _shaken(rig: Rig, batch: Batch) -> Flags:
    """Whether a joint in the motor's way makes and breaks; a direct rig's switch lies in it."""
    switch = (batch["control.flutter"] > 0) & (not rig.has_relay)
    return np.asarray((batch["power.flutter"] > 0) | switch)


def _joint_apart(model: Model, batch: Batch, condition: str, settled: Operation) -> Operation:
    """With a joint of the power path that makes and breaks: idle is when that joint is apart.

    The unsteady joint of a circuit is the one that is worst beside a sound one.
    """
    loose = np.flatnonzero(settled.pulled & _shaken(model.rig, batch))
    if not len(loose):
        return settled
    part = batch.take(loose)
    apart = _worst_apart(model, part, power_path(model.rig))
    fed = feed(model.rig, apart, contacts_in(model.rig, condition, relay=True))
    still = _signed(fed, stall_current(part, np.abs(fed.motor_volts), fed.source))
    return replace(
        settled,
        idle=put_fed(settled.idle, loose, fed),
        idle_current=put(settled.idle_current, loose, still * settled.motor_connected),
    )


CONTROL_PATH = (
    *("control_tap", "control_fuse_holder", "control_wire_1", "control_link", "control_wire_2"),
    *("coil_ground", *SWITCHES, "hand_switch", "remote_output"),
)
"""What the coil's current passes, but for the coil."""


def _parted(model: Model, batch: Batch, idle: Fed, flutter: Flags) -> Fed:
    """The coil without its feed, in the moments when a fluttering control joint is apart."""
    here = np.flatnonzero(flutter)
    if not len(here):
        return idle
    apart = _worst_apart(model, batch.take(here), CONTROL_PATH)
    return put_fed(idle, here, feed(model.rig, apart, Contacts(master=True, control=True)))


def _worst_apart(model: Model, batch: Batch, path: tuple[str, ...]) -> Batch:
    """The circuits with the joint of a path open that is worst beside a sound one."""
    worst = np.argmax([batch[name] - model.sound[name] for name in path], axis=0)
    opened = {name: np.where(worst == i, OPEN, batch[name]) for i, name in enumerate(path)}
    return batch.with_values(opened)


def _standing(count: int) -> Running:
    """Motors with their leads off."""
    zero = np.zeros(count)
    return Running(zero, zero, zero, zero, np.ones(count, dtype=bool))


@dataclass(frozen=True)
class _AtRest:
    """The relay out: the circuits, the motor with its current [A], and whether the coil pulls."""

    idle: Fed
    motor: Running
    current: Array
    pulls: Flags


def _combine(
    model: Model,
    batch: Batch,
    at_rest: _AtRest,
    live: Fed,
    running: Running,
    start: Array,
    motor: bool,
) -> Operation:
    pulled = at_rest.pulls
    holds = _holds(model, batch, live, start, running.current)
    moving = pulled & ~running.stalled
    flutter = moving & (batch["control.flutter"] > 0) & model.rig.has_relay
    chatter = (pulled & ~holds) | flutter
    unsteady = chatter | (moving & _shaken(model.rig, batch))
    duty = model.figures.get("relay-chatter-duty")
    on = np.where(pulled, np.where(unsteady, duty, 1.0), 0.0)
    current = np.where(chatter & ~flutter, start, running.current)
    return Operation(
        idle=_parted(model, batch, at_rest.idle, flutter),
        live=live,
        on=on,
        running=running,
        resting=at_rest.motor,
        motor_current=_signed(live, current),
        idle_current=at_rest.current,
        start_current=start,
        pulled=pulled,
        chatter=chatter,
        unsteady=unsteady,
        motor_connected=motor,
    )


def _pulls_in(model: Model, batch: Batch, idle: Fed, idle_current: Array) -> Flags:
    """Whether the relay pulls in with its contact open; without a relay there is none to wait."""
    if not model.rig.has_relay:
        return np.ones(len(batch), dtype=bool)
    whole = batch["coil"] < PARTED
    needed = warmed(batch["coil.pull_in"], batch["ambient"], model.figures)
    return np.asarray(whole & (idle.coil_volts(idle_current) >= needed))


def _holds(model: Model, batch: Batch, live: Fed, start: Array, steady: Array) -> Flags:
    """Whether the relay holds with the motor starting."""
    if not model.rig.has_relay:
        return np.ones(len(batch), dtype=bool)
    loaded = np.minimum(
        live.coil_volts(_signed(live, start)), live.coil_volts(_signed(live, steady))
    )
    return np.asarray(loaded >= batch["coil.drop_out"])


def _satisfied_by_pressure(model: Model, batch: Batch, whole: bool) -> Operation:
    """Outlet shut: the pressure switch opens only if the pump reaches its cut-out pressure."""
    pressed = _settle(model, batch, "calling", False, True, whole)
    released = _settle(model, batch, "satisfied", False, True, whole)
    short = pressed.turning & (pressed.running.pressure < batch["pressure_switch.cut_out"])
    return choose(short, pressed, released)
