"""The folder of cases: found, saved whole, never overwritten, and readable beside broken files."""

import errno
import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.casebook import disk, locks
from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.locks import Lock, LockingError
from diagnose.casebook.store import Casebook, user_folder
from diagnose.errors import DiagnoseError

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


def files(folder):
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_the_folder_is_the_one_given_before_all_others(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("DIAGNOSE_CASEBOOK", raising=False)
    assert Casebook.open().folder == tmp_path / "data" / "diagnose" / "cases"

    (tmp_path / "cases").mkdir()
    assert Casebook.open().folder == Path("cases")

    monkeypatch.setenv("DIAGNOSE_CASEBOOK", str(tmp_path / "from the environment"))
    assert Casebook.open().folder == tmp_path / "from the environment"
    assert Casebook.open(tmp_path / "given").folder == tmp_path / "given"


@pytest.mark.parametrize(
    ("system", "folder"),
    [
        ("win32", "local/diagnose/cases"),
        ("darwin", "home/Library/Application Support/diagnose/cases"),
        ("linux", "home/.local/share/diagnose/cases"),
    ],
)
def test_each_system_has_its_place_for_a_users_data(tmp_path, monkeypatch, system, folder):
    """Source: the folders that each system's own guide names; XDG: a relative path is ignored."""
    monkeypatch.setattr(sys, "platform", system)
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "local"))
    monkeypatch.setenv("XDG_DATA_HOME", "not/absolute")

    assert user_folder() == tmp_path / folder


def test_a_file_is_no_casebook(tmp_path):
    (tmp_path / "cases").write_text("")

    with pytest.raises(DiagnoseError, match="a casebook is a folder, and this is a file"):
        Casebook.open(tmp_path / "cases")


def test_opening_a_casebook_creates_nothing(casebook):
    assert not casebook.folder.exists()
    assert casebook.cases().good == ()


def test_a_case_is_saved_in_the_folder_of_its_year(casebook, made):
    path = casebook.save(made(1))

    assert path == casebook.folder / "2026" / "2026-03-02-tree-watering-bowser-000001.yaml"
    assert path.read_text("utf-8") == to_yaml(made(1))
    assert files(casebook.folder) == [".lock", f"2026/{path.name}"]


def test_cases_come_back_oldest_first(casebook, made):
    for number in (3, 1, 2):
        casebook.save(made(number))

    assert list(casebook.cases()) == [made(1), made(2), made(3)]


def test_saving_a_case_again_replaces_it(casebook, made):
    casebook.save(made(1))
    casebook.save(made(1, notes="more"))

    assert [case.notes for case in casebook.cases()] == ["more"]


def test_another_case_is_never_overwritten(casebook, made):
    casebook.save(made(1))
    other = replace(made(2), id=made(1).id)

    with pytest.raises(DiagnoseError, match="another case is in this file; it stays"):
        casebook.save(other)
    assert casebook.cases().good == (made(1),)


def test_a_broken_file_is_never_overwritten(casebook, made):
    path = casebook.save(made(1))
    path.write_text("half of a")

    with pytest.raises(DiagnoseError, match=r"000001\.yaml"):
        casebook.save(made(1))
    assert path.read_text() == "half of a"


@pytest.mark.parametrize("name", ["../../2026-03-02-x", "2026-03-02-X", "", "2026-03-02-a/b"])
def test_an_id_cannot_lead_out_of_the_folder(casebook, made, name):
    with pytest.raises(DiagnoseError, match="is not the id of a case"):
        casebook.save(made(1, id=name))


def test_a_broken_file_is_named_and_hides_no_other(casebook, made):
    paths = [casebook.save(made(number)) for number in range(4)]
    paths[0].write_text(to_yaml(made(0)).replace("minutes: 12.5", "minutes: on"))
    paths[1].write_bytes(b"\xff\xfe")
    paths[2].rename(paths[2].with_name("2026-03-02-another-name.yaml"))

    loaded = casebook.cases()

    assert loaded.good == (made(3),)
    renamed, bare_on, binary = map(str, loaded.problems)
    assert "another-name.yaml, line 3, key id: the file is called" in renamed
    assert f"{paths[0]}, line 9, key minutes: a bare on can be read as true" in bare_on
    assert f"{paths[1]}, line 1: is not UTF-8 text" in binary


def test_a_case_is_found_by_a_part_of_its_id(casebook, made):
    casebook.save(made(10))
    casebook.save(made(11))

    assert casebook.find("00000a") == made(10).id
    assert casebook.find(made(11).id) == made(11).id
    with pytest.raises(DiagnoseError, match=r"'bowser' fits 2 cases \(2026.*\); say more"):
        casebook.find("bowser")
    with pytest.raises(DiagnoseError, match="there is no case called '2026-03-02-tree-watring"):
        casebook.find("2026-03-02-tree-watring-bowser-00000a")


def test_a_change_is_read_made_and_written_in_one(casebook, made):
    casebook.save(made(1))

    changed = casebook.update(made(1).id, lambda case: replace(case, notes=f"{case.notes}!"))

    assert changed == made(1, notes="!") == casebook.load(made(1).id)


def test_what_a_killed_writer_left_half_done_is_cleared_away(casebook, made):
    folder = casebook.save(made(1)).parent
    (folder / ".2026-03-02-x.yaml.1234.tmp").write_text("schema: 1\nid: 20")

    assert casebook.cases().problems == ()
    casebook.save(made(2))
    assert not list(folder.glob(".*"))


def refuse(number):
    def fail(*_):
        raise OSError(number, os.strerror(number))

    return fail


