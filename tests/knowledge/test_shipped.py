"""The knowledge that comes with the program: whole, clean, and all of it of some use."""

import re
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from itertools import chain

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.catalogue.issues import Severity
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.records import FailureMode, ReadingEntry
from diagnose.catalogue.rig_shapes import SETTLED, Shape, shape_of, shapes
from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.catalogue.templates import for_rig
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.circuit.parameters import PART
from diagnose.circuit.reading_words import STATES
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.circuit.trial_signs import SIGNS
from diagnose.documents import parse
from diagnose.reasoning.hypotheses import Hypotheses, variants_of
from diagnose.reasoning.next_test import ExpectedGain, TestChooser
from diagnose.reasoning.outcome_table import OutcomeTable
from diagnose.reasoning.posterior import posterior
from tests import once

BOOK = shipped_catalogue()
WORDS = shipped_vocabulary()
each_mode = pytest.mark.parametrize("mode", BOOK.failure_modes.values(), ids=lambda mode: mode.id)


def test_lint_finds_nothing_that_has_to_be_mended() -> None:
    issues = [one for one in once.issues() if one.severity is not Severity.NOTE]

    assert not issues, "\n".join(map(str, issues))


OUR_ANSWERS = {"battery-look": "hot-or-hissing", "smell": "fuel", "smoke": "still-smoking"}
"""Answers of our own to what was promised: dangers that had no word."""


def test_the_whole_vocabulary_is_there() -> None:
    """How much the project promised to cover, and has come to: nothing of it may get lost. More is
    added by files alone; an observation then says in `tells` what nothing else tells apart."""
    promised = [one.id for one in BOOK.observations.values() if not one.tells]
    answers = WORDS.observations
    assert BOOK.failure_modes.keys() == WORDS.group_of.keys()
    assert BOOK.observations.keys() == answers.keys()
    assert len(promised) == 50, "a new observation says in `tells` what nothing else tells apart"
    assert sum(len(answers[name]) for name in promised) >= 164 + len(OUR_ANSWERS)
    assert all(answer in answers[name] for name, answer in OUR_ANSWERS.items())
    assert len(WORDS.failure_modes) >= 17
    assert len(WORDS.group_of) >= 118
    assert len(answers) >= 101
    assert sum(map(len, answers.values())) >= 351
    assert (len(WORDS.test_points), len(WORDS.conditions)) == (24, 5)
    assert set(WORDS.conditions) == {*STATES, "isolated"}
    assert BOOK.quantities.keys() == WORDS.readings.keys()
    assert len(BOOK.quantities) == 7


def test_relay_terminals_are_those_of_the_standard() -> None:
    """Source: DIN 72552: 30 feed, 85 and 86 coil, 87 makes, 87a breaks (source
    relay-terminals-din-72552)."""
    terminals = {point for point in WORDS.test_points if point.startswith("relay.")}

    assert terminals == {f"relay.{number}" for number in ("30", "85", "86", "87", "87a")}


@cache
def every_shape() -> tuple[Shape, ...]:
    """Rigs described in short, and the bundled ones with the parts that they list."""
    return (*shapes(), *(shape_of(open_rig(name)) for name in bundled_rigs()))


def wherever(mode: FailureMode) -> Iterator[tuple[FailureMode, Rig]]:
    """A failure mode on each rig that can have it, once for each listed part that it is about."""
    written = (BOOK.raw or BOOK).failure_modes[mode.id]
    for shape in every_shape():
        yield from ((one, shape.model.rig) for one in shape.modes(written))


@cache
def readings_on(rig: Rig) -> Mapping[str, ReadingEntry]:
    return for_rig(BOOK, rig).readings


@each_mode
def test_failure_mode_says_what_to_do(mode: FailureMode) -> None:
    assert mode.title
    assert mode.about.strip()
    assert len(mode.fix) >= 2, "one step is not a repair"
    assert all(cause.cause and cause.mend for cause in mode.root_causes)
    assert mode.root_causes
    assert mode.prevention
    assert mode.parts or mode.repair.split("-")[0] not in ("replace", "fit"), "what is fitted?"
    for one, rig in wherever(mode):
        assert str(one.verify.reading) in readings_on(rig)
    assert mode.verify.why
    assert all(BOOK.sources[name].title for name in mode.sources)
    assert mode.sources


@each_mode
def test_failure_mode_is_somewhere_and_leaves_a_mark(mode: FailureMode) -> None:
    """On each rig that can have it, it changes the circuit or what is seen, in shares of one."""
    assert list(wherever(mode))
    for one, rig in wherever(mode):
        variants = variants_of(one, rig)
        assert sum(variant.share for variant in variants) == pytest.approx(1)
        assert all(variant.effects[0].changes or variant.shows for variant in variants)


