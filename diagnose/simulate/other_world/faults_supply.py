"""What fails between the battery and the pump's switch: battery, fuse, wires, ground."""

from __future__ import annotations

from diagnose.figures import shipped_figures
from diagnose.simulate.other_world.build import Random, decades
from diagnose.simulate.other_world.faults import bad_joint, fault, likely, loosened, one_of
from diagnose.simulate.other_world.parts import Works

FEEDS = ["lead", "feed_1", "feed_2", "feed_3"]
WIRES = ["feed_1", "feed_2", "feed_3", "return_1", "return_2"]


def _run_down(works: Works, random: Random) -> None:
    """Emptied, from a third left to past empty; and of any age besides."""
    works.battery.charge = 0.42 - decades(random, 0.06, 0.52)
    works.battery.age *= decades(random, 1, 2)
    works.battery.fresh = 0.0


@fault("battery-discharged")
def _discharged(works: Works, random: Random) -> None:
    _run_down(works, random)


@fault("battery-not-charged")
def _not_charged(works: Works, random: Random) -> None:
    _run_down(works, random)
    works.charger = 0.0


@fault("battery-aged")
def _aged(works: Works, random: Random) -> None:
    """Resistance and charge go their own ways; sometimes it is a link between two cells."""
    battery = works.battery
    battery.charge = float(random.uniform(0.3, 1.0))
    battery.left = decades(random, 0.05, 0.6)
    if likely(random, 0.1):
        battery.link = decades(random, 0.05, 100)
    else:
        battery.age = decades(random, 3, 150)


@fault("battery-shorted-cell")
def _shorted_cell(works: Works, random: Random) -> None:
    battery = works.battery
    battery.dead_cells = 2 if likely(random, 0.05) else 1
    battery.dead_ohms = decades(random, 0.001, 0.3)
    battery.charge = float(random.uniform(0.2, 1.0))
    battery.age *= decades(random, 1, 4)


@fault("battery-undersized")
def _undersized(works: Works, random: Random) -> None:
    """A quarter of an hour to an hour and a half of pumping, met anywhere in it."""
    battery = works.battery
    battery.capacity = max(works.amps * decades(random, 0.15, 1.5), 4.0)
    battery.charge = float(random.uniform(-0.05, 0.95))
    battery.fresh = 0.0


@fault("battery-drained-at-rest")
def _drained(works: Works, random: Random) -> None:
    at = "lug+" if likely(random, 0.8) else "fuse.out"
    works.join("drain", at, "lug-" if at == "lug+" else "ground", decades(random, 4, 400))
    if likely(random, 0.7):
        _run_down(works, random)


@fault("battery-reversed")
def _reversed(works: Works, random: Random) -> None:
    """Every voltage changes sign; a receiver does not live through it."""
    works.battery.reversed = True
    works.battery.charge = float(random.uniform(0.2, 1.0))
    if likely(random, 0.7):
        works.cut("remote")
    if likely(random, 0.3):
        works.main.open = True


def _post(works: Works, random: Random, name: str, loose: float) -> None:
    if likely(random, loose):
        loosened(works, random, name)
    else:
        bad_joint(works, random, name)


@fault("terminal-positive-corroded")
def _post_plus(works: Works, random: Random) -> None:
    _post(works, random, "post+", 0.1)


@fault("terminal-negative-corroded")
def _post_minus(works: Works, random: Random) -> None:
    _post(works, random, "post-", 0.1)


@fault("terminal-positive-loose")
def _lug_plus(works: Works, random: Random) -> None:
    _post(works, random, "post+", 0.65)


@fault("terminal-negative-loose")
def _lug_minus(works: Works, random: Random) -> None:
    _post(works, random, "post-", 0.65)


@fault("main-fuse-blown")
def _blown(works: Works, random: Random) -> None:
    """Tired, cracked, or of an event that is over; a cracked one may still touch."""
    if likely(random, 0.08):
        loosened(works, random, "main_fuse", quick=0.3)
    else:
        works.main.open = True


@fault("main-fuse-underrated")
def _underrated(works: Works, random: Random) -> None:
    running = works.amps
    usual = shipped_figures().table("blade-fuse-ratings").column("rating")
    small = [one for one in usual if 0.3 * running <= one <= 1.05 * running]
    works.main.rating = float(random.choice(small or [0.8 * running]))
    works.main.tired = float(random.uniform(0.8, 1.0))


@fault("main-fuse-overrated")
def _overrated(works: Works, random: Random) -> None:
    works.main.rating *= decades(random, 1.4, 5)


@fault("main-fuse-missing")
def _missing(works: Works, random: Random) -> None:
    works.main.bridged = True
    if likely(random, 0.3):
        bad_joint(works, random, "holder")


@fault("fuse-holder-corroded")
def _holder(works: Works, random: Random) -> None:
    if likely(random, 0.15):
        loosened(works, random, "holder")
    else:
        bad_joint(works, random, "holder")
    works.main.tired = float(random.uniform(0.85, 1.0))


@fault("fuse-holder-loose")
def _grip(works: Works, random: Random) -> None:
    if likely(random, 0.4):
        loosened(works, random, "holder")
    else:
        bad_joint(works, random, "holder")
    works.main.tired = float(random.uniform(0.85, 1.0))


@fault("feed-wire-undersized")
def _thin(works: Works, random: Random) -> None:
    """Three to ten gauge numbers too thin, all the way or in an extension."""
    thin = decades(random, 2, 10)
    names = WIRES if likely(random, 0.65) else ["feed_3", "return_1"]
    for name in names:
        works.put(name, works.ohms(name) * thin)


def _feeds(works: Works) -> list[str]:
    return [name for name in FEEDS if works.has(name)]


@fault("feed-wire-open")
def _parted(works: Works, random: Random) -> None:
    works.cut(one_of(random, _feeds(works)))


@fault("feed-joint-resistive")
def _joint(works: Works, random: Random) -> None:
    bad_joint(works, random, one_of(random, _feeds(works)))


@fault("feed-intermittent")
def _intermittent(works: Works, random: Random) -> None:
    loosened(works, random, one_of(random, _feeds(works)))


@fault("feed-wire-shorted")
def _shorted(works: Works, random: Random) -> None:
    """Chafed through: for good, or when it moves; ahead of the fuse seldom."""
    if likely(random, 0.3):
        works.main_flashes = True
        return
    at = one_of(random, ["fuse.out", "master.out", "motor+"])
    works.join("short", at, "ground", decades(random, 0.01, 2))


@fault("ground-resistive")
def _ground(works: Works, random: Random) -> None:
    """At the stud, on either leg, or on both."""
    legs = [["return_1"], ["return_2"], ["return_1", "return_2"]]
    for leg in legs[int(random.choice(3, p=[0.45, 0.45, 0.1]))]:
        bad_joint(works, random, leg)


@fault("ground-open")
def _no_ground(works: Works, random: Random) -> None:
    works.cut(one_of(random, ["return_1", "return_2"]))


@fault("master-switch-resistive")
def _master(works: Works, random: Random) -> None:
    _post(works, random, "master", 0.2)


@fault("master-switch-open")
def _no_master(works: Works, random: Random) -> None:
    works.cut("master")
