"""Every failure mode of the vocabulary, as the trade knows it, done to a working rig.

Each has axes of its own, and a severity of any order of size from barely noticed to the end.
"""

from __future__ import annotations

from collections.abc import Mapping
from operator import mul, truediv

from tests.study.other_world import acts
from tests.study.other_world.acts import (
    Act,
    at_one,
    bad_joint,
    change,
    cut,
    either,
    every,
    join,
    joint,
    log_uniform,
    loose_joint,
    move,
    one_way,
    shows,
    starved,
    stick,
    uniform,
)
from tests.study.other_world.build import decades

FEEDS = ("lead", "feed_1", "feed_2", "feed_3")
THIN = ("tap", "control_1", "control_link", "control_2")

FAULTS: Mapping[str, Act] = {
    "battery-discharged": acts.run_down,
    "battery-not-charged": every(acts.run_down, change("charger", 0.0)),
    # Resistance and charge go their own ways; sometimes it is a link between two cells.
    "battery-aged": every(
        change("battery.charge", uniform(0.3, 1.0)),
        change("battery.left", log_uniform(0.05, 0.6)),
        either(
            0.1,
            change("battery.link", log_uniform(0.05, 100)),
            change("battery.age", log_uniform(3, 150)),
        ),
    ),
    "battery-shorted-cell": every(
        either(0.05, change("battery.dead_cells", 2), change("battery.dead_cells", 1)),
        change("battery.dead_ohms", log_uniform(0.001, 0.3)),
        change("battery.charge", uniform(0.2, 1.0)),
        change("battery.age", log_uniform(1, 4), mul),
    ),
    # A quarter of an hour to an hour and a half of pumping, met anywhere in it.
    "battery-undersized": every(
        change("battery.capacity", lambda w, r: max(w.amps * decades(r, 0.15, 1.5), 4.0)),
        change("battery.charge", uniform(-0.05, 0.95)),
        change("battery.fresh", 0.0),
    ),
    "battery-drained-at-rest": every(
        either(
            0.8,
            join("drain", "lug+", "lug-", log_uniform(4, 400)),
            join("drain", "fuse.out", "ground", log_uniform(4, 400)),
        ),
        one_way((0.7, acts.run_down)),
    ),
    # Every voltage changes sign; a receiver does not live through it.
    "battery-reversed": every(
        change("battery.reversed", True),
        change("battery.charge", uniform(0.2, 1.0)),
        one_way((0.7, cut("remote"))),
        one_way((0.3, change("main.open", True))),
    ),
    "terminal-positive-corroded": joint("post+", 0.1),
    "terminal-negative-corroded": joint("post-", 0.1),
    "terminal-positive-loose": joint("post+", 0.65),
    "terminal-negative-loose": joint("post-", 0.65),
    # Tired, cracked, or of an event that is over; a cracked one may still touch.
    "main-fuse-blown": either(0.08, loose_joint("main_fuse", 0.3), change("main.open", True)),
    "main-fuse-underrated": acts.underrated,
    "main-fuse-overrated": change("main.rating", log_uniform(1.4, 5), mul),
    "main-fuse-missing": every(change("main.bridged", True), one_way((0.3, bad_joint("holder")))),
    "fuse-holder-corroded": every(joint("holder", 0.15), acts.tired),
    "fuse-holder-loose": every(joint("holder", 0.4), acts.tired),
    "feed-wire-undersized": acts.thin,
    "feed-wire-open": at_one(FEEDS, cut),
    "feed-joint-resistive": at_one(FEEDS, bad_joint),
    "feed-intermittent": at_one(FEEDS, loose_joint),
    # Chafed through: when it moves, or for good; ahead of the fuse seldom.
    "feed-wire-shorted": either(
        0.3,
        change("main_flashes", True),
        at_one(
            ("fuse.out", "master.out", "motor+"),
            lambda point: join("short", point, "ground", log_uniform(0.01, 2)),
        ),
    ),
    "ground-resistive": acts.poor_ground,
    "ground-open": at_one(("return_1", "return_2"), cut),
    "master-switch-resistive": joint("master", 0.2),
    "master-switch-open": cut("master"),
    "hand-switch-open": either(0.25, bad_joint("hand"), cut("hand")),
    "left-switched-off": acts.left_off,
    # Burnt through; or it parts when warm or shaken.
    "relay-coil-open": either(0.2, loose_joint("coil", 0.1), cut("coil")),
    "relay-coil-shorted": either(
        0.6,
        join("shunt", "relay.86", "relay.85", log_uniform(0.03, 40)),
        every(
            change("coil.ohms", log_uniform(1.5, 30), truediv), change("coil.warm", uniform(30, 90))
        ),
    ),
    "relay-contacts-resistive": bad_joint("contact"),
    "relay-contacts-open": either(0.25, loose_joint("contact", 0.1), cut("contact")),
    "relay-contacts-welded": either(0.2, acts.lets_go("contact"), stick("contact", "closed")),
    "relay-underrated": one_way(
        (0.55, lambda works, random: works.add("contact", decades(random, 0.006, 1))),
        (0.8, stick("contact", "closed")),
        (1.0, acts.lets_go("contact")),
    ),
    "relay-high-draw-coil": every(
        change("coil.ohms", log_uniform(3, 20)), change("coil.warm", uniform(20, 80))
    ),
    # The very wires on the very wrong pins.
    "relay-miswired": one_way(
        (0.45, move("feed_3", a="relay.87a")),
        (0.75, every(move("feed_2", b="relay.86"), move("hand", b="relay.30"))),
        (1.0, either(0.3, move("coil_ground", a="relay.87a"), move("coil_ground", a="nowhere"))),
    ),
    # The terminal of 30, less often that of 87.
    "relay-socket-resistive": either(0.75, bad_joint("socket"), bad_joint("feed_3")),
    "relay-coil-ground-resistive": either(0.4, cut("coil_ground"), bad_joint("coil_ground")),
    "control-fuse-blown": change("control.open", True),
    "control-fuse-holder-corroded": bad_joint("control_holder"),
    "control-wire-open": at_one(THIN, lambda name: either(0.2, loose_joint(name), cut(name))),
    "control-joint-resistive": at_one(
        THIN, lambda name: either(0.25, loose_joint(name, 0.8), bad_joint(name))
    ),
    # To metal before the switches or after them, for good or at times.
    "control-wire-shorted": either(
        0.3,
        change("control_flashes", True),
        either(
            0.6,
            join("control_short", "cfuse.out", "ground", log_uniform(0.02, 3)),
            join("control_short", "relay.86", "ground", log_uniform(0.02, 3)),
        ),
    ),
    "control-miswired": one_way(
        (0.45, at_one(("relay.87", "nowhere"), lambda point: move("tap", a=point))),
        (0.75, at_one(("nowhere", "fuse.out"), lambda point: move("coil_ground", b=point))),
        (1.0, acts.beside_the_call),
    ),
    "control-diode-reversed": every(change("coil.diode", True), change("coil.diode_wrong", True)),
    "remote-no-output": either(0.3, bad_joint("remote"), cut("remote")),
    "remote-transmitter-dead": cut("remote"),
    "float-stuck-open": either(0.25, bad_joint("float"), stick("float", "open")),
    "float-stuck-closed": stick("float", "closed"),
    "float-inverted": change("float_upside_down", True),
    "pressure-switch-burnt": bad_joint("pswitch"),
    "pressure-switch-open": acts.switch_open,
    "pressure-switch-welded": either(
        0.2,
        acts.lets_go("pswitch"),
        every(stick("pswitch", "closed"), acts.by_hand(never_opens=0.95)),
    ),
    "pressure-switch-set-high": every(
        change("high", lambda w, r: w.water.bypass * float(r.uniform(1.0, 1.8))),
        change("low", lambda w, r: 0.75 * w.high),
    ),
    # Cut-out at the working pressure or below; or cut-in close under cut-out.
    "pressure-switch-narrow": every(
        change("high", lambda w, r: w.water.rated * float(r.uniform(0.6, 1.08))),
        change("low", lambda w, r: w.high * float(r.uniform(0.7, 0.96))),
    ),
    "pressure-switch-port-blocked": either(
        0.6, stick("pswitch", "closed"), stick("pswitch", "open")
    ),
    "pressure-switch-wet": one_way(
        (0.55, bad_joint("pswitch")), (0.8, acts.switch_open), (1.0, acts.wet)
    ),
    "motor-brushes-worn": every(
        acts.film(0.3, 100),
        either(
            0.3,
            change("motor.dead_spot", True),
            one_way((0.25, shows("pump-action", cuts_in_and_out=0.7, silent=0.1))),
        ),
    ),
    # A lead is off; or one coil of the armature, so that it limps and has dead spots.
    "motor-winding-open": either(
        0.7,
        change("motor.open", True),
        every(
            acts.film(0.4, 3),
            change("motor.k", 0.93, mul),
            one_way((0.35, change("motor.dead_spot", True))),
            shows("ohms-while-turned", jumps_at_one_place=0.75, jumps_anywhere=0.15),
            shows("motor-sound", sparking_at_brushes=0.5, grinding=0.1),
        ),
    ),
    "motor-winding-shorted": change("motor.shorted", log_uniform(0.04, 0.6)),
    "motor-seized": acts.jams,
    # Still open, or closed again; the load that heated it may be there to be seen.
    "motor-thermal-tripped": either(
        0.45,
        every(change("motor.open", True), change("motor.warm", uniform(90, 150))),
        every(
            change("motor.warm", uniform(45, 90)),
            change("trips", True),
            one_way((0.5, acts.rubs(0.1, 1))),
        ),
    ),
    "motor-leaks-to-case": join("case", "motor+", "ground", log_uniform(0.03, 3000)),
    "motor-reversed": change("crossed", True),
    "wrong-voltage-part": acts.wrong_voltage,
    "pump-head-jammed": acts.jams,
    # They leak back under work, hold a chamber, or let the pressure go when it stands.
    "pump-valves-fouled": one_way(
        (0.5, acts.valve("water.slip", 0.1, 10)),
        (
            0.75,
            change("water.chambers", lambda w, r: float(r.choice([0.67, 0.5, 0.33, 0.75])), mul),
        ),
        (1.0, acts.valve("water.drain", 1e-4, 0.1)),
    ),
    "pump-diaphragm-torn": change(
        "water.chambers", lambda w, r: 1 - min(decades(r, 0.02, 1.0), 0.98), mul
    ),
    "pump-bypass-open": every(
        change("water.bypass", lambda w, r: w.water.rated * float(r.uniform(0.05, 1.25))),
        change("water.bypass_wide", log_uniform(0.7, 5), mul),
    ),
    "pump-housing-cracked": either(
        0.6,
        every(acts.leaks("water.head_leak", 1e-4), shows("leak-look", at_pump=0.88)),
        change("water.head_air", log_uniform(0.06, 1)),
    ),
    "pump-drive-worn": either(
        0.15,
        every(change("water.coupled", 0.0), shows("motor-turns-by-hand", free=0.95)),
        every(
            change("water.chambers", lambda w, r: 1 - decades(r, 0.05, 0.6), mul),
            acts.rubs(0.05, 0.6),
        ),
    ),
    "suction-air-leak": change("water.air", log_uniform(0.06, 1)),
    "suction-strainer-clogged": starved(1.05, 60),
    "suction-hose-collapsed": starved(1.05, 60),
    "suction-frozen": starved(1.3, 300),  # ice, from slush to a plug
    # Empty, drawing air, its valve shut, or without a vent.
    "supply-empty": one_way(
        (0.55, change("water.supply", 0.0)),
        (
            0.75,
            every(
                change("water.air", log_uniform(0.1, 1)), shows("supply-level", low=0.85, empty=0.1)
            ),
        ),
        (0.9, every(starved(1.3, 100), shows("supply-level", empty=0.8))),
        (
            1.0,
            every(
                starved(1.3, 100),
                shows("supply-level", empty=0.1),
                shows("flow-over-time", strong_then_weak=0.8),
            ),
        ),
    ),
    "outlet-blocked": every(
        change("water.nozzle", log_uniform(1.2, 300), truediv),
        either(
            0.65,
            every(shows("outlet-opened", at_the_nozzle=0.9), shows("nozzle-look", blocked=0.9)),
            every(shows("outlet-opened", further_back=0.9), shows("nozzle-look", blocked=0.08)),
        ),
    ),
    "nozzle-too-small": change("water.nozzle", log_uniform(1.2, 8), truediv),
    "nozzle-too-large": change("water.nozzle", log_uniform(1.2, 6), mul),
    "outlet-leak": acts.leaks("water.leak", 1e-5),
    "accumulator-flat": every(
        change("water.cushion", log_uniform(5, 100), truediv),
        change("water.ripple", uniform(0.12, 0.4)),
    ),
}
"""What each failure mode does, by its id."""
