"""What can be done to a working rig: the acts of which faults are made.

An act takes a rig and the chance it is drawn by. Figures are estimates.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from math import inf, sqrt
from operator import add, mul

from diagnose.figures import shipped_figures
from tests.study.other_world.build import decades
from tests.study.other_world.parts import Loose, Random, Works
from tests.study.other_world.pump import LIFT

Act = Callable[[Works, Random], None]
Draw = Callable[[Works, Random], float]

POWER = (0.006, 30.0)
"""A joint under the pump's current, from barely noticed to eaten away [ohm]: 6 milliohm lose 0.1 V
at 15 A, and 30 ohm pass a meter only."""

CONTROL = (8.0, 5000.0)
"""A joint under a coil's current [ohm]: 8 ohm lose a volt, 5 kilohm pass a meter only."""

WIRES = ("feed_1", "feed_2", "feed_3", "return_1", "return_2")

POINTS = ("fuse.out", "master.out", "motor+", "relay.87", "nowhere")
"""Where a wire may be chafed or landed, on every rig."""

THIN = ("tap", "control", "coil", "hand", "remote")
"""Paths that carry no more than a coil takes, by how their names begin."""


def likely(random: Random, share: float) -> bool:
    return bool(random.random() < share)


def log_uniform(low: float, high: float) -> Draw:
    """Any order of size between two values."""
    return lambda works, random: decades(random, low, high)


def uniform(low: float, high: float) -> Draw:
    return lambda works, random: float(random.uniform(low, high))


def every(*acts: Act) -> Act:
    """One after the other."""

    def act(works: Works, random: Random) -> None:
        for one in acts:
            one(works, random)

    return act


def one_way(*ways: tuple[float, Act]) -> Act:
    """The first of these acts whose share, added up, is above a chance drawn once; else none."""

    def act(works: Works, random: Random) -> None:
        drawn = random.random()
        chosen = next((one for up_to, one in ways if drawn < up_to), None)
        if chosen:
            chosen(works, random)

    return act


def either(share: float, first: Act, other: Act) -> Act:
    return one_way((share, first), (inf, other))


def at_one(places: Sequence[str], act_at: Callable[[str], Act]) -> Act:
    """The same act at one of the points or paths that the rig has."""

    def act(works: Works, random: Random) -> None:
        there = [name for name in places if works.has(name) or name in POINTS]
        act_at(str(random.choice(there)))(works, random)

    return act


def cut(name: str) -> Act:
    return lambda works, random: works.cut(name)


def move(name: str, a: str | None = None, b: str | None = None) -> Act:
    """A wire's end landed on another point."""
    return lambda works, random: works.move(name, a, b)


def stick(name: str, how: str) -> Act:
    """A contact that no longer moves: "open" or "closed"."""
    return lambda works, random: works.stuck.__setitem__(name, how)


def join(name: str, a: str, b: str, ohms: Draw) -> Act:
    return lambda works, random: works.join(name, a, b, ohms(works, random))


def shows(observation: str, **shares: float) -> Act:
    """What a fault makes people find: answers of an observation, with _ for -."""
    found = {option.replace("_", "-"): share for option, share in shares.items()}
    return lambda works, random: works.signs.__setitem__(observation, dict(found))


def change(
    of: str, drawn: Draw | float, by: Callable[[float, float], float] = lambda _, new: new
) -> Act:
    """A value of a part, such as motor.film: put in its place, or changed by an operator."""
    part, _, name = of.rpartition(".")

    def act(works: Works, random: Random) -> None:
        owner = getattr(works, part) if part else works
        new = drawn(works, random) if callable(drawn) else drawn
        setattr(owner, name, by(getattr(owner, name), new))

    return act


def bad_joint(name: str) -> Act:
    """A film, a crust, a burnt face: any resistance."""

    def act(works: Works, random: Random) -> None:
        works.add(name, decades(random, *(POWER if _carries_motor(works, name) else CONTROL)))

    return act


def loose_joint(name: str, quick: float = 0.5) -> Act:
    """A joint that makes and breaks; quick: how often it flutters as the pump shakes."""

    def act(works: Works, random: Random) -> None:
        low, high = (0.5, 1000.0) if _carries_motor(works, name) else (40.0, 5000.0)
        bad = decades(random, low, high) if likely(random, 0.4) else inf
        works.signs["time-pattern"] = {"at-random-with-movement": 0.75}
        works.loose = Loose(name, bad, float(random.uniform(0.15, 0.9)), likely(random, quick))

    return act


def _carries_motor(works: Works, name: str) -> bool:
    if works.rig.has_relay and name in ("pswitch", "float"):
        return False
    return not name.startswith(THIN)