def test_a_result_leads_to_a_cause_that_is_none() -> None:
    first = {mode.id for mode in BOOK.failure_modes.values() if not mode.result_of}
    reached = set(first)
    for _ in BOOK.failure_modes:
        reached |= {mode.id for mode in BOOK.failure_modes.values() if reached & {*mode.result_of}}

    assert reached == BOOK.failure_modes.keys()


def test_hazards_of_the_power_path_carry_a_caution() -> None:
    """Whatever opens the feed before its fuse, bridges a fuse or meets the battery can hurt."""
    groups = {"battery", "battery-connections", "main-fuse", "power-wiring"}
    those = [mode for mode in BOOK.failure_modes.values() if mode.group in groups]

    assert {mode.group for mode in those} == groups
    assert [mode.id for mode in those if not mode.cautions] == []


def test_what_the_circuit_predicts_is_what_the_book_says_it_does() -> None:
    assert {one.id for one in BOOK.observations.values() if one.predicted} == SIGNS.keys()


def test_signs_have_a_row_for_every_answer() -> None:
    """As benches reckon with them, which have every sign between them; on odd rigs:
    tests/design/test_bounds.py."""
    met = set()
    for bench in map(once.bench, once.RIGS):
        for name in SIGNS.keys() & bench.tests.keys():
            rows = bench.predictions.plain(name)
            assert rows.shape == (len(BOOK.observations[name].options), len(bench.hypotheses)), name
            assert np.allclose(rows.sum(axis=0), 1, rtol=1e-6), name
            met.add(name)

    assert met == SIGNS.keys()


@pytest.fixture(scope="module")
def benches() -> list[Bench]:
    """The bundled rigs, those of tests/once.py first, and one of every other shape that has points
    of its own."""
    names = (*once.RIGS, *(name for name in bundled_rigs() if name not in once.RIGS))
    others = ("direct, control: float_switch", "direct, control: manual", "relay, control: manual")
    plain = [f"{{topology: {shape}, pump: {{current: 10 A}}}}" for shape in others]
    rigs = chain(map(open_rig, names), (read_rig(parse(text, "rig")) for text in plain))
    return [Bench.for_rig(rig, once.shop()) for rig in rigs]  # the proof cases need most of them


def test_every_test_can_be_asked_and_teaches_something(benches: list[Bench]) -> None:
    """A test that no rig can have, or that reads the same whatever is wrong, is dead weight."""
    bits: dict[str, float] = {}
    for bench in benches:
        left = {name for name in bench.tests if bits.get(name, 0.0) < LEAST_BITS}
        for gain in gains(bench, left) if left else ():
            bits[gain.test.id] = max(bits.get(gain.test.id, 0.0), gain.bits)

    told = {template_of(name) for name in bits if name not in BOOK.readings}
    of_parts = {name for name in told if reads_a_listed_part(name)}
    assert told - of_parts == BOOK.observations.keys()
    assert {name for name, most in bits.items() if most < LEAST_BITS} == set()


def gains(bench: Bench, names: Collection[str]) -> tuple[ExpectedGain, ...]:
    """What these tests teach before anything is known."""
    tests = tuple(test for name, test in bench.tests.items() if name in names)
    outcomes = OutcomeTable(bench.predictions, tests)
    chooser = TestChooser(outcomes, bench.shop.repair, bench.model.figures)
    return chooser.gains(posterior(bench.predictions, ()), names, "calling")


def reads_a_listed_part(name: str) -> bool:
    """Whether a test is a reading at a point that has the name of a part."""
    return name.split()[0] in BOOK.quantities


LEAST_BITS = 1e-4
"""What a test must be able to teach before anything is known [bit]: more than rounding."""


def test_every_failure_mode_can_come_up(benches: list[Bench]) -> None:
    met = {mode for bench in benches for mode in possible(bench.hypotheses)}

    assert {template_of(name) for name in met} == BOOK.failure_modes.keys()


def possible(hypotheses: Hypotheses) -> Iterator[str]:
    """The failure modes that have any weight on a rig."""
    for index, name in enumerate(hypotheses.modes):
        if hypotheses.weight[hypotheses.mode == index].sum() > 0:
            yield name


def test_facts_of_a_rig_are_those_that_the_rules_know() -> None:
    for shape in shapes():
        assert shape.facts.keys() <= RIG_FACTS.keys()
        assert all(len(shape.facts[name]) == 1 for name in SETTLED)
    assert {name for shape in shapes() for name in shape.facts} == RIG_FACTS.keys() - {PART}
    assert len(shapes()) == 9


def test_texts_are_plain_sentences() -> None:
    """What is shown to a person begins like a sentence and holds no doubled blanks."""
    books = (BOOK.observations, BOOK.readings)
    shown = [text for book in books for one in book.values() for text in (one.how, one.why)]
    shown += [step for mode in BOOK.failure_modes.values() for step in mode.fix]
    shown += [rule.because for rule in shipped_rules()]
    for text in shown:
        assert re.match(r"[A-Z0-9\"']", text), text
        assert "  " not in text, text
