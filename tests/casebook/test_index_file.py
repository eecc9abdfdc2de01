"""The index is ours or it is not touched: no foreign file, link or database is changed by a list.

Offsets in the header of a database: SQLite, Database File Format, 1.3 (from memory); they are
checked here by what the library itself says of the file.
"""

import os
import socket
import sqlite3
import time

import pytest

from diagnose.casebook import index_file
from diagnose.casebook.index import opened_index
from diagnose.casebook.index_file import APPLICATION, FILE
from diagnose.casebook.store import Casebook

HELD = "another program holds the index; it is kept in memory this time"
LEFT = "is not our index and is left alone; the index is kept in memory until it is moved away"
needs_pipes = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no such files")


@pytest.fixture
def two(casebook, made):
    for number in (1, 2):
        casebook.save(made(number))
    return casebook


def somebody_elses(path, application=0):
    base = sqlite3.connect(path)
    base.execute("CREATE TABLE customers (name TEXT)")
    base.execute("INSERT INTO customers VALUES ('Head gardener')")
    base.execute(f"PRAGMA application_id = {application}")
    base.execute("PRAGMA user_version = 2")
    base.commit()
    base.close()
    return path.read_bytes()


def remark_of(casebook):
    with opened_index(casebook) as index:
        assert index.count == 2
        assert index.problems == ()
        return index.remark


def test_the_index_says_whose_it_is(two):
    assert remark_of(two) == ""

    base = sqlite3.connect(two.folder / FILE)
    assert base.execute("PRAGMA application_id").fetchone() == (APPLICATION,)
    base.close()


@pytest.mark.parametrize("application", [0, 1, APPLICATION + 1])
def test_a_database_of_somebody_else_is_left_alone(two, application):
    path = two.folder / FILE
    body = somebody_elses(path, application)

    assert remark_of(two) == f"{path}: {LEFT}"
    assert path.read_bytes() == body


@pytest.mark.parametrize("name", ["index.sqlite", "index.sqlite-journal", "cases.db"])
def test_a_database_under_another_name_is_left_alone(two, name):
    body = somebody_elses(two.folder / name)

    assert remark_of(two) == ""
    assert (two.folder / name).read_bytes() == body


def test_a_link_is_not_followed(two, tmp_path):
    """Not even to an index that this program made: it belongs to another casebook."""
    remark_of(two)
    ours = tmp_path / "ours.sqlite"
    (two.folder / FILE).rename(ours)
    theirs = tmp_path / "theirs.sqlite"
    somebody_elses(theirs)
    for target in (ours, theirs, tmp_path / "nowhere"):
        before = target.read_bytes() if target.exists() else None
        (two.folder / FILE).symlink_to(target)

        assert LEFT in remark_of(two)
        assert (target.read_bytes() if target.exists() else None) == before
        assert (two.folder / FILE).is_symlink()
        (two.folder / FILE).unlink()


@pytest.mark.parametrize("kind", ["text", "folder", "itself", "pipe", "socket"])
@needs_pipes
def test_anything_else_is_left_alone(two, kind, monkeypatch):
    path = two.folder / FILE
    if kind == "text":
        path.write_text("the list of what to buy, long enough to be looked into" * 99)
    elif kind == "folder":
        path.mkdir()
    elif kind == "itself":
        path.symlink_to(path.name)
    elif kind == "pipe":
        os.mkfifo(path)
    else:
        monkeypatch.chdir(two.folder)  # the name of a socket has to be short
        with socket.socket(socket.AF_UNIX) as one:
            one.bind(FILE)
    before = os.lstat(path)

    assert LEFT in remark_of(two)
    assert os.lstat(path).st_ino == before.st_ino
    assert os.lstat(path).st_size == before.st_size


def test_a_file_that_would_be_taken_for_its_journal_is_left_alone(two):
    """The library rolls back what it finds beside a database, and removes it."""
    remark_of(two)
    beside = two.folder / f"{FILE}-journal"
    beside.write_text("not a journal of a database")

    assert LEFT in remark_of(two)
    assert beside.read_text() == "not a journal of a database"


