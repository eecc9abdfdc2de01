"""A walk by JSON lines and the closing of a case, killed: files stay whole, and both begin again.

Three kills of each here. As many as wanted: DIAGNOSE_KILLS=100 pytest -n0 and this file.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import diagnose

pytest.importorskip("fcntl", reason="forks processes and kills them")

HOME = str(Path(diagnose.__file__).parents[1])
KILLS = int(os.environ.get("DIAGNOSE_KILLS", "3"))


def test_killed_at_random_moments(tmp_path: Path) -> None:
    script = str(Path(__file__).with_name("killed_commands.py"))
    done = subprocess.run(
        [sys.executable, script, str(tmp_path), str(KILLS), "7"],
        env={**os.environ, "PYTHONPATH": HOME, "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        timeout=240 + 10 * KILLS,
    )

    assert done.returncode == 0, done.stderr
    (walks, left), (closings, closed) = (
        map(int, line.split()) for line in done.stdout.splitlines()
    )
    print(f"{walks} walks killed, {left} cases and journals left whole")
    print(f"{closings} closings killed, {closed} of {KILLS} cases closed by then")
    assert walks + closings >= KILLS / 2, "hardly one was killed; the test proves nothing"
