"""What many tests share: the knowledge, and one bench a rig, built once."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import cache
from typing import Literal

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # two test processes on two cores

import pytest
from hypothesis import HealthCheck, settings

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import open_rig

# A loaded machine is slow, not wrong: no property fails by the clock.
# What the fixtures here give is never changed by a test, however long it lasts (see `kept`).
UNHARMED = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
settings.register_profile("steady", deadline=None, suppress_health_check=UNHARMED)
settings.load_profile("steady")


@cache
def _shop() -> Shop:
    return Shop.shipped()


@cache
def _bench(name: str) -> Bench:
    return Bench.for_rig(open_rig(name), _shop())


def kept(fixture_name: str, config: pytest.Config) -> Literal["session", "function"]:
    """How long a fixture lasts: for a test alone while mutmut notes which places each test reaches,
    or what is computed once would count for the first test only."""
    return "function" if os.environ.get("MUTANT_UNDER_TEST") == "stats" else "session"


@pytest.fixture(scope=kept)
def shop() -> Shop:
    """The shipped knowledge with its rules compiled."""
    return _shop()


@pytest.fixture(scope=kept)
def bench_of() -> Callable[[str], Bench]:
    """The bench of a bundled rig; a second or so the first time, then at once."""
    return _bench


@pytest.fixture(scope=kept)
def bowser() -> Bench:
    """The bench of the bundled bowser."""
    return _bench("bowser")
