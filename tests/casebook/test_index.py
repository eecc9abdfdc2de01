"""The index: always in agreement with the case files, and never the only copy of anything."""

import errno
import os
import sqlite3
from dataclasses import replace

import pytest

from diagnose.casebook import index as index_module
from diagnose.casebook.brief import brief_of
from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.closure import reopen
from diagnose.casebook.index import opened_index
from diagnose.casebook.index_file import FILE
from diagnose.errors import DiagnoseError

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


def briefs(casebook):
    with opened_index(casebook) as index:
        return index.briefs()


@pytest.fixture
def reads(monkeypatch):
    """The case files that are read from now on."""
    paths, real = [], index_module.case_in

    def load(path):
        paths.append(path.stem)
        return real(path)

    monkeypatch.setattr(index_module, "case_in", load)
    return paths


@pytest.fixture
def three(casebook, made, mended):
    cases = [made(1, closed=None), mended(2, parts=("a; b", "c")), reopen(mended(3))]
    for case in cases:
        casebook.save(case)
    return cases


def test_it_says_the_same_as_the_cases(casebook, three):
    assert briefs(casebook) == tuple(map(brief_of, three))
    assert briefs(casebook) == tuple(map(brief_of, three)), "and once more, from the tables"


def test_an_empty_casebook_has_an_empty_index_and_no_file(casebook):
    assert briefs(casebook) == ()
    assert not casebook.folder.exists()


def test_only_what_changed_is_read_again(casebook, three, made, reads):
    briefs(casebook)
    assert len(reads) == 3
    reads.clear()
    briefs(casebook)
    assert reads == []

    casebook.update(three[0].id, lambda case: replace(case, minutes=99.0))
    casebook.path_of(three[1].id).unlink()
    casebook.save(made(4))

    assert [(b.id, b.minutes) for b in briefs(casebook)] == [
        (three[0].id, 99.0),
        (three[2].id, 12.5),
        (made(4).id, 12.5),
    ]
    assert reads == [three[0].id, made(4).id]


def test_a_change_of_the_same_size_in_the_same_moment_is_seen(casebook, three):
    briefs(casebook)
    path = casebook.path_of(three[0].id)
    stat = path.stat()

    casebook.update(three[0].id, lambda case: replace(case, minutes=12.4))
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))

    assert path.stat().st_size == stat.st_size
    assert briefs(casebook)[0].minutes == 12.4


@pytest.mark.parametrize("damage", ["missing", "torn", "old form", "empty"])
def test_a_missing_or_damaged_index_is_made_anew(casebook, three, damage):
    before = briefs(casebook)
    path = casebook.folder / FILE
    if damage == "missing":
        path.unlink()
    elif damage == "torn":
        body = path.read_bytes()
        path.write_bytes(body[:100] + b"\xff" * (len(body) - 100))
    elif damage == "old form":
        base = sqlite3.connect(path)
        base.executescript("DROP TABLE brief; CREATE TABLE brief (x); PRAGMA user_version = 99;")
        base.close()
    else:
        path.write_bytes(b"")

    assert briefs(casebook) == before
    assert path.stat().st_size > 1000


def test_damage_that_shows_only_later_is_removed_with_a_sentence(casebook, made):
    """Pages at the end are overwritten; those that opening reads are left."""
    for number in range(60):
        casebook.save(made(number))
    briefs(casebook)
    path = casebook.folder / FILE
    body = path.read_bytes()
    base = sqlite3.connect(path)
    (page,) = base.execute("SELECT rootpage FROM sqlite_master WHERE name = 'finding'").fetchone()
    base.close()
    path.write_bytes(body[: (page - 1) * 4096] + b"\xff" * 4096 + body[page * 4096 :])

    with opened_index(casebook) as index:
        assert len(index.briefs()) == 60
        with pytest.raises(DiagnoseError, match="no case is lost, try again"):
            index.query("SELECT COUNT(answer) FROM finding WHERE moved > 0")
    with opened_index(casebook) as index:
        assert index.query("SELECT COUNT(answer) FROM finding WHERE moved > 0") == [(120,)]


def test_a_folder_that_takes_no_file_is_read_all_the_same(casebook, three, monkeypatch):
    real = os.open

    def refused(path, how, *more, **options):
        if str(path).endswith(FILE) and how & os.O_CREAT:
            raise PermissionError(errno.EACCES, "Permission denied", path)
        return real(path, how, *more, **options)

    monkeypatch.setattr(os, "open", refused)
    assert briefs(casebook) == tuple(map(brief_of, three))
    assert not (casebook.folder / FILE).exists()


def test_a_database_that_fills_the_disk_is_left_for_one_in_memory(casebook, three, monkeypatch):
    real = sqlite3.connect

    def connect(path, **options):
        base = real(path, **options)
        if path != ":memory:":
            base.execute("PRAGMA max_page_count = 2")
        return base

    monkeypatch.setattr(index_module.sqlite3, "connect", connect)
    assert briefs(casebook) == tuple(map(brief_of, three))


def test_a_broken_file_is_a_problem_until_it_is_mended(casebook, three):
    path = casebook.path_of(three[1].id)
    good = path.read_text()
    path.write_text(
        good.replace("status: closed", "status: shut").replace("minutes: 12", "minuts: 12")
    )

    for _ in range(2):
        with opened_index(casebook) as index:
            assert [b.id for b in index.briefs()] == [three[0].id, three[2].id]
            said = list(map(str, index.problems))
        assert len(said) == 3
        assert all(text.startswith(f"{path}, ") for text in said)
        assert ", line 6, key status: there is no status called 'shut'" in "\n".join(said)

    path.write_text(good)
    with opened_index(casebook) as index:
        assert len(index.briefs()) == 3
        assert index.problems == ()


def test_a_casebook_that_was_moved_names_its_files_where_they_are(casebook, three, tmp_path):
    casebook.path_of(three[0].id).write_text("schema: 1\n")
    briefs(casebook)
    casebook.folder.rename(tmp_path / "moved")

    with opened_index(replace(casebook, folder=tmp_path / "moved")) as index:
        assert all(str(p).startswith(str(tmp_path / "moved" / "2026")) for p in index.problems)


def test_it_tells_how_far_it_is(casebook, three):
    told = []
    with opened_index(casebook, lambda done, of: told.append((done, of))):
        pass

    assert told == [(0, 3)]


TWO = """
import os, sys
from diagnose.casebook.index import opened_index
from diagnose.casebook.store import Casebook

casebook, children = Casebook.open(sys.argv[1]), []
for _ in range(4):
    child = os.fork()
    if child == 0:
        with opened_index(casebook) as index:
            os._exit(len(index.briefs()))
    children.append(child)
print([os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children])
"""


@needs_fork
def test_processes_that_make_it_at_once_agree(casebook, made, script):
    text = to_yaml(made(1))
    folder = casebook.save(made(1)).parent
    for number in range(2, 51):
        name = made(number).id
        (folder / f"{name}.yaml").write_text(text.replace(made(1).id, name))

    assert script(TWO, casebook.folder).strip() == "[50, 50, 50, 50]"
