"""What a circuit does in a given condition: relay in, out or chattering; motor running or not."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.circuit.fed import Fed, feed, pick_fed, put, put_fed, take_fed
from diagnose.circuit.label import Work, at_work
from diagnose.circuit.motor import Impeller, Load, Running, load, run, stall_current
from diagnose.circuit.network import Contacts
from diagnose.circuit.parameters import OPEN, Array, Batch, Flags, healthy
from diagnose.circuit.parts import feed_of, feed_wires
from diagnose.circuit.relay import warmed
from diagnose.circuit.rig import Rig
from diagnose.circuit.switches import control_switches
from diagnose.figures import Figures, shipped_figures

PARTED = 1e5
"""A coil above this carries no current worth the name [ohm]."""

CONDITIONS = ("rest", "calling", "satisfied", "unplugged", "isolated")


@dataclass(frozen=True)
class Model:
    """A rig, the figures it is computed from, and its parameters when sound; well: this very rig
    when it is well, one circuit, where it is known better than by its description."""

    rig: Rig
    figures: Figures
    sound: Mapping[str, float]
    well: Batch | None = None

    @classmethod
    def of(cls, rig: Rig, figures: Figures | None = None) -> Model:
        figures = figures or shipped_figures()
        return cls(rig, figures, healthy(rig, figures))

    @cached_property
    def work(self) -> Work:
        """The pump at its working pressure."""
        return at_work(self.rig, self.figures)

    def sound_batch(self, count: int = 1) -> Batch:
        """Sound circuits of this rig."""
        return Batch.of(self.sound, count)


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


State = Callable[[Batch, Fed, Array], Array]
"""What follows from one state of the contacts and the motor's current in it, circuit by circuit."""


@dataclass(frozen=True)
class Operation:
    """One condition, settled. Shapes: one value a circuit.

    idle, live: the two states of the contacts; on: share of the time that `live` holds (1 steady,
    0 off, between for chatter); running, resting: the motor in the live and in the idle state;
    motor_current, idle_current: its current in each, signed [A]; start_current [A];
    pulled, chatter: the relay; unsteady: something keeps opening while the pump should run.
    """

    idle: Fed
    live: Fed
    on: Array
    running: Running
    resting: Running
    motor_current: Array
    idle_current: Array
    start_current: Array
    pulled: Flags
    chatter: Flags
    unsteady: Flags
    motor_connected: bool = True

    @cached_property
    def motor(self) -> Running:
        """The motor as it is most to be met: live where the contacts close at all, else idle."""
        return pick_running(self.on > 0, self.running, self.resting)

    @cached_property
    def met(self) -> Fed:
        """The state of the contacts that is mostly met: live where they close at all, else idle."""
        return pick_fed(self.on > 0, self.live, self.idle)

    @cached_property
    def met_current(self) -> Array:
        """The motor's current in it, signed [A]."""
        return np.where(self.on > 0, self.motor_current, self.idle_current)

    @cached_property
    def changing(self) -> tuple[NDArray[np.intp], Fed]:
        """The circuits whose contacts open and close all the while, and their idle state."""
        columns = np.flatnonzero((self.on > 0) & (self.on < 1))
        return columns, take_fed(self.idle, columns)

    def over_time(self, batch: Batch, value: State) -> tuple[Array, Array]:
        """Average and spread of what follows from a state of the contacts. Both states are worked
        out only for the few circuits that change between them."""
        average = value(batch, self.met, self.met_current)
        spread, (here, idle) = np.zeros_like(average), self.changing
        if len(here):
            apart = value(batch.take(here), idle, self.idle_current[here])
            made, on = average[here], self.on[here]
            average = put(average, here, on * made + (1 - on) * apart)
            spread[here] = np.sqrt(on * (1 - on)) * np.abs(made - apart)
        return average, spread

    @property
    def turning(self) -> Flags:
        """Whether the pump turns at all, even by fits and starts."""
        return ~self.motor.stalled


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


def pick_running(first: Flags, a: Running, b: Running) -> Running:
    """Circuit by circuit, the motor `a` where `first` holds, else `b`."""
    pairs = zip(vars(a).values(), vars(b).values(), strict=True)
    return Running(*(np.where(first, x, y) for x, y in pairs))


def choose(first: Flags, a: Operation, b: Operation) -> Operation:
    """Circuit by circuit, operation `a` where `first` holds, else `b`."""
    picked: dict[str, object] = {}
    for part in fields(Operation):
        x, y = getattr(a, part.name), getattr(b, part.name)
        if isinstance(x, Fed):
            picked[part.name] = pick_fed(first, x, y)
        elif isinstance(x, Running):
            picked[part.name] = pick_running(first, x, y)
        else:
            picked[part.name] = np.where(first, x, y) if isinstance(x, np.ndarray) else x
    return Operation(**picked)  # type: ignore[arg-type]


def put_operation(whole: Operation, columns: NDArray[np.intp], part: Operation) -> Operation:
    """The same operation with some circuits replaced."""
    made: dict[str, object] = {}
    for one in fields(Operation):
        x, y = getattr(whole, one.name), getattr(part, one.name)
        if isinstance(x, Fed):
            made[one.name] = put_fed(x, columns, y)
        elif isinstance(x, Running):
            pairs = zip(vars(x).values(), vars(y).values(), strict=True)
            made[one.name] = Running(*(put(a, columns, b) for a, b in pairs))  # type: ignore[arg-type]
        else:
            made[one.name] = put(x, columns, y) if isinstance(x, np.ndarray) else x
    return Operation(**made)  # type: ignore[arg-type]
