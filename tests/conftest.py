"""What many tests share: the knowledge, and one bench a rig, built once."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterator
from typing import Literal

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # two test processes on two cores
if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    sys.dont_write_bytecode = False  # or each process that a test starts compiles everything anew

import pytest
from hypothesis import HealthCheck, settings

from diagnose.bench import Bench, Shop
from tests import once

# A loaded machine is slow, not wrong: no property fails by the clock.
# What the fixtures here give is never changed by a test, however long it lasts (see `kept`).
UNHARMED = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
settings.register_profile("steady", deadline=None, suppress_health_check=UNHARMED)
settings.load_profile("steady")


once.work_out_once()


def pytest_collection_finish() -> None:
    once.stays()


@pytest.fixture(autouse=True, scope="module")
def thrown_away() -> Iterator[None]:
    """Benches refer to themselves, so what a module built stays until somebody collects it."""
    yield
    gc.collect()


def kept(fixture_name: str, config: pytest.Config) -> Literal["session", "function"]:
    """How long a fixture lasts."""
    return "function" if once.AFRESH else "session"


@pytest.fixture(scope=kept)
def shop() -> Shop:
    """The shipped knowledge with its rules compiled."""
    return once.shop()


@pytest.fixture(scope=kept)
def bench_of() -> Callable[[str], Bench]:
    """The bench of a bundled rig; a second or so the first time, then at once."""
    return once.bench


@pytest.fixture(scope=kept)
def bowser() -> Bench:
    """The bench of the bundled bowser."""
    return once.bench("bowser")
