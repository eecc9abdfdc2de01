"""Rigs as they really stand there: each off its rig file, a few years old, and working."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp

import numpy as np

from diagnose.circuit.rig import Rig
from tests.study.other_world.components import Battery, Coil, Fuse, copper
from tests.study.other_world.operation import Working
from tests.study.other_world.parts import Path, Random, Works
from tests.study.other_world.pump import LIFT, Motor, Water

COPPER = 1 / 58
"""Resistivity of copper at 20 degC [ohm mm2/m] (IEC 60028)."""

SPEED = 200.0
"""Working speed [rad/s]; nothing that is asked depends on it; estimate."""

PSI = 6894.757293168
"""Pascals in a psi."""

TRIES = 60


def between(random: Random, low: float, high: float) -> float:
    return float(random.uniform(low, high))


def decades(random: Random, low: float, high: float) -> float:
    """Any order of size between two values is as likely as another."""
    return float(exp(random.uniform(np.log(low), np.log(high))))


def about(random: Random, value: float, spread: float) -> float:
    """A value that differs by so much, as a spread of its logarithm."""
    return float(value * exp(random.normal(0, spread)))


def sound(rig: Rig, random: Random) -> Works:
    """A rig that does its work; young and as described when no drawn one does."""
    for attempt in range(TRIES):
        works = built(rig, random, 1.0 if attempt < TRIES - 1 else 0.0)
        if does_its_work(works):
            break
    return works


def does_its_work(works: Works) -> bool:
    """Runs when called, steadily, and stops again; its fuse holds."""
    working = Working(works)
    calling = working.operation("calling")
    if not calling.turning or calling.chatters or working.cycles:
        return False
    held = works.main.seconds(calling.live.through("main_fuse")) > 3600
    held &= works.main.seconds(calling.live.through("main_fuse", calling.live.stall)) > 0.08
    return held and not working.operation("satisfied").turning


def built(rig: Rig, random: Random, off: float) -> Works:
    """A rig as it was built and has aged. off: 1 as rigs differ, 0 exactly as described."""
    air = 18 + off * between(random, -12, 14)
    motor, water, duty = _pump(rig, random, off, air)
    low = max(duty.high - between(random, 10, 25) * PSI, 0.45 * duty.high)
    return Works(
        rig=rig,
        battery=_battery(rig, random, off, air),
        motor=motor,
        water=water,
        coil=_coil(rig, random, off, air),
        main=_fuse(rig.main_fuse_rating, random),
        control=_fuse(rig.control_fuse_rating, random),
        paths=paths(rig, random, off, air),
        high=duty.high,
        low=low,
        amps=duty.amps,
        air=air,
        minutes=between(random, 3, 8),
        charger=decades(random, 4, 40) if random.random() < 0.7 else 0.0,
        kelvin=about(random, 1.0, 0.25 * off),
    )


def _battery(rig: Rig, random: Random, off: float, air: float) -> Battery:
    return Battery(
        rig.battery_kind,
        about(random, rig.battery_capacity, 0.05 * off),
        charge=between(random, 0.65, 1.0),
        age=1 + off * abs(random.normal(0, 0.4)),
        left=1 - 0.25 * off * random.random(),
        air=air,
        fresh=max(random.normal(0, 0.06), 0.0),
    )


def _fuse(rating: float, random: Random) -> Fuse:
    """Any fuse within the standard's window."""
    return Fuse(rating, between(random, 1.17, 1.33), decades(random, 0.9, 2.9))


def _coil(rig: Rig, random: Random, off: float, air: float) -> Coil:
    """Pull-in at 54 to 66 % of 12 V and letting go at 25 to 45 %, cold (published data)."""
    ohms = rig.relay_coil * (1 + 0.1 * off * between(random, -1, 1))
    return Coil(
        ohms,
        pull=12 * between(random, 0.54, 0.66),
        drop=12 * between(random, 0.22, 0.42),
        warm=between(random, 0, 45),
        air=air,
        diode=bool(random.random() < 0.3),
    )


def _pump(rig: Rig, random: Random, off: float, air: float) -> tuple[Motor, Water, Duty]:
    """Motor and head that do at 12 V what the label says, as well as labels are true."""
    duty = _duty(rig, random, off)
    brush = between(random, 0.4, 1.2)
    winding = (12 - brush) / (between(random, 4.2, 8.0) * duty.most_amps)
    k = (12 - brush - duty.amps * winding) / SPEED
    push = (1 - duty.idle) * k * duty.amps / duty.pressure
    flow = min(duty.flow, 0.88 * push * SPEED)
    slip = between(random, 0.02, 0.08) * flow / duty.pressure
    rub = duty.idle * k * duty.amps
    motor = Motor(
        k=k,
        winding=winding,
        brush=brush,
        bend=0.15 * duty.amps,
        rub=0.7 * rub,
        drag=0.3 * rub / SPEED,
        push=push,
        warm=between(random, 5, 35),
        air=air,
        backwards=float(random.choice([1.0, 0.7, 0.15], p=[0.6, 0.25, 0.15])),
    )
    lift = between(random, -0.5, 2.0)
    water = Water(
        stroke=(flow + slip * duty.pressure) / SPEED,
        rated=duty.pressure,
        nozzle=flow / duty.pressure**0.5 * about(random, 1.0, 0.08 * off),
        slip=slip,
        bypass=duty.high * between(random, 1.12, 1.4),
        bypass_wide=2 * flow / duty.pressure,
        lift=lift,
        drag=(LIFT - lift) / (flow * between(random, 1.8, 3.0)) ** 2,
        cushion=decades(random, 3e-5, 5e-4),
        ripple=between(random, 0.02, 0.07),
    )
    return motor, water, duty


