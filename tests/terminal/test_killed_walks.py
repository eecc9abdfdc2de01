"""The walk itself, killed: every answer behind a question that was shown is there with --resume.

Five kills at random moments here. As many as wanted: DIAGNOSE_KILLS=100 pytest -n0 and this file.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import diagnose

pytest.importorskip("pty", reason="kills processes in a pseudo-terminal")

HOME = str(Path(diagnose.__file__).parents[1])
KILLS = int(os.environ.get("DIAGNOSE_KILLS", "5"))


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """What killed_walks.py printed: of the kills at random moments, then of those in writes."""
    books = [str(tmp_path_factory.mktemp(name)) for name in ("moments", "writes")]
    done = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("killed_walks.py")), *books, str(KILLS), "7"],
        env={**os.environ, "PYTHONPATH": HOME, "PYTHONUTF8": "1", "TERM": "xterm-256color"},
        capture_output=True,
        text=True,
        timeout=240 + 10 * KILLS,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_killed_at_random_moments(killed: list[str]) -> None:
    answers, walks = map(int, killed[0].split())
    print(f"{KILLS} kills, {answers} answers in {walks} walks, none lost")
    assert answers >= KILLS / 2, "hardly an answer was given; the test proves nothing"
    assert walks >= 1


def test_killed_in_every_write(killed: list[str]) -> None:
    """A journal is written whole beside itself and put in place; then it only grows."""
    calls = killed[1].split()
    assert calls[:3] == ["fsync", "replace", "fsync"]
    assert calls.count("write") == 3  # two answers and one taken back
