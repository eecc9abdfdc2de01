"""One who knows how cases are drawn: the laws of those that draw them, and chances that add up."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.trial_signs import SIGNS
from diagnose.simulate.draw import faulty
from diagnose.simulate.policies import own
from diagnose.simulate.truth import Person
from diagnose.study.play import play
from diagnose.walkthrough import Walk
from tests.study.bayes import IdealObserver, Sample, sample

WRONG = 0.05


@pytest.fixture(scope="module")
def many(bowser) -> Sample:
    return sample(bowser, 60, np.random.default_rng(1))


@pytest.fixture(scope="module")
def knowing(many) -> IdealObserver:
    return IdealObserver(many, WRONG)


def test_its_prior_is_that_of_the_book(bowser, many):
    h = bowser.hypotheses
    drawn = np.bincount(many.mode, many.weight, len(h.modes))

    assert drawn == pytest.approx(np.bincount(h.mode, h.weight, len(h.modes)), rel=1e-9)


def alone(bench, truth, count=1) -> Sample:
    """A crowd in which every rig is this one."""
    origin = np.zeros(count, dtype=np.intp)
    random, share = np.random.default_rng(4), np.ones(count)
    scenes = (truth.scene, truth.sound_scene)
    return Sample(bench, random, (truth.variant,), origin, share, *scenes, origin)


def test_a_complaint_is_as_likely_as_where_people_make_it(bowser):
    """What the circuit alone predicts, on one rig: the law of those who tell, and ours."""
    book = bowser.shop.catalogue
    truth = faulty(bowser.model, [book.failure_modes["fuse-holder-corroded"]], (7,))
    one = alone(bowser, truth)
    known = [
        seen
        for seen in one.complaints
        if all(book.observations[name].predicted and name in SIGNS for name in seen)
        and not truth.variant.shows.keys() & seen.keys()
    ]

    assert len(known) > 5
    for seen in known:
        assert one.change(seen)[0] == pytest.approx(truth.changes([seen], book)[0], abs=1e-12)


@pytest.mark.parametrize("name", ["pump-action", "relay-sound", "onset"])
def test_chances_of_an_answer_and_of_the_same_question_again_add_up(bowser, knowing, name):
    entry = bowser.tests[name].entry
    once = sum(knowing._seen(entry, [answer]) for answer in entry.options)
    twice = sum(knowing._seen(entry, pair) for pair in product(entry.options, repeat=2))

    assert once == pytest.approx(np.ones(len(knowing.sample)))
    assert twice == pytest.approx(np.ones(len(knowing.sample)))


def test_a_reading_has_the_density_with_which_it_is_shown(bowser, many):
    """Readings taken a thousand times on one rig, beside the density of one who knows that rig."""
    reading = reading_of("voltage motor+ motor- calling")
    book = bowser.shop.catalogue
    truth = faulty(bowser.model, [book.failure_modes["ground-resistive"]], (3,))
    one, random = alone(bowser, truth, 2000), np.random.default_rng(5)
    meters = [replace(truth, seed=(3, i)) for i in range(1000)]
    taken = [float(rig.shown(reading, book, random).split()[0]) for rig in meters]
    edges = np.quantile(taken, [0.1, 0.5, 0.9])
    grid = np.linspace(min(taken) - 0.5, max(taken) + 0.5, 400)
    density = np.array([IdealObserver(one, WRONG).density(reading, v).mean() for v in grid])
    below = np.cumsum(density) * (grid[1] - grid[0])

    assert below[-1] == pytest.approx(1, abs=0.01)
    assert np.interp(edges, grid, below) == pytest.approx([0.1, 0.5, 0.9], abs=0.05)


def test_it_names_what_is_plain(bowser, knowing):
    """A walk without a mistake on a rig as described, at whose end the tool is sure and right."""
    book = bowser.shop.catalogue
    truth = faulty(bowser.model, [book.failure_modes["supply-empty"]], (11,), mismatch=0.0)
    played = play(Walk(bowser), truth, Person(0.0), own)

    verdict = knowing.weigh(played)

    assert played.right
    assert verdict.right
    assert verdict.tool
    assert verdict.stated > 0.8
