"""What published safety texts warn of is said somewhere, and what is said there names them.

The rows are those of tests/tables/hazards.yaml; test_tables.py holds each to the places it names.
"""

from __future__ import annotations

import pytest

from diagnose.catalogue.load import shipped_catalogue
from tests.outside.hazard_tables import SOURCES, TABLE, cited, places, rows, said_at

WITHOUT: list[str] = TABLE["without-a-source"]
NAMED = {(place, row["source"]) for row in rows() for place in row["where"]}
"""Each place that a row names, with the row's source."""


def test_every_place_is_there_and_holds_its_words() -> None:
    wrong = {
        f"{row['hazard']}: {place}"
        for row in rows()
        for place in row["where"]
        if place not in said_at(row["where"])
    }
    assert not wrong
    assert all(words for row in rows() for words in row["where"].values())


def test_every_published_safety_source_has_a_row() -> None:
    missing = {source for _, source in cited()} - {row["source"] for row in rows()}
    assert not missing


def test_what_a_caution_or_a_stop_takes_from_a_source_is_a_row() -> None:
    """A source that is named beside a text without anything of it being there would show here."""
    unsaid = {pair for pair in cited() if pair[0].split()[0] in ("caution", "stop")} - NAMED
    assert not unsaid


def test_every_place_names_the_source_of_its_row() -> None:
    unnamed = {(place, source) for place, source in NAMED if source not in places()[place][1]}
    assert not unnamed


def test_every_caution_and_stop_has_a_row_or_is_common_practice() -> None:
    book = shipped_catalogue()
    every = {f"caution {name}" for name in book.cautions} | {f"stop {name}" for name in book.stops}
    named = {place for place, _ in NAMED}

    assert every == (named & every) | {*WITHOUT}
    assert not named & {*WITHOUT}
    for place in WITHOUT:
        assert {SOURCES[one].kind for one in places()[place][1]} == {"common-practice"}


def test_what_is_left_out_says_why() -> None:
    assert all(row["because"] and row["source"] in SOURCES for row in TABLE["left-out"])


@pytest.mark.parametrize(
    "where",
    [
        {"caution battery-short": ["spanner", "unicorn"]},
        {"caution no-such-caution": ["spanner"]},
        {"stop battery-short": ["spanner"]},
    ],
)
def test_a_place_without_the_words_is_not_counted(where: dict[str, list[str]]) -> None:
    assert not [*said_at(where)]
