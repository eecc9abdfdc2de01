"""Walks in a real terminal, killed again and again, and gone on with. Run by in_boxes.py.

First so many walks that keep themselves in one folder are killed at random moments, then walks in
another in every write.

Each walk is the command itself in a forked process on a pseudo-terminal of its own, typed at as a
person would. What counts as promised is what a person sees: once question 4 is shown, three answers
have to be there. One line is printed of each, which says how much of it took place.
"""

from __future__ import annotations

import os
import pty
import random
import re
import select
import signal
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any, NoReturn

from diagnose.bench import Bench, Shop
from diagnose.casebook.journal_form import StepLine, read_journal
from diagnose.casebook.store import VARIABLE, Casebook
from diagnose.terminal import options
from diagnose.terminal.app import app
from diagnose.terminal.walk import command
from tests.terminal.every_command import RIG

QUESTION = re.compile(rb"Question (\d+), ")
PROMPT = re.compile(rb"> $")
END = b"It comes to"
NEW, AGAIN = ("walk", RIG, "--seen", "flow=none"), ("walk", "--resume")
KEYS = ("1", "2", "unknown", "unknown", "skip", "12.1", "0.05")
PATIENCE = 60.0
NEEDED = (command,)
"""What the command imports late, so that no fork has to."""


@dataclass
class Child:
    """One process of the command in a terminal. shown: question last shown, 0 before the first;
    ended: whether the result was shown."""

    words: tuple[str, ...]
    prepare: Callable[[], None] = lambda: None
    pid: int = 0
    number: int = 0
    raw: bytes = b""
    shown: int = 0
    ended: bool = False

    def start(self) -> Child:
        self.pid, self.number = pty.fork()
        if self.pid == 0:
            self._run()
        return self

    def _run(self) -> NoReturn:
        sys.stdin, sys.stdout = os.fdopen(0), os.fdopen(1, "w")
        sys.stderr = os.fdopen(2, "w")
        try:
            self.prepare()
            app([*self.words], standalone_mode=False)
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            os._exit(0)

    def read(self, seconds: float) -> bool:
        """Take what is shown within a time; False when the process has ended."""
        ready, _, _ = select.select([self.number], [], [], max(seconds, 0.0))
        if not ready:
            return True
        try:
            some = os.read(self.number, 65536)
        except OSError:
            return False
        self.raw += some
        for found in QUESTION.finditer(self.raw):
            self.shown = int(found[1])
        self.ended = self.ended or END in self.raw
        return bool(some)

    def waiting(self) -> bool:
        """Whether a prompt stands at the end of what is shown."""
        return PROMPT.search(self.raw) is not None

    def type(self, line: str) -> None:
        """A line; after "back" the last answer is promised no longer."""
        self.raw, self.shown = b"", self.shown - (line == "back")
        os.write(self.number, line.encode() + b"\n")

    def kill(self) -> None:
        """Kill it, read what it had said before, and let go of its terminal."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        while self.read(0.0) and select.select([self.number], [], [], 0.0)[0]:
            pass
        os.close(self.number)


def kept(casebook: Casebook) -> list[StepLine]:
    """The steps in the only journal, those taken back left out; none where there is no journal."""
    steps: list[StepLine] = []
    for path in (casebook.folder / "walks").glob("*.jsonl"):
        for _, entry in read_journal(path)[1]:
            if isinstance(entry, StepLine):
                steps.append(entry)
            else:
                steps.pop()
    return steps


def killed_at_random(casebook: Casebook, kills: int, chance: random.Random) -> str:
    """Kill `kills` walks; how many answers were kept, and in how many walks."""
    promised = walks = answers = 0
    words: tuple[str, ...] = NEW
    for kill in range(kills):
        child = Child(words).start()
        wait_for(child, promised + 1, kill)
        walks += words is NEW
        for _ in range(chance.randint(1, 3)):
            child.type(chance.choice(KEYS))
            if chance.random() < 0.3 or not prompted(child) or child.ended:
                break
        time.sleep(chance.uniform(0, chance.choice((0.01, 0.3))))
        child.kill()
        steps = kept(casebook)
        answers += max(len(steps) - promised, 0)
        assert len(steps) >= child.shown - 1, (kill, len(steps), child.shown)
        promised, words = len(steps), AGAIN
        if child.ended:  # the walk is through; what is left of it is taken away
            clear(casebook)
            promised, words = 0, NEW
    return f"{answers} {walks}"


def prompted(child: Child) -> bool:
    """Wait for the next prompt; False when the process has ended instead."""
    end = time.monotonic() + PATIENCE
    while not child.waiting():
        assert time.monotonic() < end, child.raw
        if not child.read(0.2):
            return False
    return True


def wait_for(child: Child, number: int, kill: int) -> None:
    """Until the question that follows what was kept is shown; not another one."""
    assert prompted(child), (kill, child.raw)
    assert child.ended or child.shown in (number, 0), (kill, number, child.raw)


def clear(casebook: Casebook) -> None:
    for path in casebook.folder.rglob("*"):
        if path.is_file():
            path.unlink()


CALLS = ("write", "fsync", "replace", "unlink", "ftruncate")
TYPED = ("unknown", "back", "1")
NEVER = -1


def watched(wanted: int, half: bool, log: int = NEVER) -> Callable[[], None]:
    """Make a process kill itself in the call `wanted` of those that change the disk: before it, or,
    of a write, when half of it is done. log: where the name of each call goes."""

    def prepare() -> None:
        numbers, write = count(), os.write

        def watch(name: str) -> Callable[..., Any]:
            real = getattr(os, name)

            def call(*given: Any, **more: Any) -> Any:
                if name == "write" and given[0] <= 2:  # what is shown
                    return real(*given, **more)
                if log != NEVER:
                    write(log, f"{name} ".encode())
                if next(numbers) == wanted:
                    if half:
                        write(given[0], given[1][: len(given[1]) // 2])
                    os.kill(os.getpid(), signal.SIGKILL)
                return real(*given, **more)

            return call

        for name in CALLS:
            setattr(os, name, watch(name))

    return prepare


def killed_in_every_write(casebook: Casebook) -> str:
    """A walk of some answers, killed in each call in turn; the calls."""
    hear, say = os.pipe()
    whole = Child(NEW, watched(NEVER, False, say)).start()
    assert not answered(whole)
    whole.kill()
    calls = os.read(hear, 10_000).decode().split()
    for wanted, name in enumerate(calls):
        for half in (False, True) if name == "write" else (False,):
            clear(casebook)
            child = Child(NEW, watched(wanted, half)).start()
            assert answered(child), (wanted, name)
            child.kill()
            steps = kept(casebook)
            assert len(steps) >= child.shown - 1, (wanted, name, half, len(steps), child.shown)
            if steps and half:  # a torn line, which the next writer has to cut off
                again = Child(AGAIN).start()
                wait_for(again, len(steps) + 1, wanted)
                again.kill()
    return " ".join(calls)


def answered(child: Child) -> bool:
    """Type a few answers, one of them taken back; whether the process was killed on the way."""
    for key in TYPED:
        if not prompted(child):
            return True
        child.type(key)
    return not prompted(child)


def book_in(folder: str) -> Casebook:
    """The casebook of a folder, in which the walks that follow keep themselves."""
    os.environ[VARIABLE] = folder
    return Casebook.open()


def kill_walks(folder: Path, kills: int, seed: int) -> None:
    """So many at random moments, and those killed in every write; a line of each."""
    options.shop, options.bench_for = Shop.shipped, Bench.for_rig
    moments, writes = folder / "moments", folder / "writes"
    moments.mkdir()
    os.chdir(moments)
    print(killed_at_random(book_in(str(moments)), kills, random.Random(seed)), flush=True)
    print(killed_in_every_write(book_in(str(writes))), flush=True)
