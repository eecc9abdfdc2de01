"""Signs for somebody without a meter: priming, noise, sparks, another battery, what makes it stop.

By plain reasoning from the fault, as in test_signs: the likeliest answer, or the likelier of two.
"""

from __future__ import annotations

import pytest

from diagnose.circuit.parameters import OPEN
from tests.circuit.test_signs import SHORT, SOUND, chances, likeliest, scene_of

SEEN = [
    # suction-lift practice: a pump that draws mostly air, or nothing, does not prime
    ("priming", "bowser", SOUND, "primes"),
    ("priming", "bowser", {"pump.filling": 0.02}, "never"),
    ("priming", "bowser", {"suction.limit": 0.005}, "never"),
    ("priming", "bowser", {"suction.limit": 0.05}, "slowly"),
    ("priming", "bowser", {"return_1": 0.25}, "primes"),
    ("priming", "bowser", {"outlet.opening": 0.35}, "primes"),
    # public repair pages: a small load gives no spark or a small one, a short a big one
    ("spark-on-connecting", "bowser", SOUND, "none"),
    ("spark-on-connecting", "bowser", {"rest_drain": 6.0}, "small"),
    ("spark-on-connecting", "bowser", {"rest_drain": 0.2}, "big"),
    ("spark-on-connecting", "bowser", {"leak_feed": SHORT, "main_fuse.bridged": 1.0}, "big"),
    ("pump-noise", "bowser", SOUND, "as-ever"),
    ("pump-noise", "bowser", {"return_1": 0.25}, "quieter"),
    # Ohm's law: another battery has the volts and the low resistance that a weak one lacks
    ("swap-battery", "bowser", SOUND, "no-change"),
    ("swap-battery", "bowser", {"battery.voltage": 10.5, "battery.resistance": 0.3}, "cured"),
    ("swap-battery", "bowser", {"battery.voltage": -12.7}, "no-change"),
    ("swap-battery", "bowser", {"return_1": 0.25}, "no-change"),
    ("swap-battery", "bowser", {"main_fuse": OPEN}, "no-change"),
    # DIN 72552: without its coil's feed a relay opens 30 from 87; one that is welded does not
    ("stops-when", "bowser", {"pressure_switch.welded": 1.0}, "control-unplugged"),
    ("stops-when", "bowser", {"relay.welded": 1.0}, "relay-out"),
    ("stops-when", "header-tank", {"float_switch.welded": 1.0}, "control-unplugged"),
    ("stops-when", "header-tank", {"motor_on_87a": 0.001}, "relay-out"),
    ("stops-when", "mist-bench", {"pressure_switch.welded": 1.0}, "control-unplugged"),
    ("stops-when", "bowser", {"outlet.leak": 1.5}, "control-unplugged"),
]


@pytest.mark.parametrize(
    ("sign", "rig", "changes", "expected"), SEEN, ids=lambda part: str(part).replace(" ", "")
)
def test_the_likeliest_answer(
    sign: str, rig: str, changes: dict[str, float], expected: str
) -> None:
    assert likeliest(scene_of(rig, changes), sign) == expected


def test_air_and_starving_are_heard() -> None:
    """Common practice: cavitation, air and a flat accumulator rattle."""
    for changes in ({"pump.filling": 0.4}, {"suction.limit": 0.3}, {"accumulator.volume": 0.1}):
        heard = chances(scene_of("bowser", changes), "pump-noise")
        assert heard["rattles"] > 0.25, changes


def test_another_battery_cures_a_bad_post_only_where_the_lug_is_moved() -> None:
    """Common practice: jump leads on the lugs leave the joint; moving makes it anew."""
    tried = chances(scene_of("bowser", {"terminal_negative": 0.25}), "swap-battery")

    assert 0.2 < tried["cured"] + tried["better"] < 0.6


def test_nobody_says_of_a_pump_that_stands_that_it_does_not_prime() -> None:
    dead = scene_of("bowser", {"main_fuse": OPEN, "pump.filling": 0.02})

    assert chances(dead, "priming")["never"] < 0.05
