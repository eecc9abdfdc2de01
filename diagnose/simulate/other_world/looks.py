"""What a fault adds to what is seen and told: how often in the trade.

Every figure is an estimate from trade practice, made apart from the book. Answers that a fault does
not name share what it leaves as they are on any rig.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.simulate.other_world.usual import Looks

CORRODED = {"corroded": 0.85, "loose": 0.04}
SUDDEN = {"suddenly": 0.75, "gradually": 0.08}
SLOW = {"gradually": 0.75, "suddenly": 0.1}
WORK = {"after-work-on-it": 0.6, "new-rig": 0.25, "suddenly": 0.1}
MOVED = {"at-random-with-movement": 0.7}
FADES = {"fades-over-hours": 0.55}
WET = {"when-wet": 0.3}

LOOKS: Mapping[str, Looks] = {
    "battery-discharged": {
        "time-pattern": FADES,
        "last-charge": {"not-since": 0.7},
        "onset": SLOW,
    },
    "battery-not-charged": {
        "time-pattern": FADES,
        "last-charge": {"never-full": 0.7, "not-since": 0.1},
        "onset": SLOW,
    },
    "battery-aged": {
        "time-pattern": {"fades-over-hours": 0.4, "after-standing": 0.15},
        "last-charge": {"soon-empty": 0.7, "never-full": 0.08},
        "battery-look": {"swollen": 0.1, "wet-or-crusted": 0.15},
        "onset": SLOW,
    },
    "battery-shorted-cell": {
        "last-charge": {"never-full": 0.45, "soon-empty": 0.35},
        "battery-look": {"hot-or-hissing": 0.15, "swollen": 0.15, "wet-or-crusted": 0.2},
        "smell": {"rotten-egg": 0.3},
        "onset": SUDDEN,
    },
    "battery-undersized": {
        "time-pattern": {"fades-over-hours": 0.75},
        "last-charge": {"as-ever": 0.65, "soon-empty": 0.2},
        "onset": {"new-rig": 0.6, "after-work-on-it": 0.2},
    },
    "battery-drained-at-rest": {
        "time-pattern": {"after-standing": 0.7},
        "last-charge": {"empty-after-standing": 0.75},
        "onset": {"gradually": 0.4, "after-work-on-it": 0.25, "after-long-storage": 0.15},
    },
    "battery-reversed": {
        "connected-reversed": {"battery": 0.85},
        "smell-where": {"relay": 0.25, "wire": 0.3},
        "onset": {"after-work-on-it": 0.85},
        "smoke": {"seen": 0.1},
    },
    "terminal-positive-corroded": {"terminals-look": CORRODED, "onset": SLOW},
    "terminal-negative-corroded": {"terminals-look": CORRODED, "onset": SLOW},
    "terminal-positive-loose": {
        "terminals-look": {"loose": 0.85},
        "time-pattern": {"at-random-with-movement": 0.5},
        "onset": {"suddenly": 0.5, "after-work-on-it": 0.35},
    },
    "terminal-negative-loose": {
        "terminals-look": {"loose": 0.85},
        "time-pattern": {"at-random-with-movement": 0.5},
        "onset": {"suddenly": 0.5, "after-work-on-it": 0.35},
    },
    "main-fuse-blown": {"connected-reversed": {"battery": 0.06}, "onset": SUDDEN},
    "main-fuse-underrated": {"onset": WORK, "main-fuse-marking": {"smaller": 0.93}},
    "main-fuse-overrated": {"onset": WORK, "main-fuse-marking": {"larger": 0.93}},
    "main-fuse-missing": {"onset": WORK, "main-fuse-marking": {"no-fuse": 0.95}},
    "fuse-holder-corroded": {
        "fuse-holder-look": {"corroded": 0.75, "melted-or-discoloured": 0.1},
        "time-pattern": WET,
        "onset": SLOW,
    },
    "fuse-holder-loose": {
        "fuse-holder-look": {"loose": 0.6, "melted-or-discoloured": 0.2},
        "time-pattern": {"at-random-with-movement": 0.4, "after-minutes-until-cool": 0.1},
    },
    "feed-wire-undersized": {"onset": {"new-rig": 0.65, "after-work-on-it": 0.25}},
    "feed-wire-open": {
        "wiring-look": {"chafed": 0.25, "green-strands": 0.2, "bad-crimp": 0.2},
        "onset": SUDDEN,
    },
    "feed-joint-resistive": {
        "wiring-look": {"green-strands": 0.35, "bad-crimp": 0.4},
        "onset": SLOW,
    },
    "feed-intermittent": {
        "wiring-look": {"chafed": 0.2, "green-strands": 0.2, "bad-crimp": 0.35},
        "time-pattern": MOVED,
    },
    "feed-wire-shorted": {
        "wiring-look": {"chafed": 0.75},
        "smoke": {"seen": 0.15},
        "smell": {"burnt": 0.3},
        "onset": SUDDEN,
    },
    "ground-resistive": {"ground-look": {"corroded": 0.6, "loose": 0.2}, "onset": SLOW},
    "ground-open": {
        "ground-look": {"loose": 0.35, "corroded": 0.3},
        "wiring-look": {"green-strands": 0.2, "bad-crimp": 0.25},
        "onset": SUDDEN,
    },
    "master-switch-resistive": {"onset": SLOW},
    "master-switch-open": {"onset": SUDDEN},
    "left-switched-off": {
        "switched-on": {"was-off": 0.94},
        "onset": {"suddenly": 0.5, "after-work-on-it": 0.25, "after-long-storage": 0.1},
    },
    "hand-switch-open": {"onset": SUDDEN},
    "relay-coil-open": {"onset": SUDDEN},
    "relay-coil-shorted": {
        "connected-reversed": {"battery": 0.08},
        "onset": SUDDEN,
        "smell": {"burnt": 0.25},
    },
    "relay-contacts-resistive": {"onset": SLOW},
    "relay-contacts-open": {"onset": SUDDEN},
    "relay-contacts-welded": {"onset": SUDDEN},
    "relay-underrated": {"onset": {"gradually": 0.3, "new-rig": 0.3, "after-work-on-it": 0.25}},
    "relay-high-draw-coil": {"onset": WORK},
    "relay-miswired": {"onset": WORK},
    "relay-socket-resistive": {
        "relay-socket-look": {"burnt": 0.55, "corroded": 0.25},
        "onset": SLOW,
    },
    "relay-coil-ground-resistive": {
        "relay-socket-look": {"corroded": 0.2},
        "wiring-look": {"green-strands": 0.25, "bad-crimp": 0.25},
    },
    "control-fuse-blown": {"connected-reversed": {"battery": 0.08}, "onset": SUDDEN},
    "control-fuse-holder-corroded": {"time-pattern": WET, "onset": SLOW},
    "control-wire-open": {
        "wiring-look": {"chafed": 0.3, "green-strands": 0.2, "bad-crimp": 0.2},
        "onset": SUDDEN,
    },
    "control-joint-resistive": {
        "wiring-look": {"green-strands": 0.4, "bad-crimp": 0.25},
        "time-pattern": {"at-random-with-movement": 0.2, "when-wet": 0.2},
        "onset": SLOW,
    },
    "control-wire-shorted": {
        "wiring-look": {"chafed": 0.7},
        "time-pattern": {"at-random-with-movement": 0.3, "when-wet": 0.15},
        "onset": SUDDEN,
    },
    "control-miswired": {"onset": WORK},
    "control-diode-reversed": {"connected-reversed": {"battery": 0.06}, "onset": WORK},
    "remote-no-output": {"connected-reversed": {"battery": 0.08}, "onset": SUDDEN},
    "remote-transmitter-dead": {"remote-light": {"no-response": 0.92}, "onset": SUDDEN},
    "float-stuck-open": {"onset": SUDDEN},
    "float-stuck-closed": {"onset": SUDDEN},
    "float-inverted": {"onset": WORK},
    "pressure-switch-burnt": {"pressure-switch-look": {"burnt-or-melted": 0.7}, "onset": SLOW},
    "pressure-switch-open": {
        "pressure-switch-look": {"burnt-or-melted": 0.25},
        "onset": SUDDEN,
    },
    "pressure-switch-welded": {
        "pressure-switch-look": {"burnt-or-melted": 0.5},
        "onset": SUDDEN,
    },
    "pressure-switch-set-high": {"onset": WORK, "flow-over-time": {"slow-to-cut-out": 0.6}},
    "pressure-switch-narrow": {"onset": {"after-work-on-it": 0.5, "gradually": 0.25}},
    "pressure-switch-port-blocked": {
        "onset": {"gradually": 0.4, "after-long-storage": 0.25},
    },
    "pressure-switch-wet": {"pressure-switch-look": {"wet": 0.8}, "time-pattern": WET},
    "motor-brushes-worn": {
        "motor-sound": {"sparking-at-brushes": 0.4, "squealing": 0.15},
        "ohms-while-turned": {"jumps-anywhere": 0.7, "open-all-round": 0.1},
        "onset": SLOW,
    },
    "motor-winding-open": {
        "smell-where": {"motor": 0.75},
        "onset": SUDDEN,
        "ohms-while-turned": {"open-all-round": 0.9},
    },
    "motor-winding-shorted": {
        "smell-where": {"motor": 0.75},
        "smell": {"burnt": 0.5},
        "motor-sound": {"sparking-at-brushes": 0.3, "grinding": 0.1},
        "onset": {"suddenly": 0.4, "gradually": 0.4},
    },
    "motor-seized": {
        "onset": {"after-long-storage": 0.45, "suddenly": 0.25, "gradually": 0.2},
        "motor-sound": {"squealing": 0.35, "grinding": 0.3},
    },
    "motor-thermal-tripped": {
        "smell-where": {"motor": 0.75},
        "time-pattern": {"after-minutes-until-cool": 0.8},
        "smell": {"burnt": 0.15},
    },
    "motor-leaks-to-case": {"time-pattern": WET, "leak-look": {"at-pump": 0.4}},
    "motor-reversed": {"connected-reversed": {"motor-leads": 0.75}, "onset": WORK},
    "wrong-voltage-part": {"onset": WORK},
    "pump-head-jammed": {
        "onset": {"after-freezing": 0.25, "after-long-storage": 0.4, "suddenly": 0.25},
        "pump-head-opened": {"jammed": 0.9},
    },
    "pump-valves-fouled": {
        "pump-head-opened": {"valve-held-open": 0.88},
        "flow-over-time": {"slow-to-cut-out": 0.35},
        "onset": {"gradually": 0.5, "suddenly": 0.3},
    },
    "pump-diaphragm-torn": {
        "pump-head-opened": {"diaphragm-torn": 0.92},
        "leak-look": {"at-pump": 0.7},
        "onset": {"suddenly": 0.5, "gradually": 0.35},
    },
    "pump-bypass-open": {"flow-over-time": {"slow-to-cut-out": 0.6}},
    "pump-housing-cracked": {
        "onset": {"after-freezing": 0.5, "suddenly": 0.25},
        "pump-head-opened": {"cracked": 0.85},
        "leak-look": {"at-pump": 0.45},
    },
    "pump-drive-worn": {
        "pump-noise": {"rattles": 0.55, "louder": 0.25},
        "motor-sound": {"grinding": 0.7, "squealing": 0.1},
        "pump-head-opened": {"drive-worn": 0.85},
        "motor-turns-by-hand": {"stiff": 0.25},
        "onset": SLOW,
    },
    "suction-air-leak": {"onset": {"suddenly": 0.3, "gradually": 0.35, "after-work-on-it": 0.25}},
    "suction-strainer-clogged": {
        "strainer-look": {"clogged": 0.88},
        "flow-over-time": {"strong-then-weak": 0.55},
        "onset": SLOW,
    },
    "supply-empty": {"supply-level": {"empty": 0.93}, "onset": SUDDEN},
    "suction-frozen": {
        "onset": {"after-freezing": 0.85},
        "strainer-look": {"clogged": 0.3},
    },
    "suction-hose-collapsed": {
        "suction-hose-look": {"flat-or-kinked": 0.88},
        "flow-over-time": {"strong-then-weak": 0.65},
    },
    "outlet-blocked": {"onset": {"suddenly": 0.45, "gradually": 0.4}},
    "nozzle-too-small": {"onset": WORK, "outlet-opened": {"at-the-nozzle": 0.85}},
    "nozzle-too-large": {"onset": {"after-work-on-it": 0.4, "new-rig": 0.2, "gradually": 0.35}},
    "outlet-leak": {"leak-look": {"downstream": 0.88}, "onset": {"suddenly": 0.4}},
    "accumulator-flat": {"accumulator-charge": {"flat": 0.93}, "onset": SLOW},
}
"""What a fault adds, by failure mode."""
