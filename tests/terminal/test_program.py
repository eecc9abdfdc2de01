"""The program as a whole: its version."""

from __future__ import annotations

import subprocess
import sys


def test_the_version_names_the_python_that_runs_it(environment: dict[str, str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "--version"],
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
    )

    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("diagnose ")
    assert f"Python {sys.version.split()[0]}" in done.stdout
