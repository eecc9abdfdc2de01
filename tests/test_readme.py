"""The README tells the truth: what it shows is what the program prints."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from diagnose.circuit.rig import bundled_rigs, read_rig
from diagnose.documents import parse
from diagnose.figures import knowledge_folder
from tests.tools.readme import PYTHON, README, blocks, ran, shown

HERE = Path(__file__).parent
TEXT = README.read_text(encoding="utf-8")


@pytest.mark.parametrize(("how", "text"), blocks(TEXT), ids=[how for how, _ in blocks(TEXT)])
def test_what_is_shown_is_what_is_printed(how: str, text: str) -> None:
    assert text == shown(how), "write it anew: python -m tests.tools readme"
    assert max(map(len, text.splitlines())) <= 80
    assert " is none of " not in text, "an answer that the program does not take"


def test_the_rig_files_shown_can_be_read_and_the_first_is_the_bundled_bowser() -> None:
    short, listed = re.findall(r"```yaml\n(.*?)```", TEXT, re.S)
    bundled = (knowledge_folder() / "rigs" / "bowser.yaml").read_text(encoding="utf-8")

    assert read_rig(parse(short, "README.md")) == read_rig(parse(bundled, "bowser.yaml"))
    assert read_rig(parse(listed, "README.md")).feed
    assert read_rig(parse(listed, "README.md")).feed
    assert all(f"`{name}`" in TEXT for name in bundled_rigs())


def test_what_stands_under_python_is_true() -> None:
    (block,) = PYTHON.findall(TEXT)

    assert block == ran(block), "write it anew: python -m tests.tools readme"


def test_every_command_is_in_the_readme_and_has_help() -> None:
    listed = set(re.findall(r"^\| `diagnose ([a-z]+)", TEXT, re.M))
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "--help"], capture_output=True, text=True, check=True
    )
    offered = set(re.findall(r"^  ([a-z]+)  +\S", done.stdout, re.M))

    assert offered == listed


def test_the_test_command_is_what_continuous_integration_runs() -> None:
    second = re.findall(r"```sh\n(.*?)\n```", TEXT, re.S)[1]

    assert second in (HERE.parent / ".ci" / "run").read_text(encoding="utf-8")