@dataclass(frozen=True)
class Duty:
    """What a pump does at its work. idle: share of its current that it takes for turning alone;
    most_amps: at cut-out; high: pressure at which its switch opens [Pa]."""

    amps: float
    pressure: float
    flow: float
    idle: float
    most_amps: float
    high: float


def _duty(rig: Rig, random: Random, off: float) -> Duty:
    """The work behind a label; with nothing to lift, a pump takes 0.35 to 0.6 of what it takes at
    its cut-out (trade practice)."""
    amps = about(random, rig.pump_current, 0.1 * off)
    pressure = about(random, rig.pump_pressure, 0.07 * off)
    flow = about(random, rig.pump_flow, 0.08 * off)
    bare = between(random, 0.35, 0.55)
    if rig.pump_at == "working":
        high = pressure * (1.3 + off * between(random, -0.12, 0.15))
        most = amps / (bare + (1 - bare) * pressure / high)
        return Duty(amps, pressure, flow, bare * most / amps, most, high)
    most = amps / bare if rig.pump_at == "open" else amps
    share = 0.72 + off * between(random, -0.1, 0.08)
    at_work = most * (bare + (1 - bare) * share)
    given = flow * between(random, 0.75, 0.95)
    return Duty(at_work, share * pressure, given, bare * most / at_work, most, pressure)


@dataclass
class _Layer:
    """Lays wires and joints, each aged a little; one joint in eight three times as much."""

    rig: Rig
    random: Random
    off: float
    metre: float
    paths: dict[str, Path] = field(default_factory=dict)

    def joint(self, milliohm: float) -> float:
        old = self.off > 0 and self.random.random() < 0.125
        more = decades(self.random, 1.5, 4) if old else 1.0
        return about(self.random, milliohm / 1000, 0.4 * self.off) * more

    def wire(self, share: float) -> float:
        """A share of the length one way, with a terminal at each end."""
        return share * self.rig.wire_length * self.metre + self.joint(0.4) + self.joint(0.4)

    def lay(self, name: str, a: str, b: str, ohms: float) -> None:
        self.paths[name] = Path(a, b, ohms)


POINT = {"pressure_switch": "pswitch", "float_switch": "float"}


def paths(rig: Rig, random: Random, off: float, air: float) -> dict[str, Path]:
    """Every wire and joint."""
    metre = COPPER / rig.wire_area * copper(air) * about(random, 1.0, 0.15 * off)
    to = _Layer(rig, random, off, metre)
    to.lay("post+", "battery+", "lug+", to.joint(0.6))
    to.lay("lead", "lug+", "fuse.in", rig.main_fuse_distance * metre + to.joint(0.8))
    to.lay("holder", "fuse.in", "fuse.clip", to.joint(2.0))
    to.lay("main_fuse", "fuse.clip", "fuse.out", 0.0)
    first, second, third = (float(share) for share in random.dirichlet([4, 4, 5]))
    to.lay("feed_1", "fuse.out", "master.in", to.wire(first))
    to.lay("master", "master.in", "master.out", to.joint(3.0))
    back = between(random, 0.5, 0.85)
    to.lay("return_1", "motor-", "ground", to.wire(back))
    to.lay("return_2", "ground", "lug-", to.wire(1 - back))
    to.lay("post-", "lug-", "battery-", to.joint(0.6))
    if rig.has_relay:
        _relay(to, second, third)
        _control(to)
    else:
        _direct(to, second, third)
    return to.paths


def _relay(to: _Layer, second: float, third: float) -> None:
    to.lay("feed_2", "master.out", "relay.30", to.wire(second))
    to.lay("socket", "relay.30", "relay.blade", to.joint(1.2))
    to.lay("contact", "relay.blade", "relay.87", to.joint(2.5))
    to.lay("rest_contact", "relay.blade", "relay.87a", to.joint(4.0))
    to.lay("feed_3", "relay.87", "motor+", to.wire(third))


def _direct(to: _Layer, second: float, third: float) -> None:
    point = POINT.get(to.rig.control)
    inlet, outlet = (f"{point}.in", f"{point}.out") if point else ("splice", "splice")
    to.lay("feed_2", "master.out", inlet, to.wire(second))
    if point:
        to.lay(point, inlet, outlet, to.joint(6.0))
    to.lay("feed_3", outlet, "motor+", to.wire(third))


def _control(to: _Layer) -> None:
    rig, point = to.rig, POINT.get(to.rig.control)
    to.lay("tap", rig.control_tap, "cfuse.in", to.joint(25))
    to.lay("control_holder", "cfuse.in", "cfuse.clip", to.joint(15))
    to.lay("control_fuse", "cfuse.clip", "cfuse.out", 0.0)
    here = "cfuse.out"
    switches = (["remote"] if rig.remote else []) + ([point] if point else [])
    for number, name in enumerate(switches):
        wire = "control_link" if number else "control_1"
        to.lay(wire, here, f"{name}.in", to.joint(60))
        to.lay(name, f"{name}.in", f"{name}.out", to.joint(60))
        here = f"{name}.out"
    to.lay("control_2" if switches else "control_1", here, "hand.in", to.joint(60))
    to.lay("hand", "hand.in", "relay.86", to.joint(40))
    to.lay("coil", "relay.86", "relay.85", rig.relay_coil)
    to.lay("coil_ground", "relay.85", "ground", to.joint(60))
