"""What is checked before a commit: each hook's command is there, and takes what is given to it."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

HERE = Path(__file__).resolve().parents[1]
[LOCAL] = yaml.safe_load((HERE / ".ci" / "pre-commit.yaml").read_text("utf-8"))["repos"]
HOOKS: list[dict[str, Any]] = LOCAL["hooks"]


def test_nothing_is_fetched() -> None:
    """Source: pre-commit's own reference: repo `local` and language `system` install nothing."""
    assert LOCAL["repo"] == "local"
    assert {hook["language"] for hook in HOOKS} == {"system"}


def test_what_continuous_integration_checks_of_a_file_is_checked_before() -> None:
    checked = (HERE / ".ci" / "run").read_text("utf-8")
    commands = [" ".join(hook["entry"].split()[:2]) for hook in HOOKS]

    assert {"ruff check", "ruff format", "mypy diagnose", "diagnose lint"} == {*commands}
    assert all(f".venv/bin/{command}" in checked for command in commands)


@pytest.mark.parametrize("hook", HOOKS, ids=[hook["id"] for hook in HOOKS])
def test_its_command_exists(hook: dict[str, Any]) -> None:
    command, *words = hook["entry"].split()
    found = shutil.which(command, path=str(Path(sys.executable).parent))
    assert found, command

    under = words[:1] if command in ("ruff", "diagnose") else []
    help_of = [found, *under, "--help"]
    told = subprocess.run(help_of, capture_output=True, text=True, check=True).stdout
    assert all(re.search(rf"{re.escape(word)}\b", told) for word in words if word[0] == "-")
