"""The demo's year of invented cases: it loads, it says that it is invented, it can be reviewed."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest

from diagnose.bench import Shop
from diagnose.casebook.brief import groups_of
from diagnose.casebook.index import opened_index
from diagnose.casebook.learning import learning_from
from diagnose.casebook.record import Case
from diagnose.casebook.review import review
from diagnose.casebook.store import Casebook
from diagnose.reasoning import OTHER

YEAR = Path(__file__).parents[2] / "cases" / "garden-year"
MARK = "Invented for the demo."


@pytest.fixture(scope="module")
def year() -> tuple[Case, ...]:
    loaded = Casebook.open(YEAR).cases()
    assert loaded.problems == ()
    return loaded.good


def test_every_case_is_marked_as_invented(year: tuple[Case, ...]) -> None:
    assert len(year) >= 48
    assert all(case.notes.startswith(MARK) for case in year)
    assert all(len(case.notes) > len(MARK) + 20 for case in year)


def test_it_is_a_whole_year_on_several_rigs(year: tuple[Case, ...]) -> None:
    months = Counter(f"{case.opened:%Y-%m}" for case in year)

    assert len(months) == 12
    assert min(months.values()) >= 3
    assert len({case.rig for case in year}) >= 5
    assert {"direct", "relay"} == {case.rig.topology for case in year}


def test_some_came_back_some_are_unknown_some_unproved(year: tuple[Case, ...]) -> None:
    assert sum(case.status == "reopened" for case in year) >= 2
    assert sum(case.status == "open" for case in year) >= 2
    assert sum(case.true_cause == OTHER for case in year) >= 2
    assert sum(case.status == "closed" and not case.confirmed for case in year) >= 3
    assert sum(case.confirmed for case in year) > len(year) / 2


def test_it_speaks_of_today_s_book(year: tuple[Case, ...], shop: Shop) -> None:
    book = shop.catalogue
    known = {*book.failure_modes, OTHER}

    for case in year:
        assert {case.cause, case.true_cause or case.cause} <= known, case.id
        assert case.complaint, case.id
        for seen in case.seen:
            assert seen.option in book.observations[seen.observation].options, case.id
        for read in case.read:
            assert str(read.reading) in book.readings, case.id


def test_times_follow_one_another(year: tuple[Case, ...]) -> None:
    for case in year:
        times = [item.at for item in case.found if item.at]
        assert case.opened <= min(times), case.id
        assert case.closed is None or max(times) < case.closed, case.id


def test_a_review_of_it_has_something_to_say(
    year: tuple[Case, ...], shop: Shop, tmp_path: Path
) -> None:
    shutil.copytree(YEAR, tmp_path / "year")
    groups = groups_of(shop.catalogue)

    with opened_index(Casebook.open(tmp_path / "year")) as index:
        found = review(index, index.briefs(), groups)
        learning = learning_from(index.briefs(), groups)

    assert found.cases == len(year)
    assert found.modes[0].cases >= 4
    assert len(found.returns) >= 4
    assert 0.6 < found.hits.first / found.hits.confirmed < 1
    assert found.parts
    assert learning.total(learning.counts) == sum(c.confirmed and c.in_the_book for c in year)
