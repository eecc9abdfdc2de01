"""Streams that are full or closed: a sentence, the right status, no traceback and no waiting."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.casebook.journal import unfinished
from diagnose.casebook.store import Casebook
from diagnose.terminal.app import main

FULL = "/dev/full"
pytestmark = pytest.mark.skipif(not Path(FULL).exists(), reason="no device that is always full")

Call = Callable[..., subprocess.CompletedProcess[str]]
DRAW = ("rig", "draw", "bowser")
MISTAKES = {"option": ("rig", "draw", "--nonsense"), "rig": ("rig", "draw", "nosuch")}


@pytest.fixture
def call(command: list[str], environment: dict[str, str], tmp_path: Path) -> Call:
    """Runs the command by a shell with its streams as said: `>/dev/full 2>&-`."""

    def run(*words: str, streams: str = "", typed: str = "") -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["sh", "-c", f'"$@" {streams}', "sh", *command, *words],
            input=typed,
            env=environment,
            cwd=tmp_path,
            capture_output=True,
            text=True,
            timeout=60,
        )

    return run


IS_FULL, IS_CLOSED = (f">{FULL}", os.strerror(28)), (">&-", "it is closed")


@pytest.mark.parametrize(
    ("words", "streams", "why"),
    [
        (DRAW, *IS_FULL),
        (DRAW, *IS_CLOSED),
        (("expect", "van-shower", "--json"), *IS_FULL),
        (("--help",), *IS_CLOSED),
    ],
)
def test_output_that_is_lost_is_told_and_no_success(
    call: Call, words: tuple[str, ...], streams: str, why: str
) -> None:
    done = call(*words, streams=streams)

    assert done.returncode == 1
    assert done.stderr == f"The output could not be written in full: {why}.\n"


@pytest.mark.parametrize(
    ("mistake", "streams"),
    [
        ("option", f"2>{FULL}"),
        ("rig", "2>&-"),
        ("rig", f"2>{FULL} >{FULL}"),
        ("option", "2>&- >&- <&-"),
    ],
)
def test_a_mistake_stays_one_where_nobody_can_be_told(
    call: Call, mistake: str, streams: str
) -> None:
    done = call(*MISTAKES[mistake], streams=streams)

    assert (done.returncode, done.stdout, done.stderr) == (2, "", "")


def test_errors_that_nobody_can_read_change_nothing(call: Call) -> None:
    assert call(*DRAW, streams=f"2>{FULL}").returncode == 0
    assert "main fuse" in call(*DRAW, streams="2>&-").stdout


@pytest.mark.parametrize("words", [DRAW, ("expect", "van-shower", "--json")])
def test_a_reader_who_goes_away_gets_1_in_silence(
    command: list[str], environment: dict[str, str], words: tuple[str, ...]
) -> None:
    """Of what is written at once and of what is too long for that, as Python's documentation of
    `signal` has it in its note on SIGPIPE (from memory). As `| head -1` does, the reader goes
    before anything is written."""
    with subprocess.Popen(
        [*command, *words], env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as started:
        assert started.stdout
        started.stdout.close()
        _, error = started.communicate(timeout=60)

    assert (started.returncode, error) == (1, b"")


def test_a_walk_without_input_says_so(call: Call) -> None:
    done = call("walk", "van-shower", streams="<&-")

    assert done.returncode == 130
    assert done.stderr.startswith("There is no input")
    assert "Traceback" not in done.stderr


def test_lines_without_input_end_with_the_result(
    run: Callable[..., object], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Called in this process; what stands for its input can only be written to."""
    monkeypatch.setattr(sys, "argv", ["diagnose", "walk", "mist-bench", "--json-lines"])
    with os.fdopen(os.open(os.devnull, os.O_WRONLY), "r") as closed, monkeypatch.context() as here:
        here.setattr(sys, "stdin", closed)
        with pytest.raises(SystemExit):
            main()

    shown = capsys.readouterr()
    assert '"type": "result"' in shown.out.splitlines()[-1]
    assert shown.err.startswith("There is no input")


def test_what_was_answered_is_kept_where_the_screen_is_lost(
    command: list[str], environment: dict[str, str], tmp_path: Path
) -> None:
    """The reader goes away after two answers."""
    with subprocess.Popen(
        [*command, "walk", "van-shower", "--seen", "pump-action=slow"],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as started:
        assert started.stdin
        assert started.stdout
        started.stdin.write("unknown\n")
        started.stdin.flush()
        read = ""
        while "Question 2" not in read:
            line = started.stdout.readline()
            assert line, f"it ended before its second question: {read[-300:]}"
            read += line
        started.stdout.close()
        for _ in range(3):
            try:
                started.stdin.write("unknown\n")
                started.stdin.flush()
            except BrokenPipeError:
                break
        started.wait(60)
        error: Any = started.stderr.read() if started.stderr else ""

    walks, problems = unfinished(Casebook.open(tmp_path / "cases"))
    assert started.returncode == 1
    assert "Traceback" not in error
    assert not problems
    assert [one.answered >= 1 for one in walks] == [True]
