"""What people say of a rig. The sentences of tests/tables/plain_sentences.yaml are written as
people type; what each is to mean is a reader's judgement, not the program's."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.plain_reader import load_plain_words, shipped_plain_words
from diagnose.catalogue.plain_vocabulary import PlainWords, stem
from diagnose.errors import Mistakes
from diagnose.phrases import EITHER, LONGEST, TooLong, Understood
from tests.phrases.reading import named, read

TABLE = Path(__file__).parent.parent / "tables" / "plain_sentences.yaml"
SENTENCES = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["sentences"]

NOT_TOLD = {
    ("charging-source-effect", "not-tried"),
    ("other-loads", "none-on-this-feed"),
    ("runs-another-way", "no-other-way"),
    ("time-pattern", "always"),
    ("smell-where", "none"),
    ("connected-reversed", "never"),
    ("posts-while-charging", "no-source"),
    ("load-off", "not-tried"),
    ("key-loads", "none-on-it"),
    ("isolator-engine", "not-tried"),
}
"""Answers that nobody volunteers."""

TRIED_WHEN_ASKED = (
    "cold-beside-hot",
    "filter-out",
    "last-charge",
    "new-main-fuse",
    "ohms-while-turned",
    "outlet-opened",
    "outlet-valve-shut",
    "regulator-turned",
    "relief-drip",
    "run-from-bucket",
)
"""Observations that nobody has made, or can tell as they are meant, before being asked."""


@pytest.mark.parametrize("row", SENTENCES, ids=lambda row: row["text"][:40] or "nothing")
def test_a_sentence_means_what_a_fitter_takes_down(row: Mapping[str, Any]) -> None:
    found = read(row["text"], row.get("rig", "bowser"))
    signs = [(f"{one.observation}={one.option}", one.strength) for one in named(found)]
    assert {sign for sign, how in signs if how != EITHER} == set(row.get("means", []))
    assert {sign for sign, how in signs if how == EITHER} == set(row.get("either", []))
    assert [f"{one.observation}={one.option}" for one in found.absent] == row.get("absent", [])
    assert list(found.not_understood) == row.get("left", [])
    readings = [f"{one.reading} = {one.value}" for one in found.readings]
    assert readings == row.get("readings", [])


@pytest.mark.parametrize("row", SENTENCES[:40], ids=lambda row: row["text"][:40])
def test_capitals_and_spaces_change_nothing(row: Mapping[str, Any]) -> None:
    plain = read(row["text"], row.get("rig", "bowser"))
    loud = read(f"  {row['text'].upper()}  ", row.get("rig", "bowser"))
    assert [(m.observation, m.option) for m in loud.matches] == [
        (m.observation, m.option) for m in plain.matches
    ]


def test_a_match_quotes_the_words_that_made_it() -> None:
    found = read("Relay  clicks like MAD, and the fuse holder's (rather) hot")
    assert [one.words for one in found.matches] == [
        "Relay  clicks like MAD",
        "fuse holder's \N{HORIZONTAL ELLIPSIS} hot",
    ]


@pytest.mark.parametrize(
    ("text", "strength"),
    [
        ("relay chatters", "clear"),
        ("relay chattrs", "near"),
        ("I think the relay chatters", "either"),
        ("My relay is new. It chatters.", "near"),
        ("relay clicks", "either"),
    ],
)
def test_how_surely_something_is_said(text: str, strength: str) -> None:
    assert {one.strength for one in named(read(text))} == {strength}


def test_what_may_mean_either_is_settled_by_what_is_said_elsewhere() -> None:
    found = read("The relay clicks. It clicks once.")
    assert [one.option for one in named(found)] == ["one-click"]


def test_two_things_said_of_the_same_are_both_given() -> None:
    options = [one.option for one in named(read("relay chatters, relay is silent"))]
    assert options == ["chatters", "silent"]


def test_a_long_text_is_refused_with_a_sentence() -> None:
    with pytest.raises(TooLong, match="2000 characters"):
        read("hot " * LONGEST)


def test_a_text_of_nothing_but_odd_signs_means_nothing() -> None:
    assert read("\x00\x1b[ \u202e '' -- ,,, & + #") == Understood()


def test_every_answer_can_be_told_in_words_or_is_known_not_to_be() -> None:
    told = {(one.observation, one.option) for one in shipped_plain_words().phrases}
    answers = {
        (entry.id, option)
        for entry in shipped_catalogue().observations.values()
        for option in entry.options
    }
    untold = {(name, option) for name, option in answers - told if name not in TRIED_WHEN_ASKED}
    assert untold == NOT_TOLD


def test_what_complaints_say_is_understood_as_they_mean_it() -> None:
    """knowledge/complaints.yaml was written by others: no sentence of it may be misread."""
    understood = 0
    for complaint in shipped_catalogue().complaints.values():
        for one in read(complaint.say).matches:
            if one.strength != EITHER and one.observation in complaint.seen:
                assert complaint.seen[one.observation] == one.option, complaint.say
                understood += 1
    assert understood > len(shipped_catalogue().complaints) / 2


@pytest.mark.parametrize(
    ("words", "root"),
    [
        ("click clicks clicked clicking", "click"),
        ("hum hums hummed humming", "hum"),
        ("buzz buzzes buzzing", "buzz"),
        ("pulse pulses pulsing", "puls"),
        ("switch switches", "switch"),
        ("wire wires", "wire"),
        ("press presses pressing", "press"),
        ("speed", "speed"),
        ("string", "string"),
        ("corroded corrodes corroding", "corrod"),
    ],
)
def test_stems(words: str, root: str) -> None:
    assert {stem(word) for word in words.split()} == {root}


SOUND = """
things: {relay: [relay], fuse: [fuse], main-fuse: [main fuse]}
states: {clicks: [click], swapped: [swapped], late: [after minutes]}
either: {fuse: [main-fuse]}
undoing: [swapped]
circumstances: [late]
trials: [swapped]
fillers: [the]
places: [at]
spans: [between]
numbers: [two]
negations: [not]
conditions: [when]
joins: [and]
breaks: [but]
turns: [then]
hedges: [maybe]
questions: [where is]
lookalikes: [matter]
passing: [late]
signs:
  relay-sound: {one-click: [relay clicks, main-fuse clicks]}
