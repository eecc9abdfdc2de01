"""The shipped rules, compiled once for all tests of this folder."""

import pytest

from diagnose.catalogue.load_rules import shipped_rules
from diagnose.reasoning.rules.book import RuleBook
from tests.conftest import kept


@pytest.fixture(scope=kept)
def book() -> RuleBook:
    return RuleBook(shipped_rules())
