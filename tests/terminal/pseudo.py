"""A process in a pseudo-terminal of the system, typed at as a person would."""

from __future__ import annotations

import fcntl
import json
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

PATIENCE = 90.0
"""Seconds to wait for a text; a busy machine is slow to start."""

QUIET = 0.2
"""Seconds without a word after which a process is taken to wait for a key."""

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
class Copy:
    """A process forked by forking.py, to be asked after as one of subprocess is."""

    forking: Forking
    pid: int
    returncode: int | None = None

    def poll(self) -> int | None:
        if self.returncode is None:
            self.returncode = self.forking.ask(ended=self.pid)
        return self.returncode

    def wait(self, timeout: float = PATIENCE) -> int:
        end = time.monotonic() + timeout
        while (status := self.poll()) is None:
            assert time.monotonic() < end, "it does not end"
            time.sleep(0.01)
        return status

    def kill(self) -> None:
        if self.poll() is None:
            os.kill(self.pid, signal.SIGKILL)


class Forking:
    """The process of forking.py."""

    def __init__(self, environment: dict[str, str]) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(Path(__file__).with_name("forking.py"))],
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )

    def ask(self, **asked: Any) -> Any:
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps(asked).encode() + b"\n")
        self._process.stdin.flush()
        return json.loads(self._process.stdout.readline())

    def end(self) -> None:
        self._process.communicate()


@dataclass
class Terminal:
    """A process in a terminal of its own."""

    process: subprocess.Popen[bytes] | Copy
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

    def resize(self, columns: int, lines: int = 24) -> None:
        """As when the edge of a window is dragged: the process gets a signal."""
        fcntl.ioctl(self.number, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))

    def break_off(self) -> int:
        """Ctrl-C once it is quiet, and again where it came between a prompt and the wait for a
        key all the same; the status."""
        end = time.monotonic() + PATIENCE
        while select.select([self.number], [], [], QUIET)[0] and self._read():
            pass
        while self.process.poll() is None:
            assert time.monotonic() < end, f"Ctrl-C does not end it: {self.flat!r}"
            with suppress(OSError):  # it may have ended by now
                self.press(b"\x03")
            again = time.monotonic() + PATIENCE / 4
            while time.monotonic() < again and self._read():
                pass
        return self.status()

    def status(self) -> int:
        """The exit status, once all is read."""
        end = time.monotonic() + PATIENCE
        while self._read():
            assert time.monotonic() < end, f"it does not end: {self.flat!r}"
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


def opened(columns: int, lines: int) -> tuple[int, int]:
    """The two ends of a new terminal of a size."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
    return ours, theirs


def started(
    words: tuple[str, ...],
    environment: dict[str, str],
    columns: int,
    lines: int,
    forking: Forking | None = None,
) -> tuple[Terminal, int]:
    """The command in a terminal of a size, and the terminal's other end, to be closed.

    forking: forks it; otherwise it is started from nothing
    """
    ours, theirs = opened(columns, lines)
    name = os.ttyname(theirs)
    if forking is not None:
        pid = forking.ask(start=words, terminal=name, environment=environment)
        return Terminal(Copy(forking, pid), ours), theirs
    process = subprocess.Popen(
        [sys.executable, "-c", IN_A_TERMINAL, name, *words],
        env=environment,
        start_new_session=True,
    )
    return Terminal(process, ours), theirs
