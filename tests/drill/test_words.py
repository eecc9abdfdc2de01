"""The words of the drill name everything that the book has, and nothing that it has not."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from diagnose.bench import Shop
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.probe_words import plain
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.circuit.heat import COMPONENTS
from diagnose.circuit.meter import QUANTITIES
from diagnose.circuit.reading_words import ALL_POINTS, CONDUCTORS
from diagnose.drill.told import load_people, shipped_people
from diagnose.drill.words import load_words, shipped_words
from diagnose.errors import DiagnoseError


def test_every_observation_point_place_and_quantity_has_a_name(shop: Shop) -> None:
    words = shipped_words()
    assert set(words.asks) == set(shop.catalogue.observations)
    assert set(words.probes.points) == set(ALL_POINTS)
    assert set(words.probes.places) == {*COMPONENTS, *CONDUCTORS, "outlet"}
    assert set(words.minutes) == set(QUANTITIES)
    assert set(QUANTITIES) <= set(words.verbs)


def test_what_the_words_point_at_is_there(shop: Shop) -> None:
    words = shipped_words()
    assert {point for pair in words.probes.parts.values() for point in pair} <= set(ALL_POINTS)
    assert set(words.jumpers) <= set(shop.catalogue.observations)
    assert {danger.caution for danger in words.dangers.values()} <= set(shop.catalogue.cautions)
    assert set(words.dangerous_rules) <= {rule.id for rule in shipped_rules()}


def test_no_phrase_means_two_things() -> None:
    words = shipped_words()
    dangers = {name: danger.phrases for name, danger in words.dangers.items()}
    for alone in (
        (words.asks, words.probes.states, dangers),
        (words.probes.points, words.probes.states),
    ):
        phrases = Counter(p for names in alone for each in names.values() for p in each)
        assert [phrase for phrase, count in phrases.items() if count > 1] == []
    assert not set(words.probes.parts) & {p for each in words.probes.points.values() for p in each}


def test_people_speak_of_complaints_answers_and_groups_of_the_book(shop: Shop) -> None:
    people, book = shipped_people(), shop.catalogue
    assert set(people.sayings) == set(book.complaints)
    assert set(people.onset) == set(book.observations["onset"].options)
    assert {name for guess in people.guesses for name in guess.after} <= set(book.complaints)
    assert set(people.traps) == set(shipped_vocabulary().failure_modes)
    assert all(len(traps) == 2 for traps in people.traps.values())


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Fuse-holder", "fuse holder"),
        ("relay.87a", "relay 87a"),
        ("lug- battery-", "lug- battery-"),
        ("what does it DO?", "what does it do"),
    ],
)
def test_marks_that_join_words_are_no_part_of_them(typed: str, said: str) -> None:
    assert plain(typed) == said


def test_a_slip_in_either_file_is_named_with_its_line(tmp_path: Path) -> None:
    file = tmp_path / "words.yaml"
    file.write_text("safe: [the]\nverbz: {}\n", "utf-8")
    with pytest.raises(DiagnoseError, match=r"line 2, key verbz: .*Did you mean 'verbs'"):
        load_words(file)
    file.write_text("sayings: {}\nguesses: [{say: 5}]\n", "utf-8")
    with pytest.raises(DiagnoseError, match=r"guesses\[1\]\.say"):
        load_people(file)
