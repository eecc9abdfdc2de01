"""The judge: faulty rigs and what people say of them, kept apart from the tool's own grid."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.catalogue.entry_parts import Change
from diagnose.circuit.meter import Reading
from diagnose.circuit.rig import read_rig
from diagnose.documents import parse
from diagnose.simulate.draw import CONSTANT, WIRE, change_by, faulty, perturb, sound_rig, works
from diagnose.simulate.rigs import KINDS, invented_rig
from diagnose.simulate.truth import CAUSED, Person

HONEST = Person(wrong=0.0)


@pytest.fixture(scope="module")
def book(shop):
    return shop.catalogue


def truth_of(bench, mode, number=0, mismatch=1.0):
    return faulty(bench.model, [bench.shop.catalogue.failure_modes[mode]], (7, number), mismatch)


@pytest.mark.parametrize("number", range(len(KINDS)))
def test_invented_rigs_work_when_sound(number):
    rig = invented_rig(3, number)

    assert (rig.topology, rig.control) == KINDS[number]
    assert 3 <= rig.pump_current <= 25
    assert rig == invented_rig(3, number) != invented_rig(4, number)


def test_a_rig_whose_fuse_cannot_carry_it_does_not_work(bowser):
    text = "topology: relay\npump: {current: 14 A}\nmain_fuse: {rating: 5 A}"
    model = type(bowser.model).of(read_rig(parse(text, "rig")))

    assert works(bowser.model, bowser.model.sound_batch(1))
    assert not works(model, model.sound_batch(1))


def test_rigs_differ_from_their_file_by_as_much_as_the_study_says(bowser):
    random = np.random.default_rng(1)
    logs = {"feed_3": [], "coil": [], "motor.resistance": []}
    for _ in range(400):
        batch = perturb(bowser.model, random, 1.0)
        for name, found in logs.items():
            found.append(float(np.log(batch[name][0] / bowser.model.sound[name])))

    assert np.std(logs["feed_3"]) == pytest.approx(WIRE, rel=0.15)
    assert np.std(logs["coil"]) == pytest.approx(CONSTANT, rel=0.15)
    assert np.std(logs["motor.resistance"]) == pytest.approx(CONSTANT, rel=0.15)


def test_without_mismatch_a_rig_is_its_file(bowser):
    batch = sound_rig(bowser.model, np.random.default_rng(1), 0.0)

    assert np.allclose(batch.values, bowser.model.sound_batch(1).values)


def test_every_rig_worked_before_it_failed(bowser):
    random = np.random.default_rng(2)

    rigs = [sound_rig(bowser.model, random, 1.0) for _ in range(10)]

    assert all(works(bowser.model, rig) for rig in rigs)


@pytest.mark.parametrize(
    ("change", "least"),
    [
        (Change("fuse_holder", "add", 0.02, 5.0), None),
        (Change("outlet.opening", "times", 0.95, 0.15), 1.0),
        (Change("pressure_switch.cut_out", "set", 1.2, 0.8), 1.25),
    ],
)
def test_a_severity_milder_than_nothing_is_nothing(bowser, change, least):
    sound = bowser.model.sound_batch(1)

    mild = float(change_by(sound, change, np.array([-3.0]))[change.parameter][0])

    before = float(sound[change.parameter][0])
    assert mild == pytest.approx(before, rel=0.01) if least else mild >= before


def test_severities_reach_beyond_the_book(bowser, book):
    mode = book.failure_modes["fuse-holder-corroded"]
    wide = {v.name: v for v in mode.effects}["film to crust"].changes[0]
    sound = bowser.model.sound["fuse_holder"]
    added = []
    for number in range(60):
        truth = truth_of(bowser, mode.id, number)
        if truth.variant.effects[0].name == "film to crust":
            added.append(float(truth.scene.batch["fuse_holder"][0]) - sound)

    assert max(added) > wide.severe
    assert min(added) < wide.mild


def test_the_same_seed_gives_the_same_rig_and_the_same_answers(bowser, book):
    first, second = (truth_of(bowser, "ground-resistive") for _ in range(2))

    tests = list(bowser.tests.values())
    assert [first.answer(HONEST, t, book) for t in tests] == [
        second.answer(HONEST, t, book) for t in reversed(tests)
    ][::-1]


def people(truth, count):
    """The same rig, told by so many people."""
    return [replace(truth, seed=(7, 0, number)) for number in range(count)]


def test_a_person_is_wrong_as_often_as_agreed(bowser, book):
    test, truth = bowser.tests["main-fuse-element"], truth_of(bowser, "ground-resistive")
    said = [one.answer(Person(0.2), test, book) for one in people(truth, 400)]

    assert said.count("open") / 400 == pytest.approx(0.2, abs=0.06)  # three standard errors


def test_who_errs_more_errs_in_the_same_places_and_in_more(bowser, book):
    truth, tests = truth_of(bowser, "ground-resistive"), list(bowser.tests.values())
    honest, seldom, often = (
        [truth.answer(Person(wrong), test, book) for test in tests] for wrong in (0.0, 0.1, 0.4)
    )

    wrong_seldom = {
        i for i, pair in enumerate(zip(honest, seldom, strict=True)) if len({*pair}) > 1
    }
    wrong_often = {i for i, pair in enumerate(zip(honest, often, strict=True)) if len({*pair}) > 1}
    assert wrong_seldom < wrong_often


def test_not_known_is_said_as_often_as_agreed(bowser, book):
    truth, person = truth_of(bowser, "ground-resistive"), Person(0.0, unsure=0.3)
    said = [truth.answer(person, test, book) for test in bowser.tests.values()]

    assert 0.15 < said.count(None) / len(said) < 0.45


def test_asked_again_an_honest_person_sees_the_same(bowser, book):
    looks = [bowser.tests[name] for name in ("terminals-look", "wiring-look", "smell", "onset")]
    for truth in people(truth_of(bowser, "ground-resistive"), 20):
        for test in looks:
            assert truth.answer(HONEST, test, book, 1) == truth.answer(HONEST, test, book)


def test_asked_again_a_mistake_is_often_put_right(bowser, book):
    test, person = bowser.tests["main-fuse-element"], Person(0.5)
    all_of_them = people(truth_of(bowser, "ground-resistive"), 300)
    wrong = [one for one in all_of_them if one.answer(person, test, book) == "open"]

    righted = [one for one in wrong if one.answer(person, test, book, 1) == "intact"]

    # looked anew 0.6 of the time, and then right half of the time: 0.3
    assert len(righted) / len(wrong) == pytest.approx(0.3, abs=0.12)


def test_readings_are_near_the_circuit_and_have_a_unit(bowser, book):
    reading = Reading("voltage", ("battery+", "battery-"), "rest")
    test = bowser.tests[str(reading)]
    truth = truth_of(bowser, "ground-resistive")
    said = [one.answer(HONEST, test, book).split() for one in people(truth, 200)]
    off = [float(value) - float(truth.scene.circuits.predict(reading)[0][0]) for value, _ in said]

    assert {unit for _, unit in said} == {"V"}
    meter = book.quantities["voltage"]
    expected = np.hypot(meter.absolute, meter.relative * 12.8)
    assert np.std(off) == pytest.approx(expected, rel=0.2)


def test_an_open_joint_reads_over_range(bowser, book):
    truth = next(
        found
        for number in range(50)
        if (found := truth_of(bowser, "main-fuse-blown", number)).scene.batch["main_fuse"][0] > 1e9
    )

    assert truth.answer(HONEST, bowser.tests["resistance fuse.in fuse.out"], book) == "OL"


@pytest.mark.parametrize("mode", ["relay-coil-open", "fuse-holder-corroded", "nozzle-too-small"])
def test_customers_complain_of_what_the_fault_brings_about(bowser, book, mode):
    told = 0
    for number in range(5):
        truth = truth_of(bowser, mode, number)
        for name, option in truth.complaint(HONEST, book, bowser.hypotheses.facts).items():
            entry = book.observations[name]
            likely = dict(zip(entry.options, truth.chances(entry, book), strict=True))

            assert likely[option] >= CAUSED
            told += 1
    assert told


def test_nobody_complains_of_a_rig_that_is_well(bowser, book):
    truth = truth_of(bowser, "ground-resistive", mismatch=0.0)
    sound = replace(truth.scene, circuits=truth.sound_scene.circuits)
    nothing = replace(truth.variant, shows={}, effects=())

    well = replace(truth, scene=sound, variant=nothing)

    assert well.complaint(HONEST, book, bowser.hypotheses.facts) == {}
