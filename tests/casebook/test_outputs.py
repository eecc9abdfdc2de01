"""Pages, pictures and tables: what is there is not replaced unasked, and nothing of ours ever."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.disk import write_whole
from diagnose.casebook.outputs import write_out
from diagnose.casebook.record import Case
from diagnose.errors import DiagnoseError
from diagnose.figures import knowledge_folder


def test_a_new_file_is_written_and_stays(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    write_out(page, "one")

    with pytest.raises(DiagnoseError, match=r"is there already and stays.*--force"):
        write_out(page, "two")

    assert page.read_text() == "one"
    assert os.listdir(tmp_path) == ["page.html"]


def test_it_is_replaced_when_that_was_said(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    write_out(page, "<!DOCTYPE html>one")
    write_out(page, "<!DOCTYPE html>two", force=True)

    assert page.read_text() == "<!DOCTYPE html>two"
    assert os.listdir(tmp_path) == ["page.html"]


def _rig(path: Path, case: Case) -> None:
    shutil.copy(knowledge_folder() / "rigs" / "bowser.yaml", path)


def _flow_rig(path: Path, case: Case) -> None:
    path.write_text("{topology: direct, pump: {current: 4 A}}")


def _case(path: Path, case: Case) -> None:
    path.write_text(to_yaml(case))


def _walk(path: Path, case: Case) -> None:
    path.write_text('{"journal": 1, "id": "2026-03-02-bowser-3fa91c"}\n')


def _record(path: Path, case: Case) -> None:
    path.write_text('{"drills": 1, "trainee": "me"}\n')


def _index(path: Path, case: Case) -> None:
    with closing(sqlite3.connect(path)) as base:
        base.execute("CREATE TABLE brief (id TEXT)")
        base.commit()


OURS = {
    "a rig": _rig,
    "a rig on one line": _flow_rig,
    "a case": _case,
    "a walk": _walk,
    "a trainee's record": _record,
    "a database": _index,
}


@pytest.mark.parametrize("name", ["x.svg", "x.csv", "x"])
@pytest.mark.parametrize("kind", OURS)
def test_files_of_ours_stay_whatever_they_are_called(
    tmp_path: Path, made: Callable[..., Case], kind: str, name: str
) -> None:
    path = tmp_path / name
    OURS[kind](path, made(1))
    before = path.read_bytes()
    link = tmp_path / "link.html"
    link.symlink_to(path)

    for target in (path, link):
        with pytest.raises(DiagnoseError, match="stays even with --force"):
            write_out(target, "<svg/>", force=True)

    assert path.read_bytes() == before


def test_the_book_stays() -> None:
    path = knowledge_folder() / "FORMAT.md"
    before = path.read_bytes()

    with pytest.raises(DiagnoseError, match="stays even with --force"):
        write_out(path, "x", force=True)

    assert path.read_bytes() == before


@pytest.mark.parametrize("name", ["page.yaml", "page.YML"])
def test_no_page_is_called_like_a_case(tmp_path: Path, name: str) -> None:
    """Among the cases it would be a broken one."""
    with pytest.raises(DiagnoseError, match="is a name for a rig or a case"):
        write_out(tmp_path / name, "x", force=True)


def test_a_name_with_a_zero_byte(tmp_path: Path) -> None:
    with pytest.raises(DiagnoseError, match="is not a file name"):
        write_out(tmp_path / "a\0b", "x")


@pytest.mark.parametrize("force", [False, True])
def test_what_is_no_ordinary_file_stays(tmp_path: Path, force: bool) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "nowhere").symlink_to("gone")
    for path in (Path("/dev/null"), tmp_path, tmp_path / "pipe", tmp_path / "nowhere", Path("")):
        with pytest.raises(DiagnoseError, match="is no ordinary file"):
            write_out(path, "x", force=force)


def test_no_folder_is_made_for_a_page(tmp_path: Path) -> None:
    with pytest.raises(DiagnoseError, match="there is no such folder"):
        write_out(tmp_path / "no" / "page.html", "x")
    assert not (tmp_path / "no").exists()


def test_a_file_that_appears_meanwhile_stays(tmp_path: Path) -> None:
    """Between the look and the writing somebody else may have taken the name."""
    path = tmp_path / "page.html"
    path.write_text("theirs")

    with pytest.raises(FileExistsError):
        write_whole(path, "ours", new=True)

    assert path.read_text() == "theirs"
    assert os.listdir(tmp_path) == ["page.html"]


def test_the_same_where_a_file_system_has_no_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "link", refuse)
    write_whole(tmp_path / "a", "one", new=True)
    with pytest.raises(FileExistsError):
        write_whole(tmp_path / "a", "two", new=True)
    assert (tmp_path / "a").read_text() == "one"
    assert os.listdir(tmp_path) == ["a"]
