"""The rules on worked situations; the table situations.yaml can be extended without Python."""

from collections.abc import Iterable
from fnmatch import filter as matching
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import rule_words
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.rules.book import RuleBook
from diagnose.reasoning.rules.conclusions import Conclusions, Symbols
from diagnose.reasoning.stops import ActiveStop, active_stops

TABLE = Path(__file__).with_name("situations.yaml")
SITUATIONS = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["situations"]
SYMBOLS = {"seen", "read", "rig", "suspects"}


def symbols(row: dict[str, Any]) -> Symbols:
    return Symbols(**{key: row[key] for key in SYMBOLS & row.keys()})


def known_tests() -> dict[str, Test]:
    """Every test of the book, by the name that rules use."""
    book = shipped_catalogue()
    seen = [Test(entry.id, entry) for entry in book.observations.values()]
    read = [Test(entry.id, entry) for entry in book.readings.values()]
    return {test.rule_name: test for test in (*seen, *read)}


TESTS = known_tests()


def stops_of(row: dict[str, Any], conclusions: Conclusions) -> tuple[ActiveStop, ...]:
    """Those that stand when what the row names was made safe after all was said."""
    made_safe = dict.fromkeys(row.get("made_safe", ()), 0)
    return active_stops(conclusions.stops, shipped_catalogue().stops, {}, made_safe)


def kept_off(stops: Iterable[ActiveStop], patterns: list[str]) -> bool:
    """Whether some stop keeps off every test that each pattern means."""
    meant = [matching(TESTS, pattern) for pattern in patterns]
    return all(meant) and all(
        any(stop.forbids(TESTS[name]) for stop in stops) for names in meant for name in names
    )


def blamed(conclusions: Conclusions, of: str, holds: str = "") -> bool:
    causes = [one.then for one in conclusions.root_causes]
    return any(one.of == of and holds in one.cause for one in causes)


CHECKS = {
    "findings": lambda c, names: (
        c.finding_names() >= set(names) if names else not c.finding_names()
    ),
    "not_findings": lambda c, names: not c.finding_names() & set(names),
    "cautions": lambda c, names: {one.then.caution for one in c.cautions} >= set(names),
    "blocked": lambda c, tests: all(c.block_on(test) for test in tests),
    "allowed": lambda c, tests: not any(c.block_on(test) for test in tests),
    "rejected": lambda c, names: sorted(one.then.name for one in c.rejections) == sorted(names),
    "root_causes": lambda c, rows: all(blamed(c, **row) for row in rows),
    "not_root_causes": lambda c, modes: not any(blamed(c, mode) for mode in modes),
}


STOP_CHECKS = {
    "stops": lambda stops, names: {one.id for one in stops} == set(names),
    "kept_off": kept_off,
    "allowed": lambda stops, tests: (
        not any(stop.forbids(TESTS[test]) for stop in stops for test in tests)
    ),
}


@pytest.mark.parametrize("row", SITUATIONS, ids=lambda row: row["name"])
def test_situation(row: dict[str, Any], book: RuleBook) -> None:
    conclusions = book.run(symbols(row))
    stops = stops_of(row, conclusions)

    expected = row.keys() - SYMBOLS - {"name", "made_safe"}
    assert expected
    assert expected <= CHECKS.keys() | STOP_CHECKS.keys()
    failed = [
        key
        for checks, found in ((CHECKS, conclusions), (STOP_CHECKS, stops))
        for key in sorted(expected & checks.keys())
        if not checks[key](found, row[key])
    ]
    assert not failed, (stops, conclusions)


@pytest.mark.parametrize("row", SITUATIONS, ids=lambda row: row["name"])
def test_situation_uses_names_of_the_knowledge(row: dict[str, Any]) -> None:
    words = rule_words(shipped_catalogue())
    tests = row.get("blocked", []) + row.get("allowed", [])
    for name, value in symbols(row).seen.items():
        assert value in words.observations[name]
    for name, value in symbols(row).rig.items():
        assert value in words.rig[name]
    assert set(tests) <= words.tests() == TESTS.keys()
    assert {*row.get("stops", ()), *row.get("made_safe", ())} <= shipped_catalogue().stops.keys()
    assert set(symbols(row).read) <= set(words.readings)
    assert set(symbols(row).suspects) <= set(words.failure_modes)
