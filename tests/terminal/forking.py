"""The command with its book read beforehand: it forks a copy of itself for each terminal.

Asked by lines of JSON, it answers with one value each:

    {"start": words, "terminal": name, "environment": variables}    number of the copy
    {"ended": number}                                               its status; null while it runs

A copy runs as `python -m diagnose` does, in a session of its own, up to the interpreter's own end;
what it does not show is how the interpreter starts.
"""

from __future__ import annotations

import gc
import io
import json
import os
import runpy
import sys
from contextlib import redirect_stdout
from functools import cache
from typing import Any

import typer.main

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.hypotheses import Learn
from diagnose.terminal.app import app
from diagnose.terminal.walk import command

NEEDED = (command,)
"""What the command imports late, so that no copy has to."""

BUILT: dict[Rig, Bench] = {}
FOR_RIG = Bench.for_rig


def built_once(
    rig: Rig, shop: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
) -> Bench:
    """A bench made beforehand, where there is one."""
    known = rig in BUILT and (learn, own) == (None, None)
    return BUILT[rig] if known else FOR_RIG(rig, shop, learn, own)


def get_ready() -> None:
    """Show the contents of the handbook to nobody: what that imports, every command needs."""
    typer.main.get_command = cache(typer.main.get_command)
    with redirect_stdout(io.StringIO()):
        app(["handbook"], standalone_mode=False)


def build(words: list[str]) -> None:
    """Make the benches of the bundled rigs that are named, if that has not been done."""
    for rig in map(open_rig, {*words} & {*bundled_rigs()}):
        if rig not in BUILT:
            BUILT[rig] = FOR_RIG(rig, Shop.shipped())
            assert BUILT[rig].chooser
            gc.collect()
            gc.freeze()  # or each copy would look it all through at its end


def settle_in(terminal: str, environment: dict[str, str]) -> None:
    """Make this process the first of a session in the terminal, so that Ctrl-C is a signal."""
    os.setsid()
    number = os.open(terminal, os.O_RDWR)
    for standard in (0, 1, 2):
        os.dup2(number, standard)
    os.close(number)
    sys.stdin = os.fdopen(0, encoding="utf-8", errors="surrogateescape")
    sys.stdout = os.fdopen(1, "w", encoding="utf-8", errors="surrogateescape")
    sys.stderr = os.fdopen(2, "w", encoding="utf-8", errors="backslashreplace")
    os.environ.clear()
    os.environ.update(environment)


def ended(number: int) -> int | None:
    """The status of a copy, negative for the signal that killed it."""
    done, status = os.waitpid(number, os.WNOHANG)
    return os.waitstatus_to_exitcode(status) if done else None


def answered(asked: dict[str, Any]) -> int | None:
    """The answer to one line; 0 in the copy itself."""
    if "ended" in asked:
        return ended(asked["ended"])
    build(asked["start"])
    return os.fork()


def main() -> None:
    Bench.for_rig = built_once  # type: ignore[method-assign, assignment]
    get_ready()
    for line in sys.stdin:
        asked = json.loads(line)
        answer = answered(asked)
        if answer == 0 and "start" in asked:
            settle_in(asked["terminal"], asked["environment"])
            sys.argv = ["diagnose", *asked["start"]]
            runpy.run_module("diagnose", run_name="__main__")
        os.write(1, json.dumps(answer).encode() + b"\n")


if __name__ == "__main__":
    main()
