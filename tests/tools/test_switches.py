"""Calls between two modules made by hand are counted as they are written."""

from __future__ import annotations

import sys
from types import ModuleType

import pytest

from tests.tools.switches import counted

ONE = """
def back(): pass
def alone(): back()
def there(times, other):
    for _ in range(times): other.and_back()
def sorts(other): return sorted([3, 1, 2], key=other.plain)
def takes(other): return list(other.gives(2))
def fails(other):
    try: other.raises()
    except ValueError: back()
"""
TWO = """
import toy.one
def plain(x): return x
def and_back(): toy.one.back()
def gives(n):
    for i in range(n): yield plain(i)
def raises(): raise ValueError
"""


@pytest.fixture
def toy(monkeypatch: pytest.MonkeyPatch) -> tuple[ModuleType, ModuleType]:
    """A package of two modules."""
    package, one, two = (ModuleType(name) for name in ("toy", "toy.one", "toy.two"))
    vars(package).update(one=one, two=two)
    for module in (package, one, two):
        monkeypatch.setitem(sys.modules, module.__name__, module)
    exec(ONE, vars(one))
    exec(TWO, vars(two))
    return one, two


def test_calls_there_and_back_are_counted_and_calls_within_are_not(
    toy: tuple[ModuleType, ModuleType],
) -> None:
    one, two = toy
    found = counted(lambda: one.there(3, two), "toy")

    assert found.pairs == {("toy.one", "toy.two"): 3, ("toy.two", "toy.one"): 3}
    assert (found.count, found.modules) == (6, {"toy.one", "toy.two"})
    assert counted(one.alone, "toy").count == 0


def test_calls_by_way_of_a_library_are_counted(toy: tuple[ModuleType, ModuleType]) -> None:
    """`sorted` asks for the key of each of three items; a generator of two is resumed thrice."""
    one, two = toy

    assert counted(lambda: one.sorts(two), "toy").pairs == {("toy.one", "toy.two"): 3}
    assert counted(lambda: one.takes(two), "toy").pairs == {("toy.one", "toy.two"): 3}


def test_after_an_error_the_count_goes_on_where_it_is_caught(
    toy: tuple[ModuleType, ModuleType],
) -> None:
    one, two = toy

    assert counted(lambda: one.fails(two), "toy").pairs == {("toy.one", "toy.two"): 1}


def test_other_packages_are_left_out(toy: tuple[ModuleType, ModuleType]) -> None:
    one, two = toy

    assert counted(lambda: one.there(3, two), "to").count == 0