def test_a_folder_without_cases_gets_no_file(casebook):
    casebook.folder.mkdir()

    with opened_index(casebook) as index:
        assert index.briefs() == ()
    assert list(casebook.folder.iterdir()) == []


@pytest.mark.parametrize("how", ["EXCLUSIVE", "IMMEDIATE"])
def test_a_held_index_is_waited_for_a_moment_only(two, made, how):
    remark_of(two)
    two.path_of(made(2).id).unlink()
    two.save(made(3))  # the index has something to write
    other = sqlite3.connect(two.folder / FILE)
    other.execute(f"BEGIN {how}")
    start = time.monotonic()

    assert remark_of(two) == f"{two.folder / FILE}: {HELD}"
    assert time.monotonic() - start < 4
    other.close()
    assert remark_of(two) == ""


# --- what is swapped in between the look and the opening ------------------------------------------


@pytest.fixture
def another(tmp_path, made):
    """The index of another casebook, which this program has made too."""
    other = Casebook.open(tmp_path / "other")
    other.save(made(7))
    with opened_index(other) as index:
        assert index.remark == ""
    return other.folder / FILE


@pytest.mark.parametrize("back", [False, True], ids=["stays", "swapped back"])
@pytest.mark.parametrize("how", ["by name", "by link", "foreign"])
def test_what_is_swapped_in_while_it_is_opened_is_not_reached(
    two, another, tmp_path, monkeypatch, how, back
):
    """The name leads elsewhere for the moment in which the library opens it."""
    remark_of(two)
    path, aside, real = two.folder / FILE, tmp_path / "aside", sqlite3.connect
    if how == "foreign":
        somebody_elses(another.with_name("customers"))
        another = another.with_name("customers")
    before = another.read_bytes()
    two.path_of(next(iter(two.cases())).id).touch()  # the index has something to write

    def connect(address, **options):
        if str(address) == ":memory:":
            return real(address, **options)
        path.rename(aside)
        path.symlink_to(another) if how == "by link" else another.rename(path)
        base = real(address, **options)
        if back:
            path.unlink() if how == "by link" else path.rename(another)
            aside.rename(path)
        return base

    monkeypatch.setattr(sqlite3, "connect", connect)
    assert remark_of(two) == f"{path}: {LEFT}"
    assert (another if back or how == "by link" else path).read_bytes() == before


def test_a_file_that_goes_while_it_is_opened_is_not_made_by_the_library(two, tmp_path, monkeypatch):
    """Else one would be made at the end of a link."""
    remark_of(two)
    path, nowhere, real = two.folder / FILE, tmp_path / "nowhere", sqlite3.connect

    def connect(address, **options):
        if str(address) != ":memory:":
            path.unlink(missing_ok=True)
            path.symlink_to(nowhere)
        return real(address, **options)

    monkeypatch.setattr(sqlite3, "connect", connect)
    remark_of(two)
    assert not nowhere.exists()


def test_what_is_swapped_in_before_a_damaged_index_is_thrown_away_stays(two, tmp_path, monkeypatch):
    remark_of(two)
    path, theirs, real = two.folder / FILE, tmp_path / "customers", index_file.may_be_used
    before = somebody_elses(theirs)

    def looked(name):
        found = real(name)
        path.unlink()
        theirs.rename(path)
        return found

    monkeypatch.setattr(index_file, "may_be_used", looked)
    index_file.throw_away(path)
    assert path.read_bytes() == before


def test_a_damaged_index_is_made_anew_without_its_journal(two):
    """Rolled back into the new one, the old journal would bring the damage back."""
    remark_of(two)
    path = two.folder / FILE
    beside, body = path.with_name(f"{FILE}-journal"), path.read_bytes()
    beside.write_bytes(bytes.fromhex("d9d505f920a163d7") + bytes(504))
    path.write_bytes(body[:100] + b"\xff" * (len(body) - 100))

    assert remark_of(two) == ""
    assert not beside.exists()
    assert remark_of(two) == ""
