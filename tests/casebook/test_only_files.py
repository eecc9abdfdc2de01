"""What lies among the case files and is none: named in one sentence, and it hides no other."""

import errno
import os
import socket
import sys
from dataclasses import replace
from types import SimpleNamespace

import pytest

from diagnose.casebook import files
from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.index import opened_index
from diagnose.casebook.journal import unfinished
from diagnose.errors import DiagnoseError

ODD = "2026-03-02-odd-000000"
needs_pipes = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no such files")

KINDS = {
    "pipe": "should be a file, and is a pipe",
    "socket": "should be a file, and is a socket",
    "folder": "should be a file, and is a folder",
    "device": "should be a file, and is a device",
    "itself": "this link leads to itself",
    "nowhere": "this link leads nowhere",
}


def put(kind, path, monkeypatch):
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "socket":
        monkeypatch.chdir(path.parent)  # the name of a socket has to be short
        with socket.socket(socket.AF_UNIX) as one:
            one.bind(path.name)
    elif kind == "folder":
        path.mkdir()
    else:
        targets = {"device": os.devnull, "itself": path.name, "nowhere": "not-there"}
        path.symlink_to(targets[kind])


def both_ways(casebook):
    """The ids of the good cases and the problems, alike by the index and by the files."""
    loaded = casebook.cases()
    with opened_index(casebook) as index:
        assert [b.id for b in index.briefs()] == [case.id for case in loaded]
        assert sorted(map(str, index.problems)) == sorted(map(str, loaded.problems))
    return [case.id for case in loaded], [*map(str, loaded.problems)]


@needs_pipes
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_no_file_is_named_and_skipped(casebook, made, kind, monkeypatch):
    path = casebook.save(made(1)).with_name(f"{ODD}.yaml")
    put(kind, path, monkeypatch)

    for _ in range(2):
        good, (said,) = both_ways(casebook)
        assert good == [made(1).id]
        assert said.startswith(f"{path}: {KINDS[kind]}")
    with pytest.raises(DiagnoseError, match=KINDS[kind]):
        casebook.find("odd")
    with pytest.raises(DiagnoseError, match=KINDS[kind]):
        casebook.load(ODD)
    with pytest.raises(DiagnoseError, match=KINDS[kind]):
        casebook.save(replace(made(2), id=ODD))
    assert os.path.lexists(path)
    assert not path.is_file()


@needs_pipes
@pytest.mark.parametrize("kind", KINDS)
def test_among_the_walks_too(casebook, begun, kind, monkeypatch):
    path = begun.path.with_name("odd.jsonl")
    put(kind, path, monkeypatch)

    good, (said,) = unfinished(casebook)

    assert [walk.id for walk in good] == [begun.id]
    assert str(said).startswith(f"{path}: {KINDS[kind]}")


def test_a_link_to_a_case_elsewhere_is_a_case(casebook, made, tmp_path):
    path = casebook.save(made(1))
    path.rename(tmp_path / "kept.yaml")
    path.symlink_to(tmp_path / "kept.yaml")

    assert both_ways(casebook) == ([made(1).id], [])


def test_a_link_that_leads_somewhere_again_is_read_again(casebook, made, tmp_path):
    path = casebook.save(made(1))
    path.rename(tmp_path / "kept.yaml")
    path.symlink_to(tmp_path / "away.yaml")
    assert both_ways(casebook)[0] == []

    (tmp_path / "kept.yaml").rename(tmp_path / "away.yaml")
    assert both_ways(casebook) == ([made(1).id], [])


@pytest.mark.parametrize("target", ["2027", "not-there"])
def test_a_year_that_leads_nowhere_is_named(casebook, made, target):
    casebook.save(made(1))
    (casebook.folder / "2027").symlink_to(target)

    good, (said,) = both_ways(casebook)
    assert good == [made(1).id]
    assert said.startswith(f"{casebook.folder / '2027'}: this link leads ")


def test_the_same_case_in_two_years_counts_once(casebook, made):
    path = casebook.save(made(1))
    twin = casebook.folder / "2025" / path.name
    twin.parent.mkdir()
    twin.write_text(to_yaml(made(1, minutes=99.0)), "utf-8")

    good, (said,) = both_ways(casebook)

    assert good == [made(1).id]
    assert casebook.load(made(1).id).minutes == 12.5
    assert said == (
        f"{twin}: a case of this name is in the folder 2026, and that one counts; remove one"
    )


