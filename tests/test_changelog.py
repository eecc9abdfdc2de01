"""CHANGELOG.md goes as far as the version that is built."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parents[1]


def test_the_newest_version_of_the_changelog_is_the_one_that_is_built() -> None:
    """Source: keepachangelog.com: what is not released stands in front, then versions, each with
    its day as ISO 8601 has it, newest first."""
    heads = re.findall(r"^## (.+)$", (HERE / "CHANGELOG.md").read_text("utf-8"), re.M)
    built = tomllib.loads((HERE / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    if heads[0] == "Unreleased":
        heads = heads[1:]
    versions = [re.fullmatch(r"(\d+\.\d+\.\d+), \d{4}-\d\d-\d\d", head) for head in heads]

    assert all(versions)
    numbers = [version[1] for version in versions if version]
    assert numbers[0] == built
    assert numbers == sorted(numbers, key=lambda one: [*map(int, one.split("."))], reverse=True)
