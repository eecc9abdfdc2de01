"""The shipped rules, compiled once for all tests of this folder."""

import pytest

from diagnose.catalogue.load_rules import shipped_rules
from diagnose.reasoning.rules.book import RuleBook


@pytest.fixture(scope="session")
def book() -> RuleBook:
    return RuleBook(shipped_rules())
