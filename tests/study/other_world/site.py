"""A faulty rig as somebody meets it: what its fuses did, what is hot, how it was when well."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from math import exp

from tests.study.other_world.build import COPPER
from tests.study.other_world.operation import Operation, State, Working
from tests.study.other_world.parts import Random, Works

KELVIN_A_WATT = {
    "fuse-holder": 9.0,
    "relay": 9.0,
    "pressure-switch": 10.0,
    "master-switch": 8.0,
    "joint": 14.0,
    "wire": 7.0,
}
"""Rise in the long run [K/W]; of a wire for each watt a metre. A contact of 20 W is burnt within
minutes and one of 2 W is warm (trade practice); estimates."""

TWO_THIRDS = {
    "fuse-holder": 1.5,
    "relay": 3.0,
    "pressure-switch": 3.0,
    "master-switch": 3.0,
    "joint": 1.0,
    "wire": 2.5,
    "motor": 14.0,
}
"""Minutes to two thirds of that; estimates."""

HAND = 60.0
"""Too hot to keep a hand on [degC]; the touch test of the trade."""

WARM = 12.0
"""Rise over the air from which a hand says warm [K]; estimate."""

BROWNS = 180.0
"""Nylon browns [degC]; it melts at 220 to 262 (published; browning is common practice)."""


CHARRED = 320.0
"""Nothing of plastic gets hotter than this by much before it fails [K]; estimate."""


def rise(part: str, watts: float, minutes: float, kelvin: float | None = None) -> float:
    """Rise over the air [K] after so many minutes."""
    steady = watts * (KELVIN_A_WATT[part] if kelvin is None else kelvin)
    steady = CHARRED * (1 - exp(-steady / CHARRED))
    return steady * (1 - exp(-minutes / TWO_THIRDS[part]))


HOLDS, AT_ONCE, AT_START = "holds", "blows-at-once", "blows-at-start"
MINUTES, DAYS, UNSEEN = "blows-after-minutes", "blows-after-days", "blew-unseen"
"""What a main fuse has done, in the words of the vocabulary."""

PATIENCE = 10.0
"""How long people leave a pump on that does not turn [s]; estimate."""

SURGE = 0.05
"""Time for which the surge of a starting motor heats a fuse as if it stood still [s]: about half of
the 30 to 200 ms that it lasts (from memory)."""

LONG = 25.0
"""Minutes of work after which parts are as hot as they get; estimate."""

ENDED = 0.02
"""Minutes of heat that a fuse lets pass which blows at once; estimate."""

TURNED = 0.4
"""Minutes for which a pump that stands is left on, in all; estimate."""

LAMP = 3.0
"""Volts below which nobody calls another load alive; estimate."""


@dataclass
class Site:
    """works: as it is met; whole: the same with its fuses as they were before; sound: before the
    fault; main, control: what the fuses have done; parted: the loose path is parted at first."""

    works: Works
    whole: Works
    sound: Works
    main: str
    control: str
    parted: bool = False
    _trials: dict[str, Working] = field(default_factory=dict)

    @cached_property
    def working(self) -> Working:
        return Working(self.works)

    @cached_property
    def before(self) -> Working:
        return Working(self.whole)

    @cached_property
    def well(self) -> Working:
        return Working(self.sound)

    def trial(self, name: str, works: Works) -> Working:
        """A try at the rig, settled once."""
        if name not in self._trials:
            self._trials[name] = Working(works)
        return self._trials[name]

    @property
    def flutters(self) -> bool:
        """A path makes and breaks as the pump shakes, and the pump is fed through it."""
        loose, made = self.works.loose, self.working.operation("calling")
        if loose is None or not loose.quick or not made.turning:
            return False
        parted = self.working.operation("calling", True)
        return parted.live.speed < 0.75 * made.live.speed

    def speed(self, state: State) -> float:
        """Speed over that of this very rig when it was well."""
        return state.speed / self.well.operation("calling").live.speed

    def flow(self, state: State) -> float:
        """Flow over that of this very rig when it was well."""
        return state.flow / self.well.operation("calling").live.flow

    def heat(self, part: str, bad: bool = False) -> float:
        """Temperature of a part after work as it is met [degC]."""
        operation = self.working.operation("calling", bad)
        found = temperatures(self.works, self.sound, operation)
        return found.get(part, self.works.air)

    @cached_property
    def worst(self) -> dict[str, float]:
        """How hot parts have been before a fuse or a person ended it [degC]."""
        minutes = {AT_ONCE: ENDED, AT_START: ENDED, MINUTES: 10.0}.get(self.main, LONG)
        if self.control == AT_ONCE:
            minutes = ENDED
        return temperatures(self.whole, self.sound, self.before.operation("calling"), minutes)


def temperatures(
    works: Works, sound: Works, operation: Operation, minutes: float | None = None
) -> dict[str, float]:
    """Temperature of each part that is felt, after so many minutes of work [degC]."""
    state = operation.live
    share = operation.habit.inside if operation.chatters else 1.0
    time = works.minutes if minutes is None else minutes
    if not state.turning and abs(state.amps) > 0.3 * works.amps:
        time = min(time, TURNED if minutes is None else 3 * TURNED)

    def watts(*names: str) -> float:
        paths = (name for name in names if name in state.paths)
        return share * sum(state.through(n) ** 2 * state.paths[n].ohms for n in paths)

    parts = {
        "fuse-holder": watts("holder", "main_fuse"),
        "relay": watts("contact", "socket", "rest_contact", "coil", "shunt"),
        "pressure-switch": watts("pswitch", "residue"),
        "master-switch": watts("master"),
    }
    found = {
        part: works.air + works.kelvin * rise(part, heat, time) for part, heat in parts.items()
    }
    found["wire"] = works.air + works.kelvin * _wire(works, sound, state, share, time)
    found["motor"] = works.air + works.kelvin * _motor(works, state, share, time)
    return found


WIRES = ("lead", "feed_1", "feed_2", "feed_3", "return_1", "return_2")


def _wire(works: Works, sound: Works, state: State, share: float, time: float) -> float:
    """Rise of the hottest place along the wires: the copper itself, or a bad joint in it."""
    metre = COPPER / works.rig.wire_area
    hottest = 0.0
    for name in WIRES:
        if name not in state.paths or not sound.has(name):
            continue
        squared = share * state.through(name) ** 2
        spot = works.spots.get(name, 0.0)
        thin = (works.ohms(name) - spot) / sound.ohms(name)
        along = rise("wire", squared * metre * thin, time)
        hottest = max(hottest, along, rise("joint", squared * spot, time))
    return hottest


def _motor(works: Works, state: State, share: float, time: float) -> float:
    """Rise of the motor's body: what goes in and does not come out at the shaft."""
    taken = abs(state.across("motor+", "motor-") * state.amps)
    given = works.motor.strength * state.speed * abs(state.amps)
    kelvin = 50 / (0.35 * 12 * works.amps)
    lost = max(taken - given, 0.0) + 0.15 * given
    return rise("motor", share * lost, time, kelvin) + 0.4 * (works.motor.warm - 20)


