"""What fails in motor, pump head and plumbing."""

from __future__ import annotations

from math import sqrt

from diagnose.simulate.other_world.build import Random, decades
from diagnose.simulate.other_world.faults import fault, likely
from diagnose.simulate.other_world.parts import Works
from diagnose.simulate.other_world.water import LIFT


def _rated_flow(works: Works) -> float:
    return works.water.nozzle * sqrt(works.water.rated)


def _work(works: Works) -> float:
    """Torque of the working pressure [N m]."""
    return works.motor.push * works.water.rated


@fault("motor-brushes-worn")
def _brushes(works: Works, random: Random) -> None:
    works.motor.film += works.motor.winding * decades(random, 0.3, 100)
    works.motor.dead_spot = likely(random, 0.3)
    if not works.motor.dead_spot and likely(random, 0.25):
        works.signs["pump-action"] = {"cuts-in-and-out": 0.7, "silent": 0.1}


@fault("motor-winding-open")
def _open(works: Works, random: Random) -> None:
    """A lead is off; or one coil of the armature, so that it limps and has dead spots."""
    if likely(random, 0.7):
        works.motor.open = True
        return
    works.motor.film += works.motor.winding * decades(random, 0.4, 3)
    works.motor.k *= 0.93
    works.motor.dead_spot = likely(random, 0.35)
    works.signs["ohms-while-turned"] = {"jumps-at-one-place": 0.75, "jumps-anywhere": 0.15}
    works.signs["motor-sound"] = {"sparking-at-brushes": 0.5, "grinding": 0.1}


@fault("motor-winding-shorted")
def _turns(works: Works, random: Random) -> None:
    works.motor.shorted = decades(random, 0.04, 0.6)


def _drags(works: Works, random: Random, locked: float) -> None:
    if likely(random, locked):
        works.motor.locked = True
    else:
        works.motor.rub += _work(works) * decades(random, 0.2, 6)


@fault("motor-seized")
def _seized(works: Works, random: Random) -> None:
    _drags(works, random, 0.6)


@fault("pump-head-jammed")
def _jammed(works: Works, random: Random) -> None:
    _drags(works, random, 0.6)


@fault("motor-thermal-tripped")
def _tripped(works: Works, random: Random) -> None:
    """Still open, or closed again; the load that heated it may be there to be seen."""
    if likely(random, 0.45):
        works.motor.open = True
        works.motor.warm = float(random.uniform(90, 150))
        return
    works.motor.warm = float(random.uniform(45, 90))
    works.trips = True
    if likely(random, 0.5):
        works.motor.rub += _work(works) * decades(random, 0.1, 1)


@fault("motor-leaks-to-case")
def _case(works: Works, random: Random) -> None:
    works.join("case", "motor+", "ground", decades(random, 0.03, 3000))


@fault("motor-reversed")
def _backwards(works: Works, random: Random) -> None:
    works.crossed = True


@fault("wrong-voltage-part")
def _voltage(works: Works, random: Random) -> None:
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


@fault("pump-valves-fouled")
def _valves(works: Works, random: Random) -> None:
    """They leak back under work, hold a chamber, or let the pressure go when it stands."""
    water, how = works.water, random.random()
    leak = _rated_flow(works) / water.rated
    if how < 0.5:
        water.slip += leak * decades(random, 0.1, 10)
    elif how < 0.75:
        water.chambers *= float(random.choice([0.67, 0.5, 0.33, 0.75]))
    else:
        water.drain += leak * decades(random, 1e-4, 0.1)


@fault("pump-diaphragm-torn")
def _torn(works: Works, random: Random) -> None:
    works.water.chambers *= 1 - min(decades(random, 0.02, 1.0), 0.98)


@fault("pump-bypass-open")
def _bypass(works: Works, random: Random) -> None:
    water = works.water
    water.bypass = water.rated * float(random.uniform(0.05, 1.25))
    water.bypass_wide *= decades(random, 0.7, 5)


@fault("pump-housing-cracked")
def _cracked(works: Works, random: Random) -> None:
    if likely(random, 0.6):
        works.water.head_leak += works.water.nozzle * decades(random, 1e-4, 1)
        works.signs["leak-look"] = {"at-pump": 0.88}
    else:
        works.water.head_air = decades(random, 0.06, 1)


@fault("pump-drive-worn")
def _drive(works: Works, random: Random) -> None:
    if likely(random, 0.15):
        works.water.coupled = 0.0
        works.signs["motor-turns-by-hand"] = {"free": 0.95}
        return
    works.water.chambers *= 1 - decades(random, 0.05, 0.6)
    works.motor.rub += _work(works) * decades(random, 0.05, 0.6)


@fault("suction-air-leak")
def _air(works: Works, random: Random) -> None:
    works.water.air = decades(random, 0.06, 1)


def _starved(works: Works, random: Random, least: float, most: float) -> None:
    """A suction that passes no more than a part of the flow."""
    flow = _rated_flow(works) / decades(random, least, most)
    works.water.drag = max(LIFT - works.water.lift, 0.1) / flow**2


@fault("suction-strainer-clogged")
def _strainer(works: Works, random: Random) -> None:
    _starved(works, random, 1.05, 60)


@fault("suction-hose-collapsed")
def _collapsed(works: Works, random: Random) -> None:
    _starved(works, random, 1.05, 60)


@fault("suction-frozen")
def _ice(works: Works, random: Random) -> None:
    """Ice in strainer, hose or valve, from slush to a plug."""
    _starved(works, random, 1.3, 300)


@fault("supply-empty")
def _dry(works: Works, random: Random) -> None:
    """Empty, drawing air, its valve shut, or without a vent."""
    how = random.random()
    if how < 0.55:
        works.water.supply = 0.0
    elif how < 0.75:
        works.water.air = decades(random, 0.1, 1)
        works.signs["supply-level"] = {"low": 0.85, "empty": 0.1}
    else:
        _starved(works, random, 1.3, 100)
        if how < 0.9:
            works.signs["supply-level"] = {"empty": 0.8}
        else:
            works.signs["supply-level"] = {"empty": 0.1}
            works.signs["flow-over-time"] = {"strong-then-weak": 0.8}


@fault("outlet-blocked")
def _blocked(works: Works, random: Random) -> None:
    works.water.nozzle /= decades(random, 1.2, 300)
    at = "at-the-nozzle" if likely(random, 0.65) else "further-back"
    works.signs["outlet-opened"] = {at: 0.9}
    seen = 0.9 if at == "at-the-nozzle" else 0.08
    works.signs["nozzle-look"] = {"blocked": seen}


@fault("nozzle-too-small")
def _small(works: Works, random: Random) -> None:
    works.water.nozzle /= decades(random, 1.2, 8)


@fault("nozzle-too-large")
def _large(works: Works, random: Random) -> None:
    works.water.nozzle *= decades(random, 1.2, 6)


@fault("outlet-leak")
def _leak(works: Works, random: Random) -> None:
    works.water.leak += works.water.nozzle * decades(random, 1e-5, 1)


@fault("accumulator-flat")
def _flat(works: Works, random: Random) -> None:
    works.water.cushion /= decades(random, 5, 100)
    works.water.ripple = float(random.uniform(0.12, 0.4))
