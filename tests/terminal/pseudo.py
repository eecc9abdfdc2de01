"""A process in a pseudo-terminal of the system, typed at as a person would."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import sys
import termios
import time
from contextlib import suppress
from dataclasses import dataclass, field

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

    def resize(self, columns: int, lines: int = 24) -> None:
        """As when the edge of a window is dragged: the process gets a signal."""
        fcntl.ioctl(self.number, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))

    def break_off(self) -> int:
        """Ctrl-C, and again where it came between a prompt and the wait for a key; the status."""
        end = time.monotonic() + PATIENCE
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


def started(
    words: tuple[str, ...], environment: dict[str, str], columns: int, lines: int
) -> tuple[Terminal, int]:
    """The command in a terminal of a size, and the terminal's other end, to be closed."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
    process = subprocess.Popen(
        [sys.executable, "-c", IN_A_TERMINAL, os.ttyname(theirs), *words],
        env=environment,
        start_new_session=True,
    )
    return Terminal(process, ours), theirs
