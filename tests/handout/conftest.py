"""A page of two complaints of the bowser, grown in this process. Every rig here is invented."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.handout.growing import Grove, grow
from diagnose.handout.page import page_html
from diagnose.pages.complaints import complaints_of
from tests.report.conftest import browse

__all__ = ["browse"]

COMPLAINTS, DEPTH = ("relay-clicks-once", "fuse-holder-hot"), 3


@pytest.fixture(scope="session")
def grove(bowser: Bench) -> Grove:
    """The trees of two complaints, three questions deep."""
    told = [one for one in complaints_of(bowser) if one.id in COMPLAINTS]
    return grow(bowser, "phone", DEPTH, workers=1, complaints=told)


@pytest.fixture(scope="session")
def page(bowser: Bench, grove: Grove) -> str:
    return page_html(bowser, grove)
