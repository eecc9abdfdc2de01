"""What rigs that list their parts do: cut-outs, breakers, loads, switches; and the short form."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from diagnose.circuit.aftermath import found
from diagnose.circuit.meter import Circuits, Reading, branch_current
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.parameters import OPEN
from diagnose.circuit.parts import feed_of
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.design.facts import rig_facts
from diagnose.documents import parse

LISTS = [name for name in bundled_rigs() if open_rig(name).feed]
CONDITIONS = ("rest", "calling", "satisfied", "unplugged")


def rig_of(text: str) -> Rig:
    return read_rig(parse("pump: {current: 10 A}\n" + text, "rig.yaml"))


@cache
def model_of(name: str) -> Model:
    return Model.of(open_rig(name))


def bench(model: Model | str, **faults: float) -> Circuits:
    """One circuit; of faults __ stands for a dot, and _of_ for the part that one belongs to."""
    model = model_of(model) if isinstance(model, str) else model
    return Circuits(model, model.sound_batch().with_values(faults))


def runs(model: Model | str, condition: str, **faults: float) -> bool:
    return bool(bench(model, **faults).operation(condition).turning[0])


def volts(bench: Circuits, red: str, black: str, condition: str = "calling") -> float:
    return float(bench.predict(Reading("voltage", (red, black), condition))[0][0])


def amps(bench: Circuits, a: str, b: str, condition: str = "calling") -> float:
    """Current from a to b through what joins them."""
    operation = bench.operation(condition)
    live = bool(operation.on[0] > 0)
    fed = operation.live if live else operation.idle
    current = operation.motor_current if live else operation.idle_current
    return float(branch_current(fed, current, a, b)[0])


@pytest.mark.parametrize("name", LISTS)
def test_a_sound_rig_runs_when_called_and_only_then(name: str) -> None:
    ran = {condition: runs(name, condition) for condition in CONDITIONS}

    assert ran == {"rest": False, "calling": True, "satisfied": False, "unplugged": False}


@pytest.mark.parametrize("name", LISTS)
def test_volts_fall_from_part_to_part_along_the_feed(name: str) -> None:
    """Kirchhoff: the current goes one way round, so no point is above the one before it."""
    sound = bench(name)
    along = ["battery+", "lug+"]
    for one in feed_of(open_rig(name)):
        along += [one.start, one.end]
    around = [p for p in points_on(open_rig(name)) if p.startswith("motor") or "minus" in p]
    loop = [*along, *around, "ground", "lug-", "battery-"]
    loop.sort(key=points_on(open_rig(name)).index)

    drops = [volts(sound, red, black) for red, black in pairwise(loop)]

    assert min(drops) > 0
    assert sum(drops) == pytest.approx(volts(sound, "battery+", "battery-"), rel=1e-6)


@pytest.mark.parametrize("name", LISTS)
def test_an_open_part_leaves_everything_behind_it_dead(name: str) -> None:
    """One part after the other, the motor unplugged: battery volts before it, nothing behind."""
    feed = feed_of(open_rig(name))
    for place, one in enumerate(feed):
        opened = bench(name, **{one.parameters[-1]: OPEN})
        before = [
            volts(opened, other.start, "battery-", "unplugged") for other in feed[: place + 1]
        ]
        behind = [volts(opened, other.end, "battery-", "unplugged") for other in feed[place:]]

        assert min(before) > 12
        assert max(behind) < 0.1


def test_a_plug_that_parts_with_its_minus_alone_stops_the_pump() -> None:
    """The whole battery stands between the halves of its minus pin."""
    parted = bench("spray-trailer", **{"part:battery plug.minus": OPEN})

    across = volts(parted, "battery plug.minus.out", "battery plug.minus.in")
    assert not parted.operation("calling").turning[0]
    assert across == pytest.approx(volts(parted, "battery+", "battery-"), rel=0.01)
    assert volts(parted, "battery plug.in", "battery plug.out") == pytest.approx(0, abs=1e-3)


def test_a_bad_minus_of_a_reversing_switch_takes_nothing_from_the_other_loads() -> None:
    """Their minus is the stud; only the motor's current goes through the switch."""
    sound, worn = (bench("nursery-feed", **{"part:reversing_switch.minus": r}) for r in (0.01, 0.5))

    at_the_lamps = [volts(one, "fuse.out", "ground") for one in (sound, worn)]
    assert at_the_lamps[1] >= at_the_lamps[0]
    assert volts(worn, "motor+", "motor-") < volts(sound, "motor+", "motor-") - 2