def test_a_case_in_the_folder_of_another_year_is_named(casebook, made):
    path = casebook.save(made(1))
    (casebook.folder / "2026").rename(casebook.folder / "2025")

    good, (said,) = both_ways(casebook)
    assert good == []
    assert "2025" in said
    assert said.endswith("belongs into the folder 2026, and does not count here; move it there")
    assert not path.exists()


@pytest.mark.parametrize(
    "name", ["notes.yaml", "2026-03-02-Bowser.yaml", "2026-03-02-.\udcff.yaml"]
)
def test_a_name_that_no_case_has_is_named(casebook, made, name):
    """The last is no UTF-8: the bytes of a disk written elsewhere."""
    path = casebook.save(made(1)).with_name(name)
    try:
        path.write_text(to_yaml(made(2)), "utf-8")
    except OSError:
        pytest.skip("this file system takes no such name")

    good, (said,) = both_ways(casebook)
    assert good == [made(1).id]
    assert "is not the name of a case; name it like 2026-03-02-mist-bench-3fa91c" in said
    assert said.isprintable()


@pytest.mark.parametrize("seconds", [-(2**33), 2**33 + 5])
def test_a_file_dated_where_no_repair_was_is_read(casebook, made, seconds):
    """1697 and 2242; and 2400 below, whose nanoseconds are beyond 63 bits."""
    path = casebook.save(made(1))
    os.utime(path, (seconds, seconds))
    assert both_ways(casebook) == ([made(1).id], [])


def test_a_time_beyond_63_bits_is_kept_small():
    """Not every file system keeps such a time, so the numbers are given here: the year 2400."""
    odd = SimpleNamespace(st_mtime_ns=13569465600 * 10**9, st_size=2**63, st_ino=2**64 - 1)
    assert all(0 <= number < 2**63 for number in files._stamp(odd))


def refusing(monkeypatch, folder):
    """A folder that this user may not look into; whoever runs the tests may be allowed all."""
    real = os.scandir

    def scandir(path):
        if os.fspath(path) == str(folder):
            raise PermissionError(errno.EACCES, "Permission denied")
        return real(path)

    monkeypatch.setattr(files.os, "scandir", scandir)


def test_a_year_that_may_not_be_looked_into_is_named(casebook, made, monkeypatch):
    casebook.save(made(1))
    casebook.save(made(2, opened=made(1).opened.replace(year=2025)))
    refusing(monkeypatch, casebook.folder / "2025")

    good, (said,) = both_ways(casebook)
    assert good == [made(1).id]
    assert said.endswith("2025: the file cannot be read: Permission denied")


def test_walks_that_may_not_be_looked_into_are_named(casebook, begun, monkeypatch):
    refusing(monkeypatch, casebook.folder / "walks")

    assert unfinished(casebook)[0] == ()
    assert "walks: the file cannot be read: Permission denied" in str(unfinished(casebook)[1][0])


CLOSED_FILE = """
import os, sys
from diagnose.casebook.index import opened_index
from diagnose.casebook.store import Casebook

path, casebook = sys.argv[2], Casebook.open(sys.argv[1])
casebook.cases()  # imports what another user may not
def said():
    with opened_index(casebook) as index:
        return [(p.message) for p in index.problems], index.count
os.chmod(path, 0)
if os.geteuid() == 0:
    for folder, _, names in os.walk(sys.argv[1]):
        os.chown(folder, 65534, 65534)
        for name in names:
            os.chown(os.path.join(folder, name), 65534, 65534)
    os.seteuid(65534)
print(said())
print(said())
os.chmod(path, 0o644)
print(said())
"""


@pytest.mark.skipif(sys.platform == "win32", reason="files are not closed to their owner there")
def test_a_file_that_may_not_be_read_is_tried_again(made, script, tmp_path_factory):
    """Once its owner lets it be read nothing in the file has changed, and it counts again."""
    import shutil
    import tempfile

    from diagnose.casebook.store import Casebook

    folder = tempfile.mkdtemp()  # where another user may look as well
    os.chmod(folder, 0o755)
    try:
        casebook = Casebook.open(f"{folder}/cases")
        casebook.save(made(1))
        path = casebook.save(made(2))
        closed = (["the file cannot be read: Permission denied"], 1)
        assert script(CLOSED_FILE, casebook.folder, path).splitlines() == [
            str(closed),
            str(closed),
            str(([], 2)),
        ]
    finally:
        shutil.rmtree(folder)
