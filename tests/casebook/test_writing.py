"""Cases are written whole: on a full disk, by two at once, by one that is killed, without locks."""

import errno
import os

import pytest

from diagnose.casebook import disk
from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.disk import Lock
from diagnose.errors import DiagnoseError

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


def files(folder):
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_what_a_killed_writer_left_half_done_is_cleared_away(casebook, made):
    folder = casebook.save(made(1)).parent
    (folder / ".0123456789abcdef.tmp").write_text("schema: 1\nid: 20")
    (folder / ".not-ours.tmp").write_text("somebody else's")

    assert casebook.cases().problems == ()
    casebook.save(made(2))
    assert [path.name for path in folder.glob(".*")] == [".not-ours.tmp"]


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
import errno, os, sys
from dataclasses import replace
from pathlib import Path
from diagnose.casebook.case_file import from_yaml
from diagnose.casebook.store import Casebook

casebook, template, how = Casebook.open(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
if how == "stand-in":
    import fcntl
    def none(*_):
        raise OSError(errno.ENOLCK, "No locks available")
    fcntl.flock = none
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
from diagnose.casebook.case_file import from_yaml
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


@pytest.fixture(params=["system", "stand-in"])
def how(request, monkeypatch):
    """On a file system with locks, and on one without."""
    if request.param == "stand-in":
        fcntl = pytest.importorskip("fcntl", reason="this system has other locks")
        monkeypatch.setattr(fcntl, "flock", refuse(errno.ENOLCK))
    return request.param


def test_a_lock_is_held_by_one_at_a_time(tmp_path, how):
    path = tmp_path / "deep" / ".lock"

    with Lock(path, "somebody is writing", patience=0) as first:
        assert (tmp_path / "deep" / ".lock.held").exists() == (how == "stand-in")
        with pytest.raises(DiagnoseError, match="somebody is writing"):
            Lock(path, "somebody is writing", patience=0.02).acquire()
        first.release()
        Lock(path, "somebody is writing", patience=0).acquire().release()
    assert not (tmp_path / "deep" / ".lock.held").exists()


def test_a_lock_whose_file_was_taken_away_just_then_is_taken_anew(tmp_path, monkeypatch):
    """Its holder leaves after the next one has opened the file, and before that one has it."""
    fcntl = pytest.importorskip("fcntl", reason="this system has other locks")
    path, lock = tmp_path / ".lock", fcntl.flock

    def late(number, how):
        monkeypatch.setattr(fcntl, "flock", lock)
        path.unlink()
        lock(number, how)

    monkeypatch.setattr(fcntl, "flock", late)
    with Lock(path, "somebody is writing", patience=0):
        assert path.exists()
        with pytest.raises(DiagnoseError, match="somebody is writing"):
            Lock(path, "somebody is writing", patience=0).acquire()


@pytest.mark.parametrize("how", ["stand-in"], indirect=True)
def test_a_stand_in_in_the_way_is_named(tmp_path, how):
    holder = Lock(tmp_path / ".lock", "somebody is writing").acquire()

    with pytest.raises(DiagnoseError, match=r"if none is running, remove the file \.lock\.held"):
        Lock(tmp_path / ".lock", "somebody is writing", patience=0).acquire()
    holder.release()
