"""What people say of the parts of a rig that lists them: words that hold only where there is such
a part, and which one of several is meant. What each means is a reader's judgement."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.catalogue.plain_reader import shipped_plain_words
from diagnose.phrases import EITHER, Understood
from diagnose.phrases.rig_words import words_for
from tests.phrases.reading import listed, read, read_listed, taken, to_ask

TABLE = Path(__file__).parent.parent / "tables" / "part_sentences.yaml"
SENTENCES = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["sentences"]
TWO_PLUGS = str(Path(__file__).parent / "two_plugs.yaml")


def _read(text: str, rig: str, asked: str | None = None) -> Understood:
    return read_listed(text, TWO_PLUGS if rig == "two_plugs" else rig, asked)


@pytest.mark.parametrize("row", SENTENCES, ids=lambda row: row["text"][:40])
def test_a_sentence_about_a_part_means_what_a_fitter_takes_down(row: Mapping[str, Any]) -> None:
    found = _read(row["text"], row["rig"])
    assert set(taken(found)) == set(row.get("means", []))
    assert set(to_ask(found)) == set(row.get("either", []))
    readings = [
        f"{one.reading} = {one.value}{'?' if one.strength == EITHER else ''}"
        for one in found.readings
    ]
    assert readings == row.get("readings", [])


@pytest.mark.parametrize(
    ("rig", "asked", "text", "means"),
    [
        ("two_plugs", "plug-look@trailer-plug", "it's green", "corroded"),
        ("two_plugs", "plug-look@battery-plug", "not fully in", "not-home"),
        ("two_plugs", "plug-pushed-home@battery-plug", "yes", "cured"),
        ("two_plugs", "part-heat@pump-breaker", "warm", "warm"),
        ("two_plugs", "breaker-reset@pump-breaker", "tripped straight away", "trips-at-once"),
        ("two_plugs", "load-off@fogger", "better", "better"),
        ("two_plugs", "supply-height", "about six feet", "up-to-8-ft"),
        ("two_plugs", "supply-height", "three feet", "up-to-3-ft"),
        ("two_plugs", "supply-height", "three metres", "beyond-8-ft"),
        ("two_plugs", "supply-height", "same height", "at-or-above"),
        ("two_plugs", "return-valve-position", "wide open", "further-open"),
        ("two_plugs", "hose-unrolled", "no change", "no-change"),
        ("spray-trailer", "battery-display", "nearly empty", "low"),
        ("spray-trailer", "protection-wakes", "never", "never-off"),
        ("van-shower", "isolator-engine", "only when i rev it", "closes-with-revs"),
        ("utility-tank", "key-loads", "all dead", "dead-too"),
        ("solar-well", "controller-light", "three blinks", "fault"),
        ("nursery-feed", "extra-fuse-history", "now and then", "blows-at-times"),
    ],
)
def test_a_short_answer_about_a_part(rig: str, asked: str, text: str, means: str) -> None:
    assert taken(_read(text, rig, asked)) == [f"{asked}={means}"]


@pytest.mark.parametrize(
    "text", ["the plug is green", "there's water in the trigger", "the reel drips at the hub"]
)
def test_on_a_rig_without_such_a_part_its_words_mean_no_part(text: str) -> None:
    found = read(text)
    assert not [one for one in found.matches if one.observation in ("plug-look", "switch-look")]
    assert "reel-look=wet-at-hub" not in taken(found)


def test_what_an_owner_calls_a_part_goes_before_what_the_word_means_elsewhere() -> None:
    assert "load-look@fogger=strains" in taken(_read("the fogger hums", "two_plugs"))
    assert taken(read("the fogger is blocked")) == ["nozzle-look=blocked"]


def test_the_words_for_a_rig_are_made_once() -> None:
    book, facts, rig = listed(TWO_PLUGS)
    words = shipped_plain_words()
    assert words_for(words, book, rig, facts) is words_for(words, book, rig, dict(facts))
