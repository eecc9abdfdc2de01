"""What a sentence means by what stands round its words: another thing named before, a "but", a
condition, two figures, a "doesnt" at the end. What each means is a reader's judgement."""

from __future__ import annotations

from time import perf_counter

import pytest

from diagnose.phrases.numbers import figures_of, words_of
from tests.phrases.reading import read, taken, to_ask


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("the battery has bulged and its warm", "motor-heat=warm"),
        ("water drips from the pump head, slowly", "pump-action=slow"),
        ("it is stone cold and red hot", "motor-heat=too-hot-to-hold"),
        ("primes fine if i blow in the tank", "priming=primes"),
        ("lights work, pump doesnt", "pump-action=silent"),
        ("doesnt pump", "flow=none"),
        ("it keeps going", "pump-when-satisfied=keeps-running"),
    ],
)
def test_what_stands_round_it_makes_a_question_of_it(text: str, asks: str) -> None:
    found = read(text)
    assert asks in to_ask(found)
    assert asks not in taken(found)


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("it wont run but straight on the battery it runs fine", "bench-run-motor=runs-normal"),
        ("a horrid grinding noise from the motor", "motor-sound=grinding"),
        ("ran for maybe 20 seconds then stopped", "pump-action=starts-then-stops"),
        ("the battery is flat as a board", "battery-found=flat"),
        ("no it wont stop", "pump-when-satisfied=keeps-running"),
        ("somebody stuck a 40 in where the 20 should be", "main-fuse-marking=larger"),
        ("the fuse says 10, the sheet says 20", "main-fuse-marking=smaller"),
    ],
)
def test_what_stands_round_it_is_no_reason_to_ask(text: str, means: str) -> None:
    assert means in taken(read(text))


@pytest.mark.parametrize(
    ("asked", "text", "means"),
    [
        ("posts-while-charging", "theres no charger here", "no-source"),
        ("runs-another-way", "there isnt one", "no-other-way"),
        ("cycling-interval", "twice a night maybe", "hours"),
        ("relay-heat", "warm, not hot", "warm"),
        ("strainer-look", "was blocked, clean now", "clean"),
        ("smell", "no smell of burning, more like bleach", "chemical"),
    ],
)
def test_an_answer_is_what_it_says_last_and_not_what_it_denies(
    asked: str, text: str, means: str
) -> None:
    assert taken(read(text, asked=asked)) == [f"{asked}={means}"]


@pytest.mark.parametrize("text", ["cant get to the shaft", "didnt know there was two fuses"])
def test_a_negation_within_a_sentence_is_no_bare_no(text: str) -> None:
    assert taken(read(text, asked="motor-turns-by-hand")) == []


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("minus twelve", "-12"),
        ("twelve six", "12.6"),
        ("point four", "0.4"),
        ("hundred and seventy", "170"),
        ("two hundred", "200"),
        ("eleven and a half", "11.5"),
    ],
)
def test_a_figure_in_words_is_read(text: str, digits: str) -> None:
    assert [one.digits for one in figures_of(words_of(text))] == [digits]


def test_a_minus_at_the_end_is_no_figure() -> None:
    assert not list(figures_of(words_of("the red wire is on the minus")))


@pytest.mark.parametrize("word", ["a ", "no ", "it ", "wiggle the wire when "])
def test_many_small_words_take_time_in_proportion(word: str) -> None:
    read("pump dead")
    took = []
    for length in (400, 1600):
        began = perf_counter()
        read((word * length)[:length])
        took.append(perf_counter() - began)
    assert took[1] < 12 * took[0] + 0.2
