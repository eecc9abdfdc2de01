"""Every command under every adversity. Run by in_boxes.py.

Each command is a copy forked from one process that has read the book, in a box of its own. A line
of JSON is printed of each: what it was, and what there is to complain of.
"""

from __future__ import annotations

import gc
import io
import json
import os
import re
import runpy
import select
import signal
import sys
import time
import traceback
from collections.abc import Iterator, Sequence
from contextlib import redirect_stderr, redirect_stdout, suppress
from functools import cache
from pathlib import Path
from typing import NoReturn

import typer.main

from diagnose.bench import Bench, Shop
from diagnose.casebook.index_file import FILE
from diagnose.circuit.rig import Rig, open_rig
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.hypotheses import Learn
from diagnose.terminal import options
from diagnose.terminal.app import app
from diagnose.terminal.walk.command import learn_from
from tests.terminal.adversities import SLACK, Adversity
from tests.terminal.adversity_table import ADVERSITIES
from tests.terminal.every_command import CALLS, RIG, Box, Call

FOR_RIG, BUILT = Bench.for_rig, list[Bench]()
PAIRS = 1
"""Calls to an adversity of the few."""

TROUBLE = re.compile(r"Traceback|Exception ignored|Warning|Error:|Errno|\[Errno")


def built_once(
    rig: Rig, shop: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
) -> Bench:
    """A bench that was made before, where there is one for this rig and what was learned."""
    for one in BUILT:
        if (one.rig, one.learn, one.own) == (rig, learn, own):
            return one
    bench = FOR_RIG(rig, shop, learn, own)
    assert bench.chooser
    BUILT.append(bench)
    return bench


def settle(box: Box, calls: Sequence[Call]) -> None:
    """Read the book, make the benches that commands need, and call each once, so that no copy has
    to import or work out anything that another needs too."""
    Bench.for_rig = built_once  # type: ignore[method-assign]
    typer.main.get_command = cache(typer.main.get_command)
    box.lay_out()
    learned = learn_from(box.folder / "cases")
    for learn in (None, learned):
        built_once(open_rig(RIG), options.shop(), learn)
    os.chdir(box.folder)
    os.environ.update(box.environment())
    for call in calls:
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            sys.stdin = io.TextIOWrapper(io.BytesIO(call.typed.encode()))
            with suppress(Exception):
                app([*call.words], standalone_mode=False)
    gc.collect()
    gc.freeze()


def standard(call: Call, one: Adversity, pipes: dict[int, int]) -> None:
    """Put streams in place as a shell does, in the copy."""
    for number, end in pipes.items():
        os.dup2(end, number)
    for number, path in one.streams.items():
        os.close(number)
        if path is not None:
            opened = os.open(path, os.O_WRONLY if number else os.O_RDONLY)
            assert opened == number
    ways = ((0, "r", "surrogateescape"), (1, "w", "strict"), (2, "w", "backslashreplace"))
    for (number, mode, errors), name in zip(ways, ("stdin", "stdout", "stderr"), strict=True):
        there = one.streams.get(number, "") is not None
        encoding = one.encoding if number else "utf-8"
        setattr(sys, name, _stream(number, mode, encoding, errors) if there else None)


def _stream(number: int, mode: str, encoding: str, errors: str) -> object:
    try:
        return open(number, mode, encoding=encoding, errors=errors, closefd=False)
    except OSError:  # a folder: the interpreter itself starts without one then
        return None


def start(call: Call, one: Adversity, box: Box) -> tuple[int, dict[int, int]]:
    """Fork the copy; its number, and our ends of output and errors."""
    typed, output, errors = os.pipe(), os.pipe(), os.pipe()
    os.write(typed[1], call.typed.encode())
    pid = os.fork()
    if pid == 0:
        os.setsid()
        for end in (typed[1], output[0], errors[0]):
            os.close(end)
        os.chdir(box.folder)
        os.environ.clear()
        changed = {**box.environment(), **one.environment}
        os.environ.update({name: text for name, text in changed.items() if text is not None})
        standard(call, one, {0: typed[0], 1: output[1], 2: errors[1]})
        one.enter(box)
        sys.argv = ["diagnose", *call.words, *one.more]
        return 0, {}
    for end in (*typed, output[1], errors[1]):
        os.close(end)
    return pid, {1: output[0], 2: errors[0]}


