"""The examples in the docstrings of the reasoning do what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import diagnose.reasoning

FEWEST = 12
"""Examples that there are at least: none is lost by a change of its form."""


def test_examples_in_docstrings_hold() -> None:
    package = diagnose.reasoning
    names = [one.name for one in pkgutil.iter_modules(package.__path__, f"{package.__name__}.")]

    results = [doctest.testmod(importlib.import_module(name)) for name in names]

    assert sum(one.failed for one in results) == 0
    assert sum(one.attempted for one in results) >= FEWEST
