"""The front of what developers run: every tool is there, and is told in a line."""

from __future__ import annotations

import subprocess
import sys
from importlib.util import find_spec

import pytest

from tests.tools.__main__ import HERE, TOOLS, Suite, lines


@pytest.mark.parametrize("name", TOOLS)
def test_what_it_runs_exists(name: str) -> None:
    tool, what = TOOLS[name]
    if isinstance(tool, Suite):
        file = HERE / tool.tests
        assert tool.variable in file.read_text("utf-8")
    else:
        assert find_spec(tool) is not None
    assert what
    command = tool if isinstance(tool, str) and tool.count(".") == 1 else f"tests.tools {name}"
    assert f"python -m {command}" in " ".join((HERE / "DEVELOPERS.md").read_text("utf-8").split())


def run(*words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "tests.tools", *words]
    return subprocess.run(command, cwd=HERE, capture_output=True, text=True)


def test_without_a_name_all_are_listed_and_a_name_that_is_none_is_refused() -> None:
    listed, refused = run(), run("nonsense")

    assert listed.stdout.splitlines() == [*lines()]
    assert (listed.returncode, refused.returncode) == (0, 2)
    assert "fuzz" in refused.stderr


def test_a_tool_gets_the_words_behind_its_name() -> None:
    told = run("switches", "--help").stdout

    assert "python -m tests.tools switches" in told
    assert "--pairs" in told