def run() -> NoReturn:
    """The command in the copy, ended as the interpreter ends: what was printed is written out, and
    where that fails the status is 120. Only what the interpreter clears away is left out."""
    status: object = 0
    try:
        runpy.run_module("diagnose", run_name="__main__")
    except SystemExit as end:
        status = end.code
    except BaseException:
        traceback.print_exc()
        status = 1
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except OSError:
            status = 120
    os._exit(status if isinstance(status, int) else 0)


def finish(
    pid: int, ends: dict[int, int], slack: float = SLACK
) -> tuple[int | None, dict[int, str]]:
    """Its status, None when it had to be killed, and what it said."""
    said, limit, waiting = dict.fromkeys(ends, b""), time.monotonic() + slack, {**ends}
    while waiting and time.monotonic() < limit:
        ready, _, _ = select.select([*waiting.values()], [], [], 0.5)
        for number in [one for one, end in waiting.items() if end in ready]:
            some = os.read(waiting[number], 65536)
            said[number] += some
            if not some:
                del waiting[number]
    if hangs := bool(waiting):
        os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    for end in ends.values():
        os.close(end)
    shown = {number: body.decode("utf-8", "replace") for number, body in said.items()}
    return None if hangs else os.waitstatus_to_exitcode(status), shown


def harm(call: Call, one: Adversity, box: Box, status: int | None, said: dict[int, str]) -> str:
    """What there is to complain of, or ""."""
    if status is None:
        return "does not end"
    if trouble := TROUBLE.search(said[1] + said[2]):
        return f"says {trouble[0]}: {said[2].strip().splitlines()[-1:]} status {status}"
    if status not in (allowed := one.statuses(call)):
        return f"status {status}, not one of {sorted(allowed)}: {(said[2] or said[1])[-300:]!r}"
    if status in (1, 2) and not one.silent and call.status not in (1, 2) and not said[2].strip():
        return f"status {status} without a word"
    places = tuple(_renamed(place, one) for place in call.writes)
    if lost := [name for name in box.changed() if not name.startswith(places)]:
        return f"harms {lost}"
    stray = [name for name in box.made() if not name.startswith(places) and not _derived(name)]
    return f"leaves {stray}" if stray else ""


def _renamed(place: str, one: Adversity) -> str:
    top, slash, rest = place.partition("/")
    return f"{one.renamed.get(top, top)}{slash}{rest}"


def _derived(name: str) -> bool:
    """Whether a file of the casebook is a lock or an index of the program's own."""
    last = Path(name).name
    return last.startswith((".", "index", FILE)) or last.endswith(".lock")


def calls_of(wanted: str) -> list[Call]:
    """The calls that are made: all, or those of the few."""
    return [call for calls in CALLS.values() for call in calls if wanted == "all" or not call.slow]


def pairs(wanted: str) -> Iterator[tuple[str, Call]]:
    """All, or a few calls to each adversity so that each call has its turn."""
    calls = calls_of(wanted)
    for number, name in enumerate(ADVERSITIES):
        turn = [calls[(number * PAIRS + i) % len(calls)] for i in range(PAIRS)]
        for call in calls if wanted == "all" else turn:
            yield name, call


def try_them(box: Box, wanted: str) -> None:
    """Each call under its adversity; a line of each."""
    for name, call in pairs(wanted):
        one = ADVERSITIES[name]
        _freed(box)
        box.lay_out()
        one.prepare(box)
        box.remember()
        held = [*one.hold(box)]
        begun = time.monotonic()
        pid, ends = start(call, one, box)
        if pid == 0:
            run()
        status, said = finish(pid, ends, SLACK * (4 if call.slow else 1))
        took = round(time.monotonic() - begun, 2)
        for thing in held:
            thing.close()
        wrong = harm(call, one, box, status, said)
        print(json.dumps([name, call.name, status, took, wrong]), flush=True)
    _freed(box)


def _freed(box: Box) -> None:
    """Let the box be cleared by whoever made it, also where that is not root."""
    for root, folders, _ in os.walk(box.folder):
        for one in folders:
            os.chmod(Path(root, one), 0o755) if not Path(root, one).is_symlink() else None
    if box.folder.exists():
        box.folder.chmod(0o755)
