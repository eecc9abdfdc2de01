"""The walk itself, killed: every answer behind a question that was shown is there with --resume.

Five kills at random moments here. As many as wanted: DIAGNOSE_KILLS=100 pytest -n0 and this file.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="kills processes in a pseudo-terminal")

KILLS = int(os.environ.get("DIAGNOSE_KILLS", "5"))


@pytest.fixture
def kill(environment: dict[str, str]) -> Callable[..., str]:
    """Runs killed_walks.py; the last line that it printed."""

    def run(*words: str) -> str:
        script = str(Path(__file__).with_name("killed_walks.py"))
        done = subprocess.run(
            [sys.executable, script, *words],
            env=environment,
            capture_output=True,
            text=True,
            timeout=120 + 10 * KILLS,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout.splitlines()[-1]

    return run


def test_killed_at_random_moments(kill: Callable[..., str]) -> None:
    answers, walks = map(int, kill("moments", str(KILLS), "7").split())
    print(f"{KILLS} kills, {answers} answers in {walks} walks, none lost")
    assert answers >= KILLS / 2, "hardly an answer was given; the test proves nothing"
    assert walks >= 1


def test_killed_in_every_write(kill: Callable[..., str]) -> None:
    """A journal is written whole beside itself and put in place; then it only grows."""
    calls = kill("writes").split()
    assert calls[:3] == ["fsync", "replace", "fsync"]
    assert calls.count("write") == 3  # two answers and one taken back