def met(works: Works, sound: Works, random: Random) -> Site:
    """The rig once its fuses have done what they do, found before or after."""
    whole, found = works.copy(), works.copy()
    control, control_quick = control_story(works)
    fed = works.copy()
    fed.control.open |= control_quick  # the small fuse goes first
    main, quick = main_story(fed, sound)
    gone = {AT_ONCE: 0.7, AT_START: 0.7, MINUTES: 0.55, DAYS: 0.4}.get(main, 0.0)
    if quick or random.random() < gone:
        found.main.open = True
    if control_quick or (control != HOLDS and random.random() < 0.6):
        found.control.open = True
    loose = works.loose
    parted = loose is not None and bool(random.random() > loose.share)
    return Site(found, whole, sound, main, control, parted)


def main_story(works: Works, sound: Works) -> tuple[str, bool]:
    """What the main fuse does, and whether so quickly that nobody meets it whole."""
    fuse, working = works.main, Working(works)
    if fuse.open:
        return UNSEEN, True
    if works.main_flashes:
        return DAYS, False
    waiting, calling = working.operation("satisfied"), working.operation("calling")
    idle = fuse.seconds(waiting.live.through("main_fuse"))
    if idle < PATIENCE and not _tries(waiting.live):
        return AT_ONCE, idle < 3
    state = calling.live
    share = calling.habit.inside**0.5 if calling.chatters else 1.0
    hot = temperatures(works, sound, calling, LONG)["fuse-holder"]
    start = fuse.seconds(state.through("main_fuse", state.stall))
    lasts = fuse.seconds(share * state.through("main_fuse"), min(hot, 140))
    if start < SURGE or lasts < PATIENCE:
        return (AT_START if _tries(state) else AT_ONCE), start < SURGE or lasts < 3
    if lasts < 2400 and (state.turning or lasts < 240):
        return MINUTES, False
    tired = fuse.weary(share * state.through("main_fuse"), min(hot, 140))
    return (DAYS if tired and state.turning else HOLDS), False


def _tries(state: State) -> bool:
    """Whether most of the current is that of a motor that tries to turn."""
    return abs(state.stall) > 0.5 * abs(state.through("main_fuse", state.stall))


def control_story(works: Works) -> tuple[str, bool]:
    """The same of the control fuse: holds, blows-at-once, blows-at-times."""
    fuse, working = works.control, Working(works)
    if not works.rig.has_relay:
        return HOLDS, False
    if works.control_flashes:
        return "blows-at-times", False
    if fuse.open:
        return "found-open", True
    states = [working.operation(c).live for c in ("satisfied", "calling")]
    drawn = [abs(state.through("control_fuse")) for state in states]
    drawn.append(abs(states[1].through("control_fuse", states[1].stall)))
    quickest = min(fuse.seconds(amps) for amps in drawn[:2])
    if quickest < PATIENCE or fuse.seconds(drawn[2]) < SURGE:
        return AT_ONCE, True
    if quickest < 3600 or fuse.weary(max(drawn[:2])):
        return "blows-at-times", False
    return HOLDS, False