def joint(name: str, loose: float) -> Act:
    """Bad, or in this share of cases loose."""
    return either(loose, loose_joint(name), bad_joint(name))


def lets_go(path: str) -> Act:
    """It stuck and has let go again; what it did is remembered."""
    stuck_once = shows("pump-when-satisfied", keeps_running=0.7)
    return every(lambda works, random: works.add(path, 0.003), stuck_once)


def rated_flow(works: Works) -> float:
    return works.water.nozzle * sqrt(works.water.rated)


def film(low: float, high: float) -> Act:
    """Ohms of brushes and commutator, by those of the winding."""
    return change("motor.film", lambda w, r: w.motor.winding * decades(r, low, high), add)


def rubs(low: float, high: float) -> Act:
    """Friction, by the torque of the working pressure."""
    return change(
        "motor.rub", lambda w, r: w.motor.push * w.water.rated * decades(r, low, high), add
    )


def leaks(of: str, low: float) -> Act:
    """A leak, by what the nozzle passes."""
    return change(of, lambda w, r: w.water.nozzle * decades(r, low, 1), add)


def valve(of: str, low: float, high: float) -> Act:
    """A valve that lets water back, by what goes out."""
    return change(of, lambda w, r: rated_flow(w) / w.water.rated * decades(r, low, high), add)


def starved(least: float, most: float) -> Act:
    """A suction that passes no more than a part of the flow."""

    def drag(works: Works, random: Random) -> float:
        flow = rated_flow(works) / decades(random, least, most)
        return max(LIFT - works.water.lift, 0.1) / flow**2

    return change("water.drag", drag)


tired = change("main.tired", uniform(0.85, 1.0))
by_hand = partial(shows, "pressure-switch-by-hand")
switch_open = every(stick("pswitch", "open"), by_hand(never_closes=0.95))
jams = either(0.6, change("motor.locked", True), rubs(0.2, 6))
run_down = every(  # from a third left to past empty; and of any age besides
    change("battery.charge", lambda w, r: 0.42 - decades(r, 0.06, 0.52)),
    change("battery.age", log_uniform(1, 2), mul),
    change("battery.fresh", 0.0),
)


def underrated(works: Works, random: Random) -> None:
    usual = shipped_figures().table("blade-fuse-ratings").column("rating")
    small = [one for one in usual if 0.3 * works.amps <= one <= 1.05 * works.amps]
    works.main.rating = float(random.choice(small or [0.8 * works.amps]))
    works.main.tired = float(random.uniform(0.8, 1.0))


def thin(works: Works, random: Random) -> None:
    """Three to ten gauge numbers too thin, all the way or in an extension."""
    times = decades(random, 2, 10)
    for name in WIRES if likely(random, 0.65) else ("feed_3", "return_1"):
        works.put(name, works.ohms(name) * times)


def poor_ground(works: Works, random: Random) -> None:
    """At the stud, on either leg, or on both."""
    legs = [["return_1"], ["return_2"], ["return_1", "return_2"]]
    for leg in legs[int(random.choice(3, p=[0.45, 0.45, 0.1]))]:
        bad_joint(leg)(works, random)


def left_off(works: Works, random: Random) -> None:
    """Isolator, own switch or receiver off; a gun not opened leaves the pressure switch open."""
    shares = {"master": 0.55, "hand": 0.25, "remote": 0.2, "pswitch": 0.1}
    if not works.rig.has_relay:
        shares.pop("hand")
    left = {name: share for name, share in shares.items() if works.has(name)}
    odds = [share / sum(left.values()) for share in left.values()]
    works.cut(str(random.choice(list(left), p=odds)))


def beside_the_call(works: Works, random: Random) -> None:
    path = works.paths[works.calls_by]
    works.join("bypass", path.a, path.b, 0.05)


def wet(works: Works, random: Random) -> None:
    """Water conducts beside the open contact."""
    path, relay = works.paths["pswitch"], works.rig.has_relay
    low, high = (3, CONTROL[1] / 10) if relay else (0.3, 100)
    works.join("residue", path.a, path.b, decades(random, low, high))


def wrong_voltage(works: Works, random: Random) -> None:
    """A motor or relay for 24 V, or a motor for 6 V, of the same power."""
    if works.rig.has_relay and likely(random, 0.4):
        works.coil.ohms *= 4
        works.coil.pull *= 2
        works.coil.drop *= 2
        return
    times = 2.0 if likely(random, 0.75) else 0.5
    works.motor.k *= times
    works.motor.winding *= times**2
    works.motor.bend /= times
