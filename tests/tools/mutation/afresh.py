"""A pytest plugin: while mutmut notes which places a test reaches, each test computes afresh."""

from __future__ import annotations

import gc
import os
from functools import _lru_cache_wrapper


def pytest_runtest_setup() -> None:
    """Forget whatever any cached function has kept from the tests before."""
    if os.environ.get("MUTANT_UNDER_TEST") == "stats":
        for found in gc.get_objects():
            if isinstance(found, _lru_cache_wrapper):
                found.cache_clear()
