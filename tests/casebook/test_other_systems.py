"""Writing on systems without the POSIX calls: each has something else in their place.

The systems are imitated: a module is loaded as if it ran there, or a call fails as it fails there.
"""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

import diagnose
from diagnose.casebook import disk
from diagnose.errors import DiagnoseError

HOME = Path(diagnose.__file__).parents[1]


def test_without_any_locks_of_the_system_a_file_stands_in(tmp_path: Path) -> None:
    script = (
        "import sys; sys.modules['fcntl'] = None\n"
        "from pathlib import Path; from diagnose.casebook.disk import Lock\n"
        "with Lock(Path('.lock'), 'somebody is writing', patience=0):\n"
        "    assert Path('.lock.held').exists()\n"
        "    try: Lock(Path('.lock'), 'somebody is writing', patience=0.02).acquire()\n"
        "    except Exception as problem: print(problem)\n"
        "print(*sorted(Path().iterdir()))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(HOME)},
        timeout=60,
    )

    said, left = done.stdout.splitlines() or (done.stderr, "")
    assert "somebody is writing; if none is running, remove the file .lock.held" in said
    assert (left, done.stderr) == ("", "")


def test_a_reader_who_blocks_a_replacement_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, refused = tmp_path / "case.yaml", [True, True]
    path.write_text("old")
    real = os.replace

    def replace(source: Path, target: Path) -> None:
        if refused:
            refused.pop()
            raise PermissionError(errno.EACCES, "Permission denied")
        real(source, target)

    monkeypatch.setattr(disk, "READERS_BLOCK", True)
    monkeypatch.setattr(disk.os, "replace", replace)
    disk.write_whole(path, "new")

    assert path.read_text() == "new"
    assert list(tmp_path.iterdir()) == [path]


def test_a_reader_who_stays_is_told_of_and_the_old_text_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("old")

    def replace(source: Path, target: Path) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(disk, "READERS_BLOCK", True)
    monkeypatch.setattr(disk, "PATIENCE", 0.03)
    monkeypatch.setattr(disk.os, "replace", replace)

    with pytest.raises(DiagnoseError, match="Permission denied"):
        disk.write_whole(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["open", "fsync"])
def test_a_folder_that_cannot_be_forced_to_the_disk_is_left_to_the_system(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Windows opens no folder; some network file systems refuse to force one."""
    real = getattr(os, name)

    def refusing(what: object, *rest: object) -> object:
        folder = isinstance(what, Path) or (isinstance(what, int) and os.path.isdir(what))
        if folder:
            raise PermissionError(errno.EACCES, "Permission denied")
        return real(what, *rest)

    monkeypatch.setattr(disk.os, name, refusing)
    disk.write_whole(tmp_path / "case.yaml", "text")

    assert (tmp_path / "case.yaml").read_text() == "text"


WITHOUT_POSIX = """
import json, os, runpy, sys
for name in ("fcntl", "termios", "tty", "pty", "resource", "pwd", "grp", "readline", "syslog"):
    sys.modules[name] = None
for name in ("sched_getaffinity", "fork", "chown", "mkfifo", "mknod", "O_NOCTTY"):
    if hasattr(os, name):
        delattr(os, name)
for words in json.loads(sys.argv[1]):
    sys.argv = ["diagnose", *words]
    try:
        runpy.run_module("diagnose", run_name="__main__")
    except SystemExit as end:
        if end.code:
            raise
    print(END)
"""
END = "-- the end of one command --"


def elsewhere(
    folder: Path, typed: str, *commands: Sequence[str], **environment: str
) -> Sequence[str]:
    """What commands print, one after the other in a process that can import no POSIX module; each
    must end well."""
    script = WITHOUT_POSIX.replace("END", repr(END))
    done = subprocess.run(
        [sys.executable, "-c", script, json.dumps(commands)],
        input=typed.encode(),
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(HOME), "HOME": str(folder), **environment},
        timeout=120,
    )
    error = done.stderr.decode("utf-8", "replace")
    assert done.returncode == 0, error
    assert "Traceback" not in error
    shown = done.stdout.decode(environment.get("PYTHONIOENCODING", "utf-8")).split(END)
    assert len(shown) == len(commands) + 1
    return shown[:-1]


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Sequence[str]]:
    """A walk, a list and pictures, on a console that is not UTF-8 besides: their casebook, and what
    they print."""
    folder = tmp_path_factory.mktemp("elsewhere")
    book = ("--casebook", str(folder / "book"))
    typed = "pump runs slowly\n1\n12.4\n4.4\n" + "quit\n" * 4
    commands = (
        ("walk", "van-shower", *book),
        ("cases", "list", *book),
        ("rig", "draw", "van-shower", "--expect"),
        ("rig", "check", "bowser"),
        ("rank", "van-shower", "--seen", "pump-action=slow"),
        ("handbook", "fuse-holder-corroded"),
    )
    console = {"PYTHONIOENCODING": "cp437", "PYTHONUTF8": "0"}
    return folder / "book", elsewhere(folder, typed, *commands, **console)


def test_a_walk_is_kept_where_there_is_no_posix_module(there: tuple[Path, Sequence[str]]) -> None:
    book, shown = there

    assert "van shower" in shown[1]
    assert [path.name for path in book.rglob("*.held")] == []
    assert len([*book.rglob("*-van-shower-*")]) == 1


def test_a_console_that_is_not_utf_8_shows_everything(there: tuple[Path, Sequence[str]]) -> None:
    walk, listed, *others = there[1]

    assert "case" in listed
    assert [len(text) > 200 for text in (walk, *others)] == [True] * 5
