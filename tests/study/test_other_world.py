"""The other world: its laws against published examples and conservation, its people, its faults."""

import ast
from dataclasses import replace
from math import log10, sqrt
from pathlib import Path

import numpy as np
import pytest

import tests.study.other_world as package
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import holds
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.circuit.model import Model
from diagnose.circuit.rig import open_rig
from diagnose.design.facts import rig_facts
from diagnose.reasoning.hypotheses import applicable
from diagnose.simulate.rigs import invented_rig
from diagnose.simulate.truth import Person
from diagnose.study.plan import full
from diagnose.study.run import study
from tests.study.other_world import world
from tests.study.other_world.build import sound
from tests.study.other_world.components import CHARGES, RESTING, Battery, Coil, Fuse
from tests.study.other_world.faults import FAULTS
from tests.study.other_world.net import EARTH, MOST_OHMS, Branch, Net
from tests.study.other_world.operation import Working
from tests.study.other_world.people import LOOKS
from tests.study.other_world.pump import Motor, Water
from tests.study.other_world.site import met
from tests.study.research import BESIDE, BOTH, OTHER_WORLD, research, summary, work
from tests.study.research_report import markdown

HONEST = Person(wrong=0.0)
RIGS = ("bowser", "header-tank", "mist-bench")
RIG = {name: open_rig(name) for name in RIGS}
CONDITIONS = ("rest", "calling", "satisfied", "unplugged")


def random(seed=1):
    return np.random.default_rng(seed)


def drawn(rig, mode, number=0):
    return world.draw(RIG[rig], (mode,), (4, number))


def can_have(bench):
    return [
        mode.id
        for mode in bench.shop.catalogue.failure_modes.values()
        if mode.id in bench.hypotheses.modes
    ]


# ---- what it shares with the reasoner


