"""The sound knowledge that the tests of this folder spoil in one place or another."""

from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

SOUND = Path(__file__).parents[1] / "broken_knowledge" / "sound"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the sound knowledge, to be spoiled."""
    return Path(copytree(SOUND, tmp_path / "knowledge"))


@pytest.fixture
def spoil(folder: Path) -> Callable[[str, str, str], None]:
    """spoil(file, old, new) puts `new` for the first `old` in a file of the copy."""

    def put(name: str, old: str, new: str) -> None:
        text = (folder / name).read_text("utf-8")
        assert old in text, f"{name} does not hold {old!r}"
        (folder / name).write_text(text.replace(old, new, 1), "utf-8")

    return put
