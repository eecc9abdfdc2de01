"""Commands where something round them is amiss: no traceback, no hang, the right status, no file
lost. A few of each here; every command under every adversity with DIAGNOSE_ADVERSITIES=all.
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

from tests.terminal.adversity_table import ADVERSITIES

HOME = str(Path(diagnose.__file__).parents[1])
WANTED = os.environ.get("DIAGNOSE_ADVERSITIES", "few")


@pytest.fixture(scope="module")
def tried() -> list[tuple[str, str, int | None, float, str]]:
    """Adversity, call, status, seconds and complaint of each, in a folder that others may enter."""
    with TemporaryDirectory() as folder:
        os.chmod(folder, 0o755)
        script = str(Path(__file__).with_name("under_adversities.py"))
        done = subprocess.run(
            [sys.executable, script, folder, WANTED],
            env={**os.environ, "PYTHONPATH": HOME, "PYTHONUTF8": "1"},
            capture_output=True,
            text=True,
            timeout=1200,
        )
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.mark.parametrize("name", ADVERSITIES)
def test_nothing_is_lost_and_no_traceback_shown(
    tried: list[tuple[str, str, int | None, float, str]], name: str
) -> None:
    found = [one for one in tried if one[0] == name]
    assert found
    wrong = [f"{call}: {complaint}" for _, call, _, _, complaint in found if complaint]
    assert not wrong, "\n".join(wrong)
