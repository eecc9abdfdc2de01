"""The program as a whole: its version, and a pipe that nobody reads any more."""

from __future__ import annotations

import subprocess
import sys

import pytest


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


@pytest.mark.parametrize("words", [["rank", "mist-bench", "--json"], ["rig", "check", "bowser"]])
def test_a_reader_who_goes_away_leaves_no_complaint(
    environment: dict[str, str], words: list[str]
) -> None:
    """As `| head -1` does: the pipe is closed before anything is written."""
    started = subprocess.Popen(
        [sys.executable, "-m", "diagnose", *words],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert started.stdout
    started.stdout.close()
    _, error = started.communicate(timeout=60)

    assert error == b""
