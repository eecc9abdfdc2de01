"""A page of two complaints of the bowser, grown in this process. Every rig here is invented."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.handout.growing import Grove, kinds_of
from diagnose.handout.page import page_html
from diagnose.handout.tree import Grower
from diagnose.pages.complaints import complaints_of
from tests.report.conftest import browse

__all__ = ["browse"]

COMPLAINTS, DEPTH = ("relay-clicks-once", "fuse-holder-hot"), 3

SHARE = 0.015
"""Of the cases, with each of them: little, so that their trees are soon grown."""


@pytest.fixture(scope="session")
def grove(bowser: Bench) -> Grove:
    """The trees of two complaints, three questions deep."""
    told = tuple(one for one in complaints_of(bowser) if one.id in COMPLAINTS)
    kinds = kinds_of("phone")
    trees = tuple(
        tuple(Grower(bowser, able, DEPTH).tree(one, SHARE) for one in told) for able in kinds
    )
    return Grove(kinds, told, trees)


@pytest.fixture(scope="session")
def page(bowser: Bench, grove: Grove) -> str:
    return page_html(bowser, grove)