CUT_OUT, OPENS = "part:low_voltage_cutout", "part:low_voltage_cutout.opens"


@pytest.mark.parametrize("battery", [10.0, 11.0, 11.3, 11.6, 12.0, 13.0])
def test_a_cut_out_opens_under_its_volts_under_load(battery: float) -> None:
    """What it meets is what a meter reads at its inlet while the pump runs without it."""
    watched = bench("spray-trailer", **{"battery.voltage": battery, OPENS: 0.0})
    met = volts(watched, "low_voltage_cutout.in", "lug-")

    for opens in (met - 0.05, met + 0.05):
        left = bench("spray-trailer", **{"battery.voltage": battery, OPENS: opens})
        assert left.operation("calling").turning[0] == (opens < met)
        behind = volts(left, "low_voltage_cutout.out", "lug-")
        assert (behind > 9) == (opens < met)


def test_a_cut_out_stays_closed_while_the_relay_is_out() -> None:
    """A short behind an open contact pulls no volts down."""
    short = bench("spray-trailer", leak_motor_feed=0.02)

    assert volts(short, "low_voltage_cutout.out", "lug-", "satisfied") > 12
    assert volts(short, "low_voltage_cutout.out", "lug-", "calling") < 1


def test_a_cut_out_that_has_opened_leaves_the_control_line_alone() -> None:
    """It is fed from behind the fuse: the relay clicks for nothing."""
    low = bench("spray-trailer", **{"battery.voltage": 10.5})

    operation = low.operation("calling")
    assert operation.pulled[0]
    assert not operation.turning[0]
    assert volts(low, "relay.86", "relay.85") > 9


BREAKER = "feed: [{{breaker: {{rating: 12 A, reset: {}}}}}, hand_switch]\n"


def test_a_breaker_that_closes_again_by_itself_is_met_closed_more_often() -> None:
    """A short trips both at once; who comes later finds the one open, the other as often closed."""
    met = {}
    for reset in ("manual", "automatic"):
        model = Model.of(rig_of(BREAKER.format(reset)))
        circuits = found(model, model.sound_batch().with_values({"leak_motor_feed": 0.02}))
        opened = circuits.batch["main_fuse"] >= OPEN
        met[reset] = float(circuits.share[opened].sum())

    assert met["manual"] > 0.9
    assert 0.2 < met["automatic"] < 0.7


@pytest.mark.parametrize(
    ("feed", "kind"),
    [
        ("[{breaker: {reset: manual}}, hand_switch]", "breaker"),
        ("[{breaker: {reset: automatic}}, fuse, hand_switch]", "automatic-breaker"),
        ("[plug, fuse, {breaker: {reset: automatic}}, hand_switch]", "fuse"),
        ("[plug, hand_switch]", "none"),
    ],
)
def test_what_protects_the_wire_first(feed: str, kind: str) -> None:
    assert rig_facts(Model.of(rig_of(f"feed: {feed}\n")))["first-protection"] == kind


LOADED = [("nursery-feed", "bench lamps", 3.0), ("two-pump-cart", "second pump", 6.0)]


@pytest.mark.parametrize(("name", "load", "current"), LOADED)
def test_a_load_adds_its_current_to_the_fuse(name: str, load: str, current: float) -> None:
    """Ohm: a load of so many amperes at 12 V takes V / (12 V / I); Kirchhoff: the fuse carries
    the sum of it and of the pump's current."""
    on, off = bench(name), bench(name, **{f"part:{load}.load": OPEN})
    point = open_rig(name).loads[0].word("at")

    taken = volts(on, point, "ground") * current / 12
    assert amps(on, "fuse.in", "fuse.out") == pytest.approx(
        float(on.operation("calling").motor_current[0])
        + taken
        + (amps(on, "relay.86", "relay.85") if open_rig(name).has_relay else 0.0),
        rel=1e-6,
    )
    more = amps(on, "fuse.in", "fuse.out") - amps(off, "fuse.in", "fuse.out")
    assert more == pytest.approx(taken, rel=0.05)


