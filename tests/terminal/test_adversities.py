"""Commands where something round them is amiss: no traceback, no hang, the right status, no file
lost. A few of each here; every command under every adversity with DIAGNOSE_ADVERSITIES=all.

And a walk by JSON lines and the closing of a case, killed: files stay whole, and both begin again.
And the walk itself: every answer behind a question that was shown is there with --resume. Three
and five kills at random moments here. As many as wanted: DIAGNOSE_KILLS=100 pytest -n0 and this
file.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

import diagnose

pytest.importorskip("resource", reason="forks processes and limits what they may do")
pytest.importorskip("pty", reason="kills processes in a pseudo-terminal")

from tests.terminal.adversity_table import ADVERSITIES

HOME = str(Path(diagnose.__file__).parents[1])
WANTED = os.environ.get("DIAGNOSE_ADVERSITIES", "few")
KILLS, WALKS = (int(os.environ.get("DIAGNOSE_KILLS", usual)) for usual in ("3", "5"))
Tried = list[tuple[str, str, int | None, float, str]]
"""Adversity, call, status, seconds and complaint of each."""


@pytest.fixture(scope="module")
def printed() -> list[str]:
    """What in_boxes.py printed, in a folder that others may enter."""
    with TemporaryDirectory() as folder:
        os.chmod(folder, 0o755)
        script = str(Path(__file__).with_name("in_boxes.py"))
        done = subprocess.run(
            [sys.executable, script, folder, WANTED, str(KILLS), str(WALKS), "7"],
            env={**os.environ, "PYTHONPATH": HOME, "PYTHONUTF8": "1", "TERM": "xterm-256color"},
            capture_output=True,
            text=True,
            timeout=1200 + 20 * KILLS,
        )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


@pytest.fixture(scope="module")
def tried(printed: list[str]) -> Tried:
    return [json.loads(line) for line in printed[:-4]]


@pytest.mark.parametrize("name", ADVERSITIES)
def test_nothing_is_lost_and_no_traceback_shown(tried: Tried, name: str) -> None:
    found = [one for one in tried if one[0] == name]
    assert found
    wrong = [f"{call}: {complaint}" for _, call, _, _, complaint in found if complaint]
    assert not wrong, "\n".join(wrong)


def test_commands_killed_at_random_moments(printed: list[str]) -> None:
    (walks, left), (closings, closed) = (map(int, line.split()) for line in printed[-4:-2])
    print(f"{walks} walks killed, {left} cases and journals left whole")
    print(f"{closings} closings killed, {closed} of {KILLS} cases closed by then")
    assert walks + closings >= KILLS / 2, "hardly one was killed; the test proves nothing"


def test_walks_killed_at_random_moments(printed: list[str]) -> None:
    answers, walks = map(int, printed[-2].split())
    print(f"{WALKS} kills, {answers} answers in {walks} walks, none lost")
    assert answers >= WALKS / 2, "hardly an answer was given; the test proves nothing"
    assert walks >= 1


def test_walks_killed_in_every_write(printed: list[str]) -> None:
    """A journal is written whole beside itself and put in place; then it only grows."""
    calls = printed[-1].split()
    assert calls[:3] == ["fsync", "replace", "fsync"]
    assert calls.count("write") == 3  # two answers and one taken back
