"""JSON lines that only grow: what was promised is there, whatever happened in between."""

import errno
import json
import os

import pytest

from diagnose.casebook import lines
from diagnose.casebook.lines import Lines, line_of, read_lines
from diagnose.errors import BadDocument, DiagnoseError

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")
ENTRIES = [{"step": n, "text": "ü\n" * n} for n in range(4)]


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "walk.jsonl"
    path.touch()
    return path


@pytest.fixture
def writer(path):
    writer = Lines(path)
    yield writer
    writer.close()


def entries(path):
    return [entry for _, entry in read_lines(path)]


def test_each_entry_is_a_line_of_its_own(writer, path):
    for entry in ENTRIES:
        writer.append(entry)

    assert [json.loads(line) for line in path.read_text("ascii").splitlines()] == ENTRIES
    assert read_lines(path) == list(enumerate(ENTRIES, 1))


def test_an_entry_is_on_the_disk_when_append_returns(writer, path, monkeypatch):
    """fsync is called with the whole line written, once a line."""
    forced = []
    monkeypatch.setattr(lines.os, "fsync", lambda number: forced.append(path.read_bytes()))

    for entry in ENTRIES:
        writer.append(entry)

    assert forced == [b"".join(map(line_of, ENTRIES[:n])) for n in (1, 2, 3, 4)]


def test_a_line_torn_anywhere_is_left_out_and_cut_off(path):
    whole = b"".join(map(line_of, ENTRIES))
    ends = [len(b"".join(map(line_of, ENTRIES[:n]))) for n in range(5)]

    for cut in range(len(whole) + 1):
        path.write_bytes(whole[:cut])
        good = sum(end <= cut for end in ends) - 1
        assert entries(path) == ENTRIES[:good]

        torn = Lines(path)
        assert path.read_bytes() == whole[: ends[good]]
        torn.append({"next": cut})
        torn.close()
        assert entries(path) == [*ENTRIES[:good], {"next": cut}]


def test_a_last_line_of_zeros_is_torn_too(path):
    """What some file systems leave when the power fails: the size is new, the bytes are not."""
    path.write_bytes(line_of(ENTRIES[0]) + b"\0" * 30 + b"\n")

    assert entries(path) == ENTRIES[:1]


@pytest.mark.parametrize(
    "bad", [b"{", b"[1]", b'"x"', b"\xff", b"{}{}", b'{"a": NaN}', b"[" * 9999]
)
def test_damage_in_the_middle_is_named(path, bad):
    path.write_bytes(line_of(ENTRIES[0]) + bad + b"\n" + line_of(ENTRIES[1]))

    with pytest.raises(BadDocument, match=r"walk\.jsonl, line 2: is not a line of a walk"):
        read_lines(path)


def test_a_file_that_is_no_walk_is_refused_at_once(path):
    path.write_bytes(b"x" * (lines.LARGEST + 1))

    with pytest.raises(BadDocument, match="is over 10 MB"):
        read_lines(path)


def test_a_full_disk_leaves_the_file_as_it_was(writer, path, monkeypatch):
    writer.append(ENTRIES[0])
    real, calls = os.write, []

    def half(number, body):
        """Takes half of the line, then there is no room."""
        calls.append(body)
        if len(calls) > 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(number, body[: len(body) // 2])

    monkeypatch.setattr(lines.os, "write", half)
    with pytest.raises(DiagnoseError, match="the disk is full; what was saved is unharmed"):
        writer.append(ENTRIES[1])
    assert entries(path) == ENTRIES[:1]

    monkeypatch.undo()
    writer.append(ENTRIES[2])
    assert entries(path) == [ENTRIES[0], ENTRIES[2]]


def test_the_systems_limit_on_a_file_gives_the_same(writer, path):
    resource = pytest.importorskip("resource", reason="this system has no such limit")
    writer.append(ENTRIES[0])
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (40, hard))
    try:
        with pytest.raises(DiagnoseError, match="the disk is full"):
            writer.append({"text": "x" * 100})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    assert entries(path) == ENTRIES[:1]


KILLS = """
import os, random, signal, sys, time
from pathlib import Path
from diagnose.casebook.lines import Lines, read_lines

path, chance, there, torn = Path(sys.argv[1]), random.Random(int(sys.argv[2])), 0, 0
for kill in range(100):
    hear, say = os.pipe()
    child = os.fork()
    if child == 0:
        writer, part = Lines(path), os.write
        if kill % 2:  # a slow disk: the line goes out in pieces, and can be torn between them
            def slow(number, body):
                time.sleep(0.0005)
                return part(number, body[:200])
            os.write = slow
        for number in range(there, 10**6):
            writer.append({"step": number, "text": "x" * chance.randrange(2000)})
            part(say, b"%d\\n" % number)
    os.close(say)
    heard = os.read(hear, 100).split() if kill % 4 else []  # mostly, one promise at least
    time.sleep(chance.uniform(0, 0.006))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    heard += os.fdopen(hear, "rb").read().split()
    steps = [entry["step"] for _, entry in read_lines(path)]
    assert steps == list(range(len(steps))), kill
    assert not heard or steps[-1] >= int(heard[-1]), (kill, steps[-1], heard[-1])
    there, torn = len(steps), torn + (not path.read_bytes().endswith(b"\\n"))
print(there, torn)
"""


@needs_fork
def test_a_writer_killed_a_hundred_times_keeps_every_promise(path, script):
    there, torn = map(int, script(KILLS, path, 11).split())

    assert there >= 75, "the writer hardly got to write; the test proves nothing"
    assert torn > 10, "no line was torn; the test proves nothing"
