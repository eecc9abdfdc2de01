"""The rules on worked situations; the table situations.yaml can be extended without Python."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import rule_words
from diagnose.reasoning.rules.book import RuleBook
from diagnose.reasoning.rules.conclusions import Conclusions, Symbols

TABLE = Path(__file__).with_name("situations.yaml")
SITUATIONS = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["situations"]
SYMBOLS = {"seen", "read", "rig", "suspects"}


def symbols(row: dict[str, Any]) -> Symbols:
    return Symbols(**{key: row[key] for key in SYMBOLS & row.keys()})


def blamed(conclusions: Conclusions, of: str, holds: str = "") -> bool:
    return any(one.of == of and holds in one.cause for one in conclusions.root_causes)


CHECKS = {
    "findings": lambda c, names: c.found() >= set(names) if names else not c.found(),
    "not_findings": lambda c, names: not c.found() & set(names),
    "cautions": lambda c, names: {one.caution for one in c.cautions} >= set(names),
    "stops": lambda c, names: {one.caution for one in c.cautions if one.stop} >= set(names),
    "blocked": lambda c, tests: all(c.blocked(test) for test in tests),
    "allowed": lambda c, tests: not any(c.blocked(test) for test in tests),
    "rejected": lambda c, names: [one.name for one in c.rejections] == sorted(names),
    "root_causes": lambda c, rows: all(blamed(c, **row) for row in rows),
    "not_root_causes": lambda c, modes: not any(blamed(c, mode) for mode in modes),
}


@pytest.mark.parametrize("row", SITUATIONS, ids=lambda row: row["name"])
def test_situation(row: dict[str, Any], book: RuleBook) -> None:
    conclusions = book.run(symbols(row))

    expected = row.keys() - SYMBOLS - {"name"}
    assert expected
    assert expected <= CHECKS.keys()
    failed = [key for key in sorted(expected) if not CHECKS[key](conclusions, row[key])]
    assert not failed, conclusions


@pytest.mark.parametrize("row", SITUATIONS, ids=lambda row: row["name"])
def test_situation_uses_names_of_the_knowledge(row: dict[str, Any]) -> None:
    words = rule_words(shipped_catalogue())
    tests = row.get("blocked", []) + row.get("allowed", [])
    for name, value in symbols(row).seen.items():
        assert value in words.observations[name]
    for name, value in symbols(row).rig.items():
        assert value in words.rig[name]
    assert set(tests) <= words.tests()
    assert set(symbols(row).read) <= set(words.readings)
    assert set(symbols(row).suspects) <= set(words.failure_modes)
