"""Mutation testing: python -m tests.tools mutation circuit [--sample 200] [--keep FOLDER]

Slips are put into a room of the program, one at a time (a comparison turned, a sum made a
difference, a text changed), and the tests that reach the place are run: a slip that no test notices
survives. The tool is mutmut (pip install .[mutation]); it works on a copy of the checkout. A room
has thousands of slips, so a sample is drawn by seed, and the score is given with a 95 % interval.
Every survivor is printed as the lines that it changes. Each slip is tried in a process that
has computed nothing yet, by every test that reaches its place when nothing is kept from the tests
before (afresh.py): what is computed once for all would hide it.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from diagnose.study.scores import share

HERE = Path(__file__).resolve().parents[3]
COPIED = ("diagnose", "knowledge", "tests", "cases", "pyproject.toml", "README.md", "DEVELOPERS.md")
TESTS = {
    "circuit": ("tests/circuit", "tests/outside/test_tables.py"),
    "reasoning": ("tests/reasoning", "tests/test_walkthrough.py", "tests/outside/test_beliefs.py"),
}
SETTINGS = """
[tool.mutmut]
source_paths = ["diagnose"]
only_mutate = ["diagnose/{room}/*"]
also_copy = ["knowledge", "cases", "README.md", "DEVELOPERS.md"]
pytest_add_cli_args = [
    "-n", "0", "-p", "no:cacheprovider", "-p", "tests.tools.mutation.afresh", "-k", "not hash_seed",
]
pytest_add_cli_args_test_selection = {tests}
process_isolation = "forkserver"
track_dependencies = false
use_git_change_detection = false
"""
SURVIVED, NOT_REACHED = (0,), (33, 5)
"""mutmut's codes for a slip that no test noticed, and for one in a place that no test reaches."""


def copied(folder: Path, room: str) -> None:
    """The checkout in another folder, with mutmut's settings for one room."""
    for name in COPIED:
        source, target = HERE / name, folder / name
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, target)
    with (folder / "pyproject.toml").open("a", encoding="utf-8") as settings:
        settings.write(SETTINGS.format(room=room, tests=json.dumps(TESTS[room])))


def mutmut(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """One run of the tool in the copy, whose own modules come before any that are installed."""
    command = [sys.executable, "-c", "from mutmut.__main__ import cli; cli()", *words]
    environment = {**os.environ, "PYTHONPATH": ""}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True)


def codes(folder: Path) -> dict[str, int | None]:
    """Every slip of the room by name, with what became of it: None before it was tried."""
    found: dict[str, int | None] = {}
    for file in sorted((folder / "mutants" / "diagnose").rglob("*.meta")):
        found |= json.loads(file.read_text(encoding="utf-8"))["exit_code_by_key"]
    return found


def made(folder: Path) -> list[str]:
    """All slips of the room: mutmut makes them before it looks for the one that is asked for."""
    said = mutmut(folder, "run", "no-such-slip")
    names = sorted(codes(folder))
    if not names:
        sys.exit(f"mutmut made nothing:\n{said.stdout[-2000:]}\n{said.stderr[-2000:]}")
    return names


def changed(folder: Path, name: str) -> str:
    """The lines that a slip changes."""
    lines = mutmut(folder, "show", name).stdout.splitlines()
    kept = [line for line in lines if line.startswith(("+", "-")) and line[1:3] not in ("++", "--")]
    return "\n".join([name, *(f"    {line[0]} {line[1:].strip()}" for line in kept)])


def tried(folder: Path, names: Sequence[str], workers: int) -> dict[str, int]:
    """What became of some of the slips, in lots so that the way is shown."""
    start, step = time.monotonic(), 100
    for first in range(0, len(names), step):
        mutmut(folder, "run", "--max-children", str(workers), *names[first : first + step])
        done = min(first + step, len(names))
        print(f"\r{done} of {len(names)}, {time.monotonic() - start:.0f} s", end="", flush=True)
    print()
    found = codes(folder)
    return {name: code for name in names if (code := found[name]) is not None}


def told(room: str, every: int, outcome: dict[str, int]) -> str:
    """The score of the sample, with its interval."""
    killed = sum(code not in SURVIVED + NOT_REACHED for code in outcome.values())
    unreached = sum(code in NOT_REACHED for code in outcome.values())
    score = share(killed, len(outcome))
    return (
        f"{room}: {killed} of {len(outcome)} slips noticed, {killed / len(outcome):.1%} "
        f"(95 % interval {score.low:.1%} to {score.high:.1%}), {unreached} in places that no test "
        f"reaches; a sample of {every}"
    )


def main() -> None:
    """Draw, try, and print the score and the survivors."""
    parser = argparse.ArgumentParser(prog="python -m tests.tools mutation")
    parser.add_argument("room", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, default=200, help="slips to try (200)")
    parser.add_argument("--seed", type=int, default=1, help="of the sample (1)")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--keep", type=Path, help="a new folder for the copy (else it is removed)")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as passing:
        folder = given.keep or Path(passing) / "copy"
        folder.mkdir(parents=True)
        copied(folder, given.room)
        every = made(folder)
        names = random.Random(given.seed).sample(every, min(given.sample, len(every)))
        outcome = tried(folder, names, given.workers)
        print(told(given.room, len(every), outcome))
        for name, code in sorted(outcome.items()):
            if code in SURVIVED + NOT_REACHED:
                print(changed(folder, name))


if __name__ == "__main__":
    main()
