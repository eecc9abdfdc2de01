"""What the tests of the casebook start from. Every case here is invented."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

import diagnose
from diagnose.bench import Bench, Shop
from diagnose.casebook.case_fields import Clock
from diagnose.casebook.journal import Journal
from diagnose.casebook.record import Case, ReadAt, SeenAt
from diagnose.casebook.store import Casebook
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import Walk

MONDAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
DROP = reading_of("voltage fuse.in fuse.out calling")


@pytest.fixture(scope="session")
def shop() -> Shop:
    return Shop.shipped()


@pytest.fixture(scope="session")
def bowser(shop: Shop) -> Bench:
    return Bench.for_rig(open_rig("bowser"), shop)


@pytest.fixture
def casebook(tmp_path: Path) -> Casebook:
    return Casebook.open(tmp_path / "cases")


@pytest.fixture(scope="session")
def made() -> Callable[..., Case]:
    """Makes case number n of an invented workshop, opened n hours after a Monday morning."""
    rig = open_rig("bowser")

    def make(number: int = 0, **changes: Any) -> Case:
        opened = changes.pop("opened", MONDAY + timedelta(hours=number))
        case = Case(
            id=f"{opened:%Y-%m-%d}-tree-watering-bowser-{number:06x}",
            opened=opened,
            rig=rig,
            ranking=(("fuse-holder-corroded", 0.75), ("fuse-holder-loose", 0.125)),
            rest=0.125,
            cause="fuse-holder-corroded",
            repair="replace-fuse-holder",
            minutes=12.5,
            questions=7,
            knowledge="0123456789ab",
            seen=(SeenAt("relay-sound", "chatters", opened, 0.5, 1.25),),
            read=(ReadAt(DROP, 4.5, 0.03, 0.138, "high", opened, 1.0, 0.5),),
        )
        return replace(case, **changes)

    return make


@pytest.fixture(scope="session")
def mended(made: Callable[..., Case]) -> Callable[..., Case]:
    """Makes a case that is closed and confirmed, two hours after it was opened."""

    def make(number: int = 0, mode: str = "fuse-holder-corroded", **changes: Any) -> Case:
        end = {"true_cause": mode, "status": "closed", "confirmed_by": "part-swapped"}
        case = made(number, **{**end, **changes})
        return case if case.closed else replace(case, closed=case.opened + timedelta(hours=2))

    return make


@pytest.fixture
def script(tmp_path: Path) -> Callable[..., str]:
    """Runs a Python script in a process of its own; gives back what it printed."""

    def run(text: str, *words: object) -> str:
        path = tmp_path / "script.py"
        path.write_text(text, "utf-8")
        home = str(Path(diagnose.__file__).parents[1])
        done = subprocess.run(
            [sys.executable, str(path), *map(str, words)],
            env={**os.environ, "PYTHONPATH": home},
            capture_output=True,
            text=True,
            timeout=60,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    return run


@pytest.fixture
def clock() -> Clock:
    """A clock that goes on by a minute each time it is looked at."""
    minutes = iter(range(1000))
    return lambda: MONDAY + timedelta(minutes=next(minutes))


@pytest.fixture
def begun(casebook: Casebook, bowser: Bench, clock: Clock) -> Iterator[Journal]:
    """A walk of which something has been told, with its journal."""
    walk = Walk(bowser)
    walk.tell([Seen("pump-action", "silent")])
    journal = Journal.start(casebook, walk, ["nothing-happens"], clock)
    yield journal
    journal.close()