@pytest.mark.parametrize(("name", "load", "current"), LOADED)
def test_a_load_is_on_while_somebody_is_at_work(name: str, load: str, current: float) -> None:
    idle = bench(name)

    assert amps(idle, "fuse.in", "fuse.out", "satisfied") == pytest.approx(current, rel=0.1)
    assert amps(idle, "fuse.in", "fuse.out", "rest") == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("kind", ["hand_switch", "foot_switch", "trigger_switch", "flow_switch"])
def test_a_switch_in_the_feed_calls_the_pump(kind: str) -> None:
    """And one that never opens, or never closes, does so whoever asks."""
    model = Model.of(rig_of(f"feed: [fuse, {kind}]\n"))

    assert [runs(model, one) for one in CONDITIONS] == [False, True, False, False]
    assert runs(model, "satisfied", **{f"part:{kind}.welded": 1.0})
    assert not runs(model, "calling", **{f"part:{kind}": OPEN})
    assert volts(bench(model), f"{kind}.in", f"{kind}.out", "satisfied") > 12


def test_a_key_that_is_off_takes_the_feed_with_it() -> None:
    """Whatever else is welded."""
    stuck = {"part:trigger_switch.welded": 1.0}

    assert runs("utility-tank", "satisfied", **stuck)
    assert not runs("utility-tank", "rest", **stuck)
    at_rest = bench("utility-tank")
    assert volts(at_rest, "ignition.in", "lug-", "rest") > 12
    assert volts(at_rest, "ignition.out", "lug-", "rest") < 0.1
    assert volts(at_rest, "ignition.out", "lug-", "satisfied") > 12


def test_a_hand_switch_before_a_pressure_switch_stays_on_between_calls() -> None:
    assert volts(bench("quad-sprayer"), "hand_switch.out", "lug-", "satisfied") > 12
    assert volts(bench("quad-sprayer"), "hand_switch.out", "lug-", "rest") < 0.1
    assert not runs("quad-sprayer", "rest", **{"pressure_switch.welded": 1.0})


def test_a_switch_beside_the_float_is_open_until_a_hand_closes_it() -> None:
    assert not runs("two-pump-cart", "calling", float_switch=OPEN)
    by_hand = {"part:hand_switch.welded": 1.0}
    assert runs("two-pump-cart", "calling", float_switch=OPEN, **by_hand)
    assert runs("two-pump-cart", "satisfied", **by_hand)


def test_a_remote_alone_starts_and_stops_the_pump() -> None:
    feed = "feed: [fuse, master_switch, relay]\ncontrol: {parts: [fuse, remote]}\n"
    model = Model.of(rig_of(feed))

    assert [runs(model, one) for one in CONDITIONS] == [False, True, False, False]


ABREAST = "feed: [fuse, relay]\ncontrol: {{parts: [fuse, any: [float_switch, {}]]}}\n"


@pytest.mark.parametrize("kind", ["remote", "ignition", "hand_switch", "flow_switch"])
def test_what_stands_beside_a_float_does_not_run_the_pump_by_itself(kind: str) -> None:
    model = Model.of(rig_of(ABREAST.format(kind)))

    assert [runs(model, one) for one in CONDITIONS] == [False, True, False, False]


def test_another_wire_back_is_reckoned_by_its_own_length_and_size() -> None:
    """Twice as long and half as thick, the return has four times the ohms of copper; the stud's
    ring adds its own."""
    plain = "feed: [fuse, hand_switch]\nwire: {gauge: 6 mm2, length: 3 m}\n"
    thin = plain + "return: {wire: {gauge: 3 mm2, length: 6 m}, ground: stud}\n"
    back = [
        sum(model.sound[name] for name in ("return_1", "return_2"))
        - model.figures.get("ground-stud-resistance", "ohm")
        for model in (Model.of(rig_of(plain)), Model.of(rig_of(thin)))
    ]

    assert back[1] == pytest.approx(4 * back[0], rel=1e-9)


def test_two_batteries_side_by_side_are_one_of_both_capacities() -> None:
    feed = "feed: [fuse, hand_switch]\n"
    two = rig_of("battery: {capacity: 50 A*h, count: 2}\n" + feed)
    one = rig_of("battery: {capacity: 100 A*h}\n" + feed)

    assert replace(two, battery_count=1, battery_capacity=one.battery_capacity) == one
    assert Model.of(two).sound == Model.of(one).sound
