"""Which folder is the casebook's, and one that cannot be used."""

from __future__ import annotations

import os
import pwd
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import diagnose
from diagnose.casebook.store import Casebook, NoHome, chosen_folder, user_folder
from diagnose.errors import DiagnoseError


@pytest.fixture
def homeless(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A user of a container: no HOME, and nobody in the list of users."""

    def unknown(who: object) -> Any:
        raise KeyError(who)

    for name in ("HOME", "XDG_DATA_HOME", "DIAGNOSE_CASEBOOK", "DIAGNOSE_DRILLS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(pwd, "getpwuid", unknown)
    monkeypatch.chdir(tmp_path)


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="they have folders of their own")
def test_the_order_in_which_a_home_is_looked_for(
    homeless: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """XDG Base Directory Specification (from memory): an absolute XDG_DATA_HOME goes before HOME,
    a relative one is ignored."""
    with pytest.raises(NoHome, match="name a folder with --casebook"):
        user_folder()
    monkeypatch.setenv("HOME", "/home/ana")
    assert user_folder() == Path("/home/ana/.local/share/diagnose/cases")
    monkeypatch.setenv("XDG_DATA_HOME", "share")
    assert user_folder() == Path("/home/ana/.local/share/diagnose/cases")
    monkeypatch.setenv("XDG_DATA_HOME", "/share")
    monkeypatch.delenv("HOME")
    assert user_folder() == Path("/share/diagnose/cases")


def test_a_folder_that_is_named_or_near_needs_no_home(
    homeless: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert chosen_folder("here") == Path("here")
    Path("cases").mkdir()
    assert chosen_folder() == Path("cases")


@pytest.mark.parametrize("name", ["~nosuch/x", "a" * 300, "a\0b", "file", "file/x", "loop"])
def test_a_folder_that_cannot_be_used_is_named_in_one_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("no folder")
    (tmp_path / "loop").symlink_to("loop")
    path = name if name.startswith("~") else str(tmp_path / name)

    with pytest.raises(DiagnoseError) as caught:
        Casebook.open(path)

    assert "\n" not in str(caught.value)
    assert caught.value.place is not None


LOOK = """
import os
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError
if os.getuid() == 0:
    os.setgid(54321), os.setuid(54321)
try:
    Casebook.open("cases")
except DiagnoseError as problem:
    print(problem)
"""
"""As somebody to whom the folder does not belong: root would be refused nothing."""


@pytest.mark.skipif(not hasattr(os, "setuid"), reason="nobody can be refused here")
@pytest.mark.parametrize("mode", [0o000, 0o444, 0o111])
def test_a_folder_that_refuses_to_be_looked_into(tmp_path: Path, mode: int) -> None:
    """Before, it looked like a casebook without cases."""
    tmp_path.chmod(0o755)
    shut = tmp_path / "cases"
    shut.mkdir()
    shut.chmod(mode)

    done = subprocess.run(
        [sys.executable, "-c", LOOK],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(Path(diagnose.__file__).parents[1])},
        capture_output=True,
        text=True,
        timeout=60,
    )
    shut.chmod(0o755)

    assert "Permission denied" in done.stdout, done.stderr
    assert done.stdout.count("\n") == 1
