"""Many sessions, one after another or on several processors."""

from __future__ import annotations

import tempfile
import traceback
from collections.abc import Iterator
from functools import cache
from multiprocessing import get_context
from pathlib import Path

from diagnose.bench import Bench, Shop
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.circuit.rig import bundled_rigs, open_rig
from diagnose.simulate.rigs import invented_rig
from tests.tools.monkey.sessions import Tally, session

INVENTED = 5
"""Rigs beside the bundled ones."""

KEPT = 10
"""One session in so many is saved as a case and read back."""


@cache
def shop() -> Shop:
    return Shop.shipped()


@cache
def bench(number: int) -> Bench:
    """The bench of a bundled rig, or of an invented one."""
    names = bundled_rigs()
    rig = open_rig(names[number]) if number < len(names) else invented_rig(7, number)
    return Bench.for_rig(rig, shop())


def play(task: tuple[int, int]) -> tuple[int, Tally, str]:
    """One session by seed and number, and what went wrong in it, or ""."""
    seed, number = task
    here = bench(number % (len(bundled_rigs()) + INVENTED))
    try:
        with tempfile.TemporaryDirectory() as folder:
            casebook = Path(folder) if number % KEPT == 0 else None
            return number, session(here, shipped_rules(), f"{seed}/{number}", casebook), ""
    except Exception:
        return number, Tally(), traceback.format_exc()


def plays(tasks: list[tuple[int, int]], workers: int) -> Iterator[tuple[int, Tally, str]]:
    """All of them, in the order in which they end."""
    if len(tasks) == 1:
        yield play(tasks[0])
        return
    with get_context("spawn").Pool(workers) as pool:
        yield from pool.imap_unordered(play, tasks, 5)
