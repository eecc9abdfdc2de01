"""A walk over the line protocol, killed at any moment, goes on with all that was answered.

One kill here, and three of such walks in test_adversities.py. As many as wanted:
DIAGNOSE_KILLS=30 pytest -n0 and this file.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import diagnose

KILLS = max(1, min(int(os.environ.get("DIAGNOSE_KILLS", "1")), 100))
HOME = str(Path(diagnose.__file__).parents[1])


def begun(*words: str, casebook: Path) -> subprocess.Popen[str]:
    """A walk by lines in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "diagnose", "walk", *words, "--json-lines", "--casebook", casebook],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": HOME, "PYTHONUTF8": "1"},
        text=True,
    )


def next_question(walk: subprocess.Popen[str]) -> dict[str, Any]:
    """Lines up to a question, or the result."""
    while (record := next_record(walk))["type"] not in ("question", "result"):
        assert record["type"] in ("caution", "stop", "noted", "error")
    return record


def next_record(walk: subprocess.Popen[str]) -> dict[str, Any]:
    assert walk.stdout is not None
    line = walk.stdout.readline()
    assert line, walk.stderr and walk.stderr.read()
    record: dict[str, Any] = json.loads(line)
    return record


def put(walk: subprocess.Popen[str], record: dict[str, Any]) -> None:
    assert walk.stdin is not None
    walk.stdin.write(json.dumps(record) + "\n")
    walk.stdin.flush()


def test_killed_and_resumed_nothing_is_lost(tmp_path: Path) -> None:
    draw = random.Random(5)
    for number in range(KILLS):
        casebook = tmp_path / str(number)
        walk = begun("van-shower", "--seen", "pump-action=silent", casebook=casebook)
        next_question(walk)
        shown = draw.randrange(6)
        for count in range(shown):
            put(walk, {"note": f"note {count}"} if draw.random() < 0.3 else {"answer": "unknown"})
            next_question(walk)
        put(walk, {"answer": "unknown"})
        time.sleep(draw.random() * 0.02)
        os.kill(walk.pid, signal.SIGKILL)
        walk.communicate()

        again = begun("--resume", casebook=casebook)
        next_question(again)
        put(again, {"answer": 5})
        assert next_record(again)["type"] == "error"
        next_question(again)
        put(again, {"answer": "stop"})
        result = next_question(again)
        assert again.communicate() == ("", "")
        assert again.returncode == 0

        kept = result["questions"] + len(result["notes"])
        assert kept in (shown, shown + 1)
        assert [one["failure_mode"] for one in result["ranking"]]
        assert not list((casebook / "walks").glob("*.jsonl"))
