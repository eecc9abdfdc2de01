"""The command in a real terminal: a pseudo-terminal of the system, typed at as a person would."""

from __future__ import annotations

import os
import re
import select
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from diagnose.casebook.store import Casebook

pty = pytest.importorskip("pty")
fcntl = pytest.importorskip("fcntl")
termios = pytest.importorskip("termios")

PATIENCE = 90.0
"""Seconds to wait for a text; a busy machine is slow to start."""

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[()][A-Z0-9]|\x1b[=>]")
COLOUR = re.compile(r"\x1b\[(?:[0-9]+;)*(?:3[0-7]|9[0-7]|38;[0-9;]+)m")

IN_A_TERMINAL = """
import os, sys
tty = os.open(sys.argv[1], os.O_RDWR)
for number in (0, 1, 2):
    os.dup2(tty, number)
os.execv(sys.executable, [sys.executable, "-m", "diagnose", *sys.argv[2:]])
"""
"""Opens the terminal as the first thing of a new session, so that Ctrl-C is a signal there."""


@dataclass
class Terminal:
    """A process in a terminal of its own."""

    process: subprocess.Popen[bytes]
    number: int
    raw: str = ""
    seen: int = field(default=0)

    @property
    def text(self) -> str:
        """All that was shown, without commands to the terminal."""
        return ESCAPE.sub("", self.raw).replace("\r\n", "\n")

    @property
    def flat(self) -> str:
        """The same with every gap as one space, since a prompt may be wrapped anywhere."""
        return " ".join(self.text.split())

    def until(self, words: str) -> None:
        """Read until the words are shown after those waited for last."""
        end = time.monotonic() + PATIENCE
        while words not in self.flat[self.seen :]:
            assert time.monotonic() < end, f"{words!r} is not in {self.flat[self.seen :]!r}"
            assert self._read(), f"ended without {words!r}: {self.flat[self.seen :]!r}"
        self.seen = self.flat.index(words, self.seen) + len(words)

    def type(self, line: str) -> None:
        os.write(self.number, line.encode() + b"\n")

    def press(self, key: bytes) -> None:
        os.write(self.number, key)

    def status(self) -> int:
        """The exit status, once all is read."""
        while self._read():
            pass
        return self.process.wait(PATIENCE)

    def _read(self) -> bool:
        """Read some; False when the process has ended and all is read."""
        ready, _, _ = select.select([self.number], [], [], 0.2)
        if not ready:
            return self.process.poll() is None
        try:
            some = os.read(self.number, 65536)
        except OSError:
            return False
        self.raw += some.decode("utf-8", "replace")
        return bool(some)


@pytest.fixture
def terminal(environment: dict[str, str]) -> Iterator[Callable[..., Terminal]]:
    """Starts the command in a terminal of a size, with more environment variables."""
    started: list[tuple[Terminal, int]] = []

    def start(*words: str, columns: int = 80, lines: int = 24, **variables: str) -> Terminal:
        ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        process = subprocess.Popen(
            [sys.executable, "-c", IN_A_TERMINAL, os.ttyname(theirs), *words],
            env={**environment, **variables},
            start_new_session=True,
        )
        one = Terminal(process, ours)
        started.append((one, theirs))
        return one

    yield start
    for one, theirs in started:
        one.process.kill()
        one.process.wait()
        os.close(one.number)
        os.close(theirs)


def test_a_whole_walk_in_a_terminal(
    terminal: Callable[..., Terminal], environment: dict[str, str]
) -> None:
    told = ["--seen", "relay-sound=chatters", "--seen", "fuse-holder-look=corroded"]
    read = ["--read", "voltage fuse.in fuse.out calling = 1.2 V"]
    here = terminal("walk", "bowser", *told, *read)
    here.until("tree-watering bowser: relay")
    here.until("Switch off before you touch")
    here.until("It comes to: Corroded main fuse holder")
    here.until("Enter for more>")
    here.type("")
    here.until("Enter for more>")
    here.type("quit")
    here.until("yes, no, or list for more tests>")
    here.type("why")
    here.until("speaks")
    here.type("yes")
    here.until("Measure now: voltage fuse.in fuse.out calling reads")
    here.type("95 mV")
    here.until("the repair holds")
    here.until("Saved: ")

    assert here.status() == 0
    case = Casebook.open(environment["DIAGNOSE_CASEBOOK"]).cases().good[0]
    assert (case.status, case.confirmed_by) == ("closed", "verification")
    assert "─" in here.text
    assert COLOUR.search(here.raw)


def test_broken_off_and_gone_on_with_in_a_narrow_terminal_without_colour(
    terminal: Callable[..., Terminal], environment: dict[str, str]
) -> None:
    here = terminal("walk", "mist-bench", columns=40, NO_COLOR="1")
    here.until("Enter for more>")
    here.type("")
    here.until("your own words, or ?>")
    here.type("runs slowly")
    here.until("Question 1")
    here.until("or ?>")
    here.type("unknown")
    here.until("Question 2")
    here.until("or ?>")
    here.press(b"\x03")
    here.until("diagnose walk --resume")

    assert here.status() == 130
    assert not COLOUR.search(here.raw)
    assert "─" not in here.text
    shown = [line.rstrip() for line in here.text.splitlines() if "> " not in line]
    assert max(map(len, shown)) <= 40  # what is typed behind a prompt is wrapped by the terminal
    assert len([*Path(environment["DIAGNOSE_CASEBOOK"]).rglob("*.jsonl")]) == 1

    again = terminal("walk", "--resume", TERM="dumb")
    again.until("Question 2")
    again.until("or ?>")
    again.press(b"\x04")

    assert again.status() == 130
    assert "\x1b[3" not in again.raw
    assert "Traceback" not in again.text
