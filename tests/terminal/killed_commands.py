"""Walks by JSON lines and closings of cases, killed at random moments. Run by in_boxes.py.

Each is a copy forked from one process that has read the book. Whenever it is killed, every case
file is whole, no other file is harmed, and the same can be begun again.
"""

from __future__ import annotations

import os
import random
import signal
import time
from collections.abc import Sequence

from diagnose.casebook.journal import FOLDER
from diagnose.casebook.store import Casebook
from tests.terminal.adversity_table import ADVERSITIES
from tests.terminal.every_command import OPEN, RIG, Box, Call
from tests.terminal.under_adversities import finish, run, start

LINES = Call(
    ("walk", RIG, "--json-lines"),
    typed='{"answer": "unknown"}\n' * 3 + '{"answer": "stop"}\n',
    talks=True,
)
CLOSE = Call(("cases", "close", "74dbe9", "--cause", "battery-aged", "--notes", "a new battery"))


def begun(call: Call, box: Box) -> tuple[int, dict[int, int]]:
    """Fork the command; in the copy this does not return."""
    pid, ends = start(call, ADVERSITIES["none"], box)
    if pid == 0:
        run()
    return pid, ends


def seconds(call: Call, box: Box) -> float:
    """How long it takes when nobody kills it; the least of three."""
    took = []
    for _ in range(3):
        box.lay_out()
        begin = time.monotonic()
        status, said = finish(*begun(call, box))
        assert status == 0, said
        took.append(time.monotonic() - begin)
    return min(took)


def killed(call: Call, box: Box, moment: float) -> bool:
    """Kill it so many seconds after it began; whether it was through by then."""
    pid, ends = begun(call, box)
    time.sleep(moment)
    os.kill(pid, signal.SIGKILL)
    status, _ = finish(pid, ends)
    return status == 0


def others_unharmed(box: Box, but: Sequence[str] = ()) -> None:
    harmed = [name for name in box.changed() if not name.endswith(tuple(but) or "\0")]
    assert not harmed, harmed


def all_whole(box: Box) -> Casebook:
    """Every case file can be read."""
    casebook = Casebook.open(box.folder / "cases")
    assert not casebook.cases().problems, casebook.cases().problems
    return casebook


def lines_killed(box: Box, count: int, draw: random.Random) -> str:
    """How many walks were killed, and how many cases and journals they left."""
    whole, ended, left = seconds(LINES, box), 0, 0
    for _ in range(count):
        box.lay_out()
        before = len(all_whole(box).paths())
        ended += killed(LINES, box, _moment(whole, draw))
        others_unharmed(box)
        left += len(all_whole(box).paths()) - before
        left += len([*(box.folder / "cases" / FOLDER).glob("*.jsonl")]) - 1
        status, said = finish(*begun(LINES, box))
        assert status == 0, said
        assert '"type": "result"' in said[1], said
    return f"{count - ended} {left}"


def closings_killed(box: Box, count: int, draw: random.Random) -> str:
    """How many closings were killed, and how many of the cases were closed by then."""
    whole, ended, closed = seconds(CLOSE, box), 0, 0
    for _ in range(count):
        box.lay_out()
        file = f"{OPEN}.yaml"
        before = all_whole(box).load(OPEN)
        ended += killed(CLOSE, box, _moment(whole, draw))
        others_unharmed(box, [file])
        now = all_whole(box).load(OPEN)
        assert now == before or (now.status, now.true_cause) == ("closed", "battery-aged"), now
        closed += now != before
        status, said = finish(*begun(CLOSE, box))
        assert status == 0, said
        assert all_whole(box).load(OPEN).status == "closed"
    return f"{count - ended} {closed}"


def _moment(whole: float, draw: random.Random) -> float:
    """Some time before its end, or about its end, where files are written."""
    return draw.uniform(0.0, whole) if draw.random() < 0.4 else draw.uniform(0.8, 1.3) * whole


def kill_them(box: Box, count: int, seed: int) -> None:
    """So many of each; a line of each."""
    draw = random.Random(seed)
    print(lines_killed(box, count, draw), flush=True)
    print(closings_killed(box, count, draw), flush=True)
