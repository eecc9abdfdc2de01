"""What a rig does in one condition: contacts, currents, speed, pressure and flow."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from tests.study.other_world.components import RUN_UP, Habit, watch_armature
from tests.study.other_world.net import EARTH, Branch, Net, Solved
from tests.study.other_world.parts import Works, branches

CHARGE_VOLTS = 14.2
"""A charging source holds the battery at this [V]; vehicles 13.8 to 14.7 (trade practice)."""

STANDS = 2.0
"""A speed below this is no turning [rad/s]; estimate."""


@dataclass(frozen=True)
class State:
    """The rig with its contacts in one place. amps: through the motor, from motor+ on; stall: what
    it takes before it turns; speed [rad/s], pressure [Pa] and flow [m3/s]; winding:
    what a motor that stands lets through [ohm], None where there is no way through it."""

    solved: Solved
    paths: dict[str, Branch]
    amps: float
    stall: float
    speed: float
    pressure: float
    flow: float
    winding: float | None = None

    @property
    def turning(self) -> bool:
        return self.speed > 0

    def across(self, red: str, black: str) -> float:
        return self.solved.across(red, black, self.amps)

    def through(self, name: str, amps: float | None = None) -> float:
        """Current in a path [A]."""
        drawn = self.amps if amps is None else amps
        return self.solved.amps(self.paths[name], drawn) if name in self.paths else 0.0

    def metered(self, red: str, black: str) -> float:
        """What a voltmeter shows, with its own resistance between the points."""
        net = self.solved.net
        if red not in net.place or (black not in net.place and black != EARTH):
            return 0.0
        if self.winding is not None and abs(self.amps) < 0.01:  # it stands, and only conducts
            net = replace(net, branches=[*net.branches, Branch("motor+", "motor-", self.winding)])
            return net.with_meter(red, black).solved("motor+", "motor-").across(red, black)
        again = net.with_meter(red, black).solved("motor+", "motor-")
        return again.across(red, black, self.amps)


def battery_branches(works: Works, minutes: float, charging: bool) -> list[Branch]:
    """The battery, and what charges it."""
    battery = works.battery
    found = [Branch("battery+", EARTH, battery.ohms(minutes), battery.resting())]
    if charging and works.charger > 0:
        found.append(Branch("battery+", EARTH, 3.0 / works.charger, CHARGE_VOLTS))
    return found


def switched_by_pressure(works: Works) -> bool:
    """Whether the pressure starts and stops the pump."""
    return works.calls_by == "pswitch" and not works.stuck.get("pswitch")


def stood(
    works: Works, condition: str, inside: bool, bad: bool = False, charging: bool = False
) -> State:
    """The rig once motor and water have settled, the relay in or out."""
    shut = condition in ("satisfied", "shut") and works.calls_by == "pswitch"
    paths = branches(works, condition, inside, bad)
    sources = battery_branches(works, 1.0 if condition != "rest" else 0.0, charging)
    solved = Net([*paths.values(), *sources], works.points).solved("motor+", "motor-")
    volts = solved.across("motor+", "motor-")
    outside = volts - solved.across("motor+", "motor-", 1.0)
    if condition == "unplugged" or works.motor.open:
        return State(solved, paths, 0.0, 0.0, 0.0, 0.0, 0.0)
    sign = 1.0 if volts >= 0 else -1.0
    motor, water = works.motor, works.water
    if works.crossed != works.battery.reversed:
        water = replace(water, chambers=water.chambers * motor.backwards)
    stall = motor.amps(abs(volts), outside, 0.0)
    against = works.low if works.calls_by == "pswitch" and not shut else 0.3 * water.rated
    speed = 0.0
    if motor.starts(abs(volts), outside, against * water.coupled):
        speed = motor.runs(abs(volts), outside, water, not shut)
    if speed < STANDS:
        through = None if motor.dead_spot else motor.ohms + motor.brush / motor.bend
        return State(solved, paths, sign * stall, sign * stall, 0.0, 0.0, 0.0, through)
    pressure = water.pressure(speed, not shut)
    if not shut and switched_by_pressure(works) and pressure >= works.high:
        water = replace(water, most=(works.low + works.high) / 2)
        speed = motor.runs(abs(volts), outside, water, True)
        pressure = water.most
    flow = 0.0 if shut else water.flow(pressure)
    amps = motor.amps(abs(volts), outside, speed)
    return State(solved, paths, sign * amps, sign * stall, speed, pressure, flow)


@dataclass(frozen=True)
class Operation:
    """One condition: the rig with its relay out and in, and how long it is in."""

    idle: State
    live: State
    habit: Habit

    @property
    def chatters(self) -> bool:
        return self.habit.chatters

    @property
    def turning(self) -> bool:
        return self.live.turning

    def mixed(self, of: Callable[[State], float]) -> tuple[float, float]:
        """Average of what is seen, and how far it jumps to either side."""
        live = of(self.live)
        if not self.chatters:
            return live, 0.0
        idle, share = of(self.idle), self.habit.inside
        return share * live + (1 - share) * idle, abs(live - idle) / 2


STEADY = Habit(1.0, 0.0)


def operate(works: Works, condition: str, bad: bool = False, charging: bool = False) -> Operation:
    """What relay and motor do once the condition holds."""
    out = stood(works, condition, False, bad, charging)
    if "coil" not in out.paths:
        return Operation(out, out, STEADY)
    coil, points = works.coil, ("relay.86", "relay.85")
    before = out.across(*points)
    if abs(before) < coil.pulls_at:
        return Operation(out, out, STEADY)
    inside = stood(works, condition, True, bad, charging)

    def held(up: float) -> float:
        drawn = inside.stall + (inside.amps - inside.stall) * up
        return inside.solved.across(*points, drawn)

    if min(abs(held(0.0)), abs(held(1.0))) >= coil.drops_at:
        return Operation(inside, inside, STEADY)
    gains = 1 / RUN_UP if inside.turning else 0.0
    habit = watch_armature(coil, before, held, lambda up: (1 - up) * gains)
    if habit.chatters:
        return Operation(out, inside, habit)
    last = inside if habit.inside > 0.5 else out
    return Operation(last, last, STEADY)


@dataclass
class Working:
    """A rig at work; every condition is settled once."""

    works: Works
    _known: dict[tuple[str, bool, bool], Operation] = field(default_factory=dict)

    def operation(self, condition: str, bad: bool = False, charging: bool = False) -> Operation:
        key = (condition, bad, charging)
        if key not in self._known:
            self._known[key] = self._settled(condition, bad, charging)
        return self._known[key]

    def _settled(self, condition: str, bad: bool, charging: bool) -> Operation:
        """Satisfied, a pressure switch opens only where its pressure is reached."""
        works = self.works
        if condition != "satisfied" or works.calls_by != "pswitch":
            return operate(works, condition, bad, charging)
        shut = operate(works, "shut", bad, charging)
        if works.stuck.get("pswitch") or not shut.turning or shut.live.pressure < works.high:
            return shut
        return operate(works, "satisfied", bad, charging)

    @property
    def cycles(self) -> bool:
        """Whether the pressure switch opens although water is drawn."""
        works, state = self.works, self.operation("calling").live
        if not switched_by_pressure(works) or not state.turning:
            return False
        held = state.pressure == (works.low + works.high) / 2
        return held or state.pressure * (1 + works.water.ripple) >= works.high