"""


def loaded(folder: Path, text: str) -> PlainWords:
    file = folder / "words.yaml"
    file.write_text(text, encoding="utf-8")
    return load_plain_words(file, shipped_catalogue())


def test_the_small_vocabulary_is_sound(tmp_path: Path) -> None:
    words = loaded(tmp_path, SOUND)
    found = read("The relay clicks", words=words)
    assert [(one.observation, one.option) for one in found.matches] == [
        ("relay-sound", "one-click")
    ]


@pytest.mark.parametrize(
    ("sound", "broken", "said"),
    [
        ("[relay clicks,", "[relay clikcs,", ["one-click", "no group of words", "'clicks'"]),
        ("one-click:", "one-clack:", ["answer to relay-sound", "'one-click'"]),
        ("relay-sound:", "relay-sond:", ["no observation", "'relay-sound'"]),
        ("clicks: [click]", "clicks: [click], ticks: [clicking]", ["'clicking'", "also", "clicks"]),
        ("clicks: [click]", "clicks: [click], ticks: [tick]", ["no sign speaks of 'ticks'"]),
        ("clicks: [click]", "clicks: [click, '12']", ["'12'", "without a word"]),
        ("[relay clicks,", "[relay main-fuse clicks,", ["two things", "relay and main-fuse"]),
        ("{fuse: [main-fuse]}", "{fuse: [mane-fuse]}", ["no thing", "'main-fuse'"]),
        ("undoing: [swapped]", "undoing: [swaped]", ["no state", "'swapped'"]),
        ("hedges: [maybe]", "hedge: [maybe]", ["hedges"]),
        ("joins: [and]", "joins: [and, and]", ["'and'", "also"]),
        ("passing: [late]", "passing: [lade]", ["no state", "'lade'"]),
        (
            "signs:",
            "answers: {sound: {to: [relay-sound], options: {one-clack: [click]}}}\nsigns:",
            ["answer to relay-sound", "'one-clack'"],
        ),
        (
            "signs:",
            "answers: {sound: {to: [relay-sound], yes_means: no, options: {}}}\nsigns:",
            ["yes_means"],
        ),
    ],
)
def test_each_mistake_in_the_words_is_named_with_its_place(
    tmp_path: Path, sound: str, broken: str, said: list[str]
) -> None:
    assert sound in SOUND
    with pytest.raises(Mistakes) as caught:
        loaded(tmp_path, SOUND.replace(sound, broken, 1))
    for part in ["words.yaml, line", *said]:
        assert part in str(caught.value)
