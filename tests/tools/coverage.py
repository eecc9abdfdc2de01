"""How many lines of each room the tests run: python -m tests.tools coverage [WHAT PYTEST TAKES]

Runs the suite, or the tests that are named, and counts a line as run whoever ran it: a worker of
the suite, a command that a test started, a copy that one forked. That a line was run does not say
that a test would notice a slip in it; python -m tests.tools mutation does.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parents[2]

Lines = tuple[str, int, int]
"""A room, its lines, and those that were run."""


def measured(words: list[str], folder: Path) -> tuple[int, Mapping[str, Any]]:
    """The status of the tests, and what was run of each file."""
    found = folder / "found.json"
    environment = os.environ | {"COVERAGE_FILE": str(folder / "data")}

    def coverage(*given: str) -> int:
        command = [sys.executable, "-m", "coverage", *given]
        return subprocess.run(command, cwd=HERE, env=environment, check=False).returncode

    status = coverage("run", "-m", "pytest", "-p", "no:cacheprovider", *words)
    coverage("combine", "--quiet")
    coverage("json", "--quiet", "-o", str(found))
    return status, json.loads(found.read_text("utf-8"))["files"] if found.is_file() else {}


def by_room(files: Mapping[str, Any]) -> Iterator[Lines]:
    """The rooms by name, then all of them."""
    lines: Counter[str] = Counter()
    run: Counter[str] = Counter()
    for name, told in files.items():
        room = _room(name)
        lines[room] += told["summary"]["num_statements"]
        run[room] += told["summary"]["covered_lines"]
    for room in sorted(lines):
        yield room, lines[room], run[room]
    yield "all", lines.total(), run.total()


def _room(file: str) -> str:
    """circuit/ for diagnose/circuit/kinds/plug.py, bench.py for diagnose/bench.py."""
    parts = Path(file).parts
    rest = parts[parts.index("diagnose") + 1 :]
    return rest[0] if len(rest) == 1 else f"{rest[0]}/"


def table(rooms: Iterator[Lines]) -> Iterator[str]:
    """One line a room."""
    yield f"{'room':<16}{'lines':>7}{'run':>7}{'share':>8}"
    for room, lines, run in rooms:
        share = f"{100 * run / lines:.1f} %" if lines else ""
        yield f"{room:<16}{lines:>7}{run:>7}{share:>8}"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        status, files = measured(sys.argv[1:], Path(folder))
    print("\n".join(table(by_room(files))))
    sys.exit(status)


if __name__ == "__main__":
    main()
