"""The sentences of the page (strings.yaml), so that a translation is one file."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from diagnose.documents import load

FILE = Path(__file__).with_name("strings.yaml")

CHANCES = (
    (0.9, "almost-certain"),
    (0.65, "very-likely"),
    (0.35, "likely"),
    (0.15, "possible"),
    (0.0, "unlikely"),
)
"""Words for the probability of one cause among several, from these values up; a choice."""


@cache
def page_strings() -> Mapping[str, str]:
    """By their names. Raises Mistakes with every problem of the file."""
    document = load(FILE)
    found = {name: document.text(name) for name in document}
    document.finish()
    return found


def chance_word(probability: float) -> str:
    """The name of the words for how likely a cause is."""
    return next(name for least, name in CHANCES if probability >= least)
