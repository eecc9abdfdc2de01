"""What is seen and told of any rig, whatever its fault: how often in the trade.

Every figure is an estimate from trade practice, made apart from the book.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.simulate.other_world.parts import Shares

Looks = Mapping[str, Shares]

ANY: Looks = {
    "terminals-look": {"clean-and-tight": 0.72, "corroded": 0.21, "loose": 0.07},
    "battery-look": {
        "normal": 0.9,
        "swollen": 0.012,
        "wet-or-crusted": 0.085,
        "hot-or-hissing": 0.003,
    },
    "last-charge": {
        "as-ever": 0.72,
        "soon-empty": 0.06,
        "empty-after-standing": 0.04,
        "never-full": 0.03,
        "not-since": 0.15,
    },
    "relay-socket-look": {"clean": 0.84, "corroded": 0.12, "burnt": 0.04},
    "pressure-switch-look": {"clean": 0.9, "burnt-or-melted": 0.04, "wet": 0.06},
    "wiring-look": {"sound": 0.76, "chafed": 0.08, "green-strands": 0.09, "bad-crimp": 0.07},
    "ground-look": {"clean-and-tight": 0.78, "corroded": 0.16, "loose": 0.06},
    "remote-light": {"responds": 0.94, "no-response": 0.06},
    "smell": {"none": 0.93, "burnt": 0.025, "rotten-egg": 0.007, "chemical": 0.035, "fuel": 0.003},
    "smoke": {"none": 0.9895, "seen": 0.01, "still-smoking": 0.0005},
    "fuse-holder-look": {
        "clean": 0.8,
        "corroded": 0.11,
        "melted-or-discoloured": 0.03,
        "loose": 0.06,
    },
    "time-pattern": {
        "always": 0.7,
        "at-random-with-movement": 0.06,
        "after-minutes-until-cool": 0.06,
        "fades-over-hours": 0.06,
        "after-standing": 0.06,
        "when-wet": 0.06,
    },
    "onset": {
        "suddenly": 0.4,
        "gradually": 0.3,
        "after-work-on-it": 0.1,
        "after-freezing": 0.04,
        "after-long-storage": 0.1,
        "new-rig": 0.06,
    },
    "flow-over-time": {"steady": 0.9, "strong-then-weak": 0.05, "slow-to-cut-out": 0.05},
    "motor-sound": {
        "normal": 0.9,
        "grinding": 0.05,
        "squealing": 0.03,
        "sparking-at-brushes": 0.02,
    },
    "motor-turns-by-hand": {"free": 0.92, "stiff": 0.07, "locked": 0.01},
    "ohms-while-turned": {
        "steady": 0.85,
        "jumps-anywhere": 0.11,
        "jumps-at-one-place": 0.03,
        "open-all-round": 0.01,
    },
    "motor-tapped": {"no-change": 0.97, "starts": 0.03},
    "pump-head-opened": {
        "sound": 0.82,
        "jammed": 0.02,
        "valve-held-open": 0.08,
        "diaphragm-torn": 0.02,
        "cracked": 0.02,
        "drive-worn": 0.04,
    },
    "supply-level": {"full": 0.68, "low": 0.3, "empty": 0.02},
    "strainer-look": {"clean": 0.8, "clogged": 0.2},
    "air-in-suction": {"none": 0.9, "bubbles": 0.1},
    "air-at-outlet": {"none": 0.92, "spits": 0.08},
    "leak-look": {"dry": 0.84, "at-pump": 0.08, "downstream": 0.08},
    "nozzle-look": {"clear": 0.88, "blocked": 0.12},
    "outlet-opened": {"at-the-nozzle": 0.03, "further-back": 0.02, "nowhere": 0.95},
    "accumulator-charge": {"holds": 0.44, "flat": 0.06, "not-fitted": 0.5},
    "suction-hose-look": {"round": 0.95, "flat-or-kinked": 0.05},
    "run-from-bucket": {"cured": 0.02, "no-change": 0.98},
    "main-fuse-marking": {"as-described": 0.92, "smaller": 0.02, "larger": 0.05, "no-fuse": 0.01},
    "pressure-switch-by-hand": {"follows": 0.97, "never-opens": 0.015, "never-closes": 0.015},
    "posts-while-charging": {"rises": 1.0},
    "switched-on": {"on": 0.99, "was-off": 0.01},
    "connected-reversed": {"never": 0.96, "battery": 0.03, "motor-leads": 0.01},
    "spark-on-connecting": {"none": 0.7, "small": 0.27, "big": 0.03},
    "pump-noise": {"as-ever": 0.85, "quieter": 0.04, "louder": 0.06, "rattles": 0.05},
    "priming": {"primes": 0.93, "never": 0.01, "loses-it": 0.03, "slowly": 0.03},
    "smell-where": {
        "none": 0.8,
        "battery": 0.02,
        "motor": 0.06,
        "relay": 0.03,
        "fuse-holder": 0.03,
        "switch": 0.02,
        "wire": 0.04,
    },
}
"""On a rig whose fault has no part in it."""


def spread(named: Shares, usual: Shares) -> dict[str, float]:
    """Shares of all answers: the named ones, the rest as they usually are."""
    left = max(1.0 - sum(named.values()), 0.0)
    rest = {name: share for name, share in usual.items() if name not in named}
    other = sum(rest.values()) or 1.0
    found = {**{name: left * share / other for name, share in rest.items()}, **named}
    whole = sum(found.values())
    return {name: share / whole for name, share in found.items()}