@pytest.mark.parametrize("name", ["fsync", "replace"])
def test_a_full_disk_gives_one_sentence_and_keeps_what_was_there(casebook, made, monkeypatch, name):
    casebook.save(made(1))
    before = files(casebook.folder)
    monkeypatch.setattr(disk.os, name, refuse(errno.ENOSPC))

    for attempt in (made(1, notes="more"), made(2)):
        with pytest.raises(DiagnoseError) as caught:
            casebook.save(attempt)
        assert str(caught.value).endswith(
            ".yaml: the disk is full; what was saved is unharmed; free some space, then go on"
        )

    monkeypatch.undo()
    assert files(casebook.folder) == before
    assert casebook.cases().good == (made(1),)


def test_a_file_that_may_grow_no_further_gives_the_same_sentence(casebook, made):
    """The system's own refusal, in the middle of the write, by a limit on the size of files."""
    resource = pytest.importorskip("resource", reason="this system has no such limit")
    casebook.save(made(1))
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (300, hard))
    try:
        with pytest.raises(DiagnoseError, match="the disk is full"):
            casebook.save(made(2))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    assert casebook.cases().good == (made(1),)
    assert files(casebook.folder) == [".lock", f"2026/{made(1).id}.yaml"]


def test_a_folder_that_takes_no_file_is_named(casebook, made, monkeypatch):
    monkeypatch.setattr(disk.os, "replace", refuse(errno.EACCES))

    with pytest.raises(DiagnoseError, match=r"Permission denied\); choose another folder"):
        casebook.save(made(1))


WRITERS = """
import os, sys
from dataclasses import replace
from pathlib import Path
from diagnose.casebook import locks
from diagnose.casebook.case_reading import from_yaml
from diagnose.casebook.store import Casebook

casebook, template, how = Casebook.open(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
if how == "stand-in":
    def none(number):
        raise locks.LockingError
    locks.system_lock = none
shared = from_yaml(template.read_bytes(), "template")

def write(writer):
    for number in range(10):
        casebook.save(replace(shared, id=f"2026-03-02-writer-{writer}-{number}"))
        casebook.update(shared.id, lambda case: replace(case, notes=f"{case.notes}{writer}"))

casebook.save(shared)
children = []
for writer in "ab":
    child = os.fork()
    if child == 0:
        write(writer)
        os._exit(0)
    children.append(child)
assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
"""


@needs_fork
@pytest.mark.parametrize("how", ["system", "stand-in"])
def test_two_processes_writing_at_once_lose_nothing(casebook, made, script, tmp_path, how):
    template = tmp_path / "template.yaml"
    template.write_text(to_yaml(made(1)))

    script(WRITERS, casebook.folder, template, how)

    loaded = casebook.cases()
    assert loaded.problems == ()
    assert len(loaded.good) == 21
    notes = casebook.load(made(1).id).notes
    assert (notes.count("a"), notes.count("b")) == (10, 10)


KILLS = """
import os, random, signal, sys, time
from dataclasses import replace
from pathlib import Path
from diagnose.casebook.case_reading import from_yaml
from diagnose.casebook.store import Casebook

casebook, case = Casebook.open(sys.argv[1]), from_yaml(Path(sys.argv[2]).read_bytes(), "template")
chance, promised = random.Random(5), 0
casebook.save(replace(case, minutes=0.0))
for kill in range(25):
    hear, say = os.pipe()
    child = os.fork()
    if child == 0:
        for number in range(promised + 1, 10**6):
            casebook.save(replace(case, minutes=float(number)))
            os.write(say, b"%d\\n" % number)
    os.close(say)
    heard = os.read(hear, 100).split() if kill % 4 else []  # mostly, one promise at least
    time.sleep(chance.uniform(0, 0.012))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    heard += os.fdopen(hear, "rb").read().split()
    there = casebook.load(case.id).minutes
    assert there >= float(heard[-1] if heard else promised), (kill, there, heard)
    promised = int(there)
print(promised)
"""


@needs_fork
def test_a_writer_killed_at_any_moment_leaves_a_whole_file_and_no_lock(
    casebook, made, script, tmp_path
):
    template = tmp_path / "template.yaml"
    template.write_text(to_yaml(made(1)))

    saved = int(script(KILLS, casebook.folder, template))

    assert saved >= 18
    casebook.save(made(2))
    assert len(casebook.cases().good) == 2


def no_locks(number):
    raise LockingError


@pytest.mark.parametrize("how", ["system", "stand-in"])
def test_a_lock_is_held_by_one_at_a_time(tmp_path, monkeypatch, how):
    if how == "stand-in":
        monkeypatch.setattr(locks, "system_lock", no_locks)
    path = tmp_path / "deep" / ".lock"

    with Lock(path, "somebody is writing", patience=0) as first:
        with pytest.raises(DiagnoseError, match="somebody is writing"):
            Lock(path, "somebody is writing", patience=0.02).acquire()
        first.release()
        Lock(path, "somebody is writing", patience=0).acquire().release()


def test_a_stand_in_left_behind_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr(locks, "system_lock", no_locks)
    Lock(tmp_path / ".lock", "somebody is writing").acquire()

    with pytest.raises(DiagnoseError, match=r"if none is running, remove the file \.lock\.held"):
        Lock(tmp_path / ".lock", "somebody is writing", patience=0).acquire()


def test_a_file_system_without_locks_is_found_out(tmp_path, monkeypatch):
    monkeypatch.setattr(locks, "_lock_now", refuse(errno.ENOLCK))

    with Lock(tmp_path / ".lock", "somebody is writing"):
        assert (tmp_path / ".lock.held").exists()
    assert not (tmp_path / ".lock.held").exists()
