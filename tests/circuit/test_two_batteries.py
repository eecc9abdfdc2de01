"""24 V, and two batteries in series with a link between them, against sums by hand.

Sources of the sums: Ohm's law and Kirchhoff's voltage law. Coils and lamps of equal watts have four
times the ohms on twice the volts (P = U^2 / R).
"""

from __future__ import annotations

from functools import cache

import pytest

from diagnose.catalogue.at_volts import at_volts_of
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.parameters import OPEN, Batch
from diagnose.circuit.rig import Rig, open_rig, read_rig
from diagnose.documents import parse

REST = "feed: [fuse, hand_switch]\npump: {current: 8 A}\n"
POSTS, UPPER, LOWER = ("battery+", "battery-"), ("battery+", "link.out"), ("link.in", "battery-")
LINK = ("link.in", "link.out")


def rig_of(battery: str) -> Rig:
    return read_rig(parse(f"battery: {{{battery}}}\n{REST}", "rig.yaml"))


@cache
def pair() -> Rig:
    return rig_of("voltage: 12 V, count: 2, joined: series")


def volts(batch: Batch, points: tuple[str, str], condition: str = "calling") -> float:
    circuits = Circuits(Model.of(pair()), batch)
    return float(circuits.predict(Reading("voltage", points, condition))[0][0])


@pytest.mark.parametrize(
    ("battery", "times"),
    [
        ("kind: agm", 1),
        ("voltage: 24 V", 2),
        ("count: 2", 1),
        ("voltage: 24 V, count: 2", 2),
        ("count: 2, joined: series", 2),
        ("voltage: 6 V, count: 2, joined: series", 1),
    ],
)
def test_the_volts_of_the_system_are_those_of_all_batteries(battery: str, times: float) -> None:
    rig = rig_of(battery)
    sound = Model.of(rig).sound

    assert rig.times_12 == times
    assert sound["battery.voltage"] == pytest.approx(times * 12.68)
    assert sound["coil.pull_in"] == pytest.approx(times * 7.2)


def test_what_is_left_out_is_usual_for_the_volts() -> None:
    """A coil of 85 ohm takes 1.7 W from 12 V, and so does one of 340 ohm from 24 V."""
    text = "battery: {voltage: 24 V}\nfeed: [fuse, relay, low_voltage_cutout]\n"
    text += "control: {parts: [hand_switch]}\npump: {current: 8 A}\n"
    rig = read_rig(parse(text, "rig.yaml"))

    assert rig.relay_coil == pytest.approx(340)
    assert rig.feed[2].number("opens") == pytest.approx(22)


def test_only_a_pair_has_points_between() -> None:
    assert set(points_on(pair())) - set(points_on(rig_of("voltage: 24 V"))) == {*LINK}


def test_the_posts_of_two_and_the_link_add_up() -> None:
    """Kirchhoff: both batteries less the link is what the outer posts show, whatever is wrong."""
    sound = Model.of(pair()).sound_batch()
    weak = {"lower.lacks": 1.0, "lower.resistance": 0.2, "part:link": 0.05}
    for batch in (sound, sound.with_values(weak)):
        both = volts(batch, UPPER) + volts(batch, LOWER)
        assert volts(batch, POSTS) == pytest.approx(both - volts(batch, LINK), abs=1e-6)


def test_sound_ones_share_the_volts_alike() -> None:
    sound = Model.of(pair()).sound_batch()

    assert volts(sound, UPPER, "rest") == pytest.approx(12.68, abs=1e-3)
    assert volts(sound, UPPER) == pytest.approx(volts(sound, LOWER), abs=1e-9)


def test_a_weak_one_is_seen_at_its_own_posts_alone() -> None:
    """2.1 V less at rest, a dead cell; under load its 0.1 ohm more take what the amperes make."""
    sound = Model.of(pair()).sound_batch()
    weak = sound.with_values({"upper.lacks": 2.1, "upper.resistance": 0.1})
    amps = Circuits(Model.of(pair()), weak).predict(Reading("current", ("battery",), "calling"))[0]

    assert volts(weak, UPPER, "rest") == pytest.approx(10.58, abs=1e-3)
    assert volts(weak, LOWER, "rest") == pytest.approx(12.68, abs=1e-3)
    own = Model.of(pair()).sound["battery.resistance"]
    assert volts(weak, UPPER) == pytest.approx(10.58 - amps[0] * (own + 0.1), abs=1e-3)
    assert volts(weak, LOWER) == pytest.approx(12.68 - amps[0] * own, abs=1e-3)


def test_an_open_link_has_all_the_volts_across_it_and_each_battery_its_own() -> None:
    batch = Model.of(pair()).sound_batch().with_values({"part:link": OPEN})

    assert volts(batch, LINK) == pytest.approx(25.36, abs=0.01)
    assert volts(batch, UPPER) == pytest.approx(12.68, abs=0.01)
    assert volts(batch, LOWER) == pytest.approx(12.68, abs=0.01)
    assert volts(batch, POSTS) == pytest.approx(0, abs=0.01)


def test_the_knowledge_speaks_of_the_volts_of_the_rig() -> None:
    book, loader = shipped_catalogue(), open_rig("leaf-loader")
    twice = at_volts_of(loader, book)

    assert at_volts_of(open_rig("bowser"), book) is book
    assert twice.quantities["voltage"].impossible_above == 40
    charged = twice.failure_modes["battery-aged"].verify
    assert charged.above == pytest.approx(23.0)
    lost = book.failure_modes["ground-resistive"], twice.failure_modes["ground-resistive"]
    assert lost[0].fix == lost[1].fix
    assert "24 V filament lamp" in twice.observations["lamp-at-motor"].how
    one = book.failure_modes["battery-one-weak"], twice.failure_modes["battery-one-weak"]
    assert one[0] == one[1]