def test_it_shares_nothing_with_the_reasoners_circuit_but_the_rig():
    for path in Path(package.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            elif isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            for name in names:
                assert not name.startswith("diagnose.reasoning"), path
                assert not name.startswith("diagnose.circuit") or name == "diagnose.circuit.rig"


# ---- the net


def test_a_wire_loses_what_a_printed_example_says():
    # FAA AC 43.13-1B CHG 1, table 11-7: 0.00044 ohm a foot, 107 feet, 20 A; printed 0.942 V.
    net = Net([Branch("a", EARTH, 0.00044 * 107)])
    assert net.solved("a", EARTH).volts("a", -20) == pytest.approx(0.942, abs=0.001)


def test_a_divider_and_its_meter():
    # Hand sum: 12 V over two of 10 megohm is 6 V; the meter's own 10 megohm makes it 4 V.
    net = Net(
        [Branch("a", EARTH, 1e-3, 12.0), Branch("a", "b", 1e7), Branch("b", EARTH, 1e7)], dirt=0
    )
    assert net.solved("a", "b").volts("b") == pytest.approx(6.0)
    assert net.with_meter("b", EARTH).solved("a", "b").volts("b") == pytest.approx(4.0)


def test_ohms_of_parts_beside_each_other():
    # Hand sum: a coil of 90 ohm with 680 ohm across it is 79.5 ohm.
    net = Net([Branch("a", "b", 90), Branch("a", "b", 680)], frozenset({"c"}), 1e-10)
    assert net.ohms("a", "b") == pytest.approx(79.48, abs=0.01)
    assert net.ohms("a", "c") == MOST_OHMS


def left_over(state):
    """What Kirchhoff's law leaves at each point [A]; nothing but rounding."""
    solved, drawn = state.solved, np.zeros(len(state.solved.net.place))
    drawn[solved.net.place["motor+"]] -= state.amps
    if "motor-" in solved.net.place:
        drawn[solved.net.place["motor-"]] += state.amps
    volts = solved.alone + state.amps * solved.each
    return solved.net.matrix @ volts - (solved.net.fed + drawn)


@pytest.mark.parametrize("mode", sorted(FAULTS))
def test_currents_and_power_balance_in_every_state(mode, bench_of):
    name = next((one for one in RIGS if mode in bench_of(one).hypotheses.modes), None)
    if name is None:
        pytest.skip("no bundled rig can have it")
    working = drawn(name, mode).site.working
    for condition in CONDITIONS:
        state = working.operation(condition).live
        left = left_over(state)
        assert np.abs(left).max() < 1e-9  # Kirchhoff's law
        net = state.solved.net
        heat = sum(
            state.solved.amps(one, state.amps) ** 2 * max(one.ohms, 1e-4) for one in net.branches
        )
        given = -sum(state.solved.amps(one, state.amps) * one.volts for one in net.branches)
        taken = state.across("motor+", "motor-") * state.amps
        assert given == pytest.approx(heat + taken, abs=1e-5 + 1e-6 * abs(given))


def test_a_meter_sees_through_a_motor_that_stands():
    # Hand sums: an open contact shows the battery through the winding; with the return parted both
    # leads of the motor stand at the battery's voltage.
    works = sound(RIG["bowser"], random())
    rested = Working(works).operation("satisfied").live
    volts = rested.across("battery+", "battery-")
    assert rested.metered("relay.30", "relay.87") == pytest.approx(volts, abs=0.01)
    works.cut("return_1")
    parted = Working(works).operation("calling").live
    assert parted.metered("motor-", "lug-") == pytest.approx(volts, abs=0.15)
    assert parted.metered("motor+", "motor-") == pytest.approx(0, abs=0.01)


# ---- battery


@pytest.mark.parametrize("kind", sorted(RESTING))
def test_volts_at_rest_follow_the_published_tables(kind):
    for charge, volts in zip(CHARGES, RESTING[kind], strict=True):
        assert Battery(kind, 90, charge, air=25).resting() == pytest.approx(volts)


def test_a_small_sealed_battery_has_the_published_resistance():
    # A sealed one of 12 V, 7 A h: 25 milliohm when full (a public page); 18 to 30 usual.
    assert 0.018 <= Battery("agm", 7, 1.0, air=25).ohms() <= 0.030


def test_resistance_doubles_towards_empty_and_in_the_cold():
    full = Battery("agm", 90, 1.0, air=25)
    assert 1.8 <= Battery("agm", 90, 0.12, air=25).ohms() / full.ohms() <= 2.2
    assert Battery("agm", 90, 1.0, air=-18).ohms() / full.ohms() == pytest.approx(1.5, abs=0.01)


def test_a_dead_cell_takes_two_volts():
    # Common practice: such a battery rests near 10.5 V however long it is charged.
    assert Battery("flooded", 90, 1.0, dead_cells=1, air=25).resting() == pytest.approx(10.65)


def test_it_gives_for_as_long_as_peukerts_law_says():
    # Hand sum: 100 A h at 20 A with exponent 1.22: 20 (100 / 400)^1.22 = 3.69 h.
    assert Battery("flooded", 100).hours(20) == pytest.approx(3.69, abs=0.01)
    assert Battery("flooded", 100).hours(5) == pytest.approx(20)


def test_load_sags_it_by_the_minute():
    battery = Battery("agm", 90)
    assert battery.ohms(0) < battery.ohms(1) < battery.ohms(10) < 3 * battery.ohms(0)


# ---- motor and water


def motor(**more):
    """12 V, 0.5 V in the brushes, 0.20 ohm, 15 A: back EMF 8.5 V (textbook d.c. machine)."""
    return Motor(0.0425, 0.2, 0.5, 0.01, rub=0.6375, drag=0.0, push=0.0, warm=0, air=20, **more)


def water(**more):
    return Water(stroke=1e-6, rated=3e5, nozzle=3e-7, **more)


def test_a_motor_takes_the_current_of_the_textbook_example():
    assert motor().amps(12, 0, 200) == pytest.approx(15.0, rel=1e-6)
    assert motor().amps(12, 0, 0) == pytest.approx(
        15 * 3.8333, rel=1e-4
    )  # stands: (12 - 0.5) / 0.2


def test_at_equal_torque_it_slows_as_the_textbook_example():
    # From 12 V to 10.5 V: (10.5 - 0.5 - 3) / (12 - 0.5 - 3) = 0.8235.
    ratio = motor().runs(10.5, 0, water(), True) / motor().runs(12, 0, water(), True)
    assert ratio == pytest.approx(0.8235, abs=1e-4)


def test_a_warm_winding_takes_less():
    # Copper 60 K warmer has 24 % more resistance.
    hot = Motor(0.0425, 0.2, 0.5, 0.01, 0.6, 0.0, 0.0, warm=60, air=20)
    assert hot.ohms / motor().ohms == pytest.approx(1.236, abs=0.001)


def test_a_locked_or_dead_motor_does_not_turn():
    assert motor(locked=True).runs(12, 0, water(), True) == 0
    assert motor(dead_spot=True).amps(12, 0, 0) == 0


def test_twice_the_pressure_gives_four_tenths_more_water():
    # The square-root law of nozzles, published as 41 % more.
    assert water().flow(2e5) / water().flow(1e5) == pytest.approx(1.414, abs=0.001)


@pytest.mark.parametrize("bypass", [1e9, 1e5])
def test_what_the_pump_takes_in_goes_out_again(bypass):
    one = water(slip=1e-11, leak=1e-8, bypass=bypass, bypass_wide=1e-9)
    pressure = one.pressure(200, True)
    out = (one.nozzle + one.leak) * sqrt(pressure) + one.slip * pressure
    out += one.bypass_wide * max(pressure - bypass, 0)
    assert out == pytest.approx(one.drawn(200))


def test_no_pump_lifts_more_than_the_air_can_push():
    # 22 ft is the published limit of a primed pump; higher it draws nothing.
    assert water(lift=6.8, drag=1e6).drawn(200) == 0


@pytest.mark.parametrize("rig", RIGS)
def test_a_sound_rig_does_the_work_of_its_label_and_makes_no_energy(rig):
    works = sound(RIG[rig], random())
    state = Working(works).operation("calling").live
    shaft = works.motor.strength * state.speed * state.amps
    taken = state.across("motor+", "motor-") * state.amps
    assert state.pressure * state.flow < shaft < taken
    assert state.amps == pytest.approx(RIG[rig].pump_current, rel=0.35)
    assert not Working(works).operation("satisfied").turning


# ---- relay, fuse

WINDOW = (
    (1.35, 0.75, 1800),
    (1.60, 0.25, 50),
    (2.00, 0.15, 5),
    (3.50, 0.04, 0.5),
    (6.00, 0.02, 0.15),
)
"""Times [s] between which a new blade fuse opens at a multiple of its rating: acceptance points of
published fuse data and of ISO 8820-3 (two of them from memory), the wider of both."""


def test_a_hot_coil_wants_the_volts_of_the_published_example():
    # A relay maker's note: 90 ohm, 6.5 V at 20 degC; at 85 degC 8.16 V.
    assert Coil(90, 6.5, 3, warm=65, air=20).pulls_at == pytest.approx(8.16, abs=0.01)


def test_a_relay_on_a_battery_that_gives_way_chatters():
    works = sound(RIG["bowser"], random())
    assert not Working(works).operation("calling").chatters
    works.battery.age = 60
    calling = Working(works).operation("calling")
    assert calling.chatters
    assert 0 < calling.habit.inside < 1


@pytest.mark.parametrize("least", [1.17, 1.33])
@pytest.mark.parametrize("slow", [0.9, 2.9])
def test_every_fuse_opens_within_the_standards_window(least, slow):
    fuse = Fuse(20, least, slow)
    assert fuse.seconds(1.1 * 20) > 360_000
    for times, shortest, longest in WINDOW:
        assert shortest <= fuse.seconds(times * 20) <= longest


def test_a_fuse_has_the_published_resistance():
    # 10 A regular size: 7.7 milliohm cold, 109 mV at 10 A; so 8 to 11 milliohm at work.
    assert 0.0077 <= Fuse(10).ohms <= 0.0109


# ---- faults and people


INVENTED = [Model.of(invented_rig(1, number)) for number in range(60)]
"""Rigs of the study: none lists its parts, or tells of its water's way."""


def test_every_failure_mode_of_the_study_s_rigs_is_made_and_looked_at():
    book = shipped_catalogue()
    modes = {one.id for rig in INVENTED for one in applicable(book, rig_facts(rig), rig.rig)}
    assert set(FAULTS) == set(LOOKS) == modes


def test_every_observation_and_quantity_of_the_study_s_rigs_is_answered():
    book = shipped_catalogue().observations.values()
    facts = [rig_facts(rig) for rig in INVENTED]
    seen = {one.id for one in book if any(holds(one.applies, rig) for rig in facts)}
    assert {*seen, *shipped_vocabulary().readings} == world.KNOWN


def test_every_failure_mode_is_complained_of_on_some_rig(bench_of):
    left = set(FAULTS)
    for rig in RIGS:
        bench = bench_of(rig)
        book, facts = bench.shop.catalogue, bench.hypotheses.facts
        for mode in sorted(left.intersection(bench.hypotheses.modes)):
            if any(drawn(rig, mode, n).complaint(HONEST, book, facts) for n in range(25)):
                left.discard(mode)
    assert left == {"hand-switch-open"} - set(bench_of("bowser").hypotheses.modes)


@pytest.mark.parametrize("rig", RIGS)
def test_answers_are_those_of_the_vocabulary(rig, bench_of):
    bench = bench_of(rig)
    book, facts, answered = bench.shop.catalogue, bench.hypotheses.facts, 0
    for number, mode in enumerate(can_have(bench)):
        truth = drawn(rig, mode, number)
        for name, option in truth.complaint(Person(0.3), book, facts).items():
            assert option in book.observations[name].options
        for name, test in [*bench.tests.items()][number % 3 :: 3]:  # each test of every third fault
            said = truth.answer(Person(0.3), test, book)
            if said is None:
                continue
            if name in book.observations:
                assert said in book.observations[name].options
            else:
                assert said == "OL" or said.endswith(test.entry.reading.unit)
            answered += 1
    assert answered > 1000


def test_the_same_seed_gives_the_same_rig_and_the_same_words(bowser):
    book, facts = bowser.shop.catalogue, bowser.hypotheses.facts
    test = bowser.tests["voltage motor+ motor- calling"]
    first, again, other = (drawn("bowser", "ground-resistive", n) for n in (1, 1, 2))
    said = [one.answer(HONEST, test, book) for one in (first, again, other)]
    assert said[0] == said[1] != said[2]
    assert first.complaint(HONEST, book, facts) == again.complaint(HONEST, book, facts)


def test_severity_is_of_any_order_of_size():
    ohms = [drawn("bowser", "feed-joint-resistive", n).site.works.spots for n in range(100)]
    sizes = [log10(max(spots.values())) for spots in ohms if spots]
    shares, _ = np.histogram(sizes, bins=[-2.3, -1.05, 0.2, 1.5])
    assert min(shares) > 0.2 * len(sizes)


def test_smoke_comes_only_after_much_heat():
    cold, hot = drawn("bowser", "nozzle-too-small"), drawn("bowser", "relay-socket-resistive", 3)
    assert cold.chances("smoke")["none"] > 0.95
    works = hot.site.sound.copy()
    works.add("socket", 0.35)  # 14 A through it: some 40 W
    burnt = met(works, hot.site.sound, random())
    assert max(burnt.worst.values()) > 200


def test_wrong_answers_are_as_frequent_as_asked_for(bowser):
    book = bowser.shop.catalogue
    test = bowser.tests["terminals-look"]
    pairs = [
        [truth.answer(Person(wrong), test, book) for wrong in (0.0, 0.3)]
        for truth in (drawn("bowser", "motor-seized", n) for n in range(150))
    ]
    known = [pair for pair in pairs if None not in pair]
    differ = sum(a != b for a, b in known) / len(known)
    assert differ == pytest.approx(0.3, abs=0.08)


# ---- studies of it


def tiny(of, evenly=False):
    plan = replace(full(1, 5), rigs=1, times=0, curve=0, compared=0, pairs=0, evenly=evenly)
    return replace(research(plan, of), subsets=0, crowd=0)


def test_both_worlds_stand_side_by_side():
    plan = tiny(BOTH)
    found = study(plan, workers=1, work=work)
    home, other = (
        [(case.number, case.played.modes) for case in found.cases if case.terms == name]
        for name in ("own", BESIDE)
    )
    assert home == other  # the same failure modes, by other laws
    text = markdown(summary(plan, found))
    assert "| measure | home | other world |" in text
    assert "## By failure mode in the other world" in text


def test_the_other_world_can_stand_alone():
    plan = tiny(OTHER_WORLD, evenly=True)
    found = study(plan, workers=1, work=work)
    text = markdown(summary(plan, found))
    assert {case.terms for case in found.cases} == {"own"}
    assert "fail by the laws of the other world" in text
    assert "Failure modes come evenly" in text
    assert "## In both worlds" not in text
