"""What developers run on purpose: python -m tests.tools [NAME [OPTIONS]]

Without a name: all of them, a line each. Each is a module that can be run by itself, or a part of
the suite that waits for a word, with the number or name behind it.
"""

from __future__ import annotations

import os
import runpy
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Suite:
    """Tests that do more when a variable is set. usual: its value where none is given."""

    tests: str
    variable: str
    usual: str

    def run(self, words: Sequence[str]) -> int:
        """Status of the tests; the first word is the variable's value, the others are pytest's."""
        value, *more = words or (self.usual,)
        command = [sys.executable, "-m", "pytest", "-n0", "-s", self.tests, *more]
        return subprocess.run(command, cwd=HERE, env=os.environ | {self.variable: value}).returncode


ADVERSITIES = "tests/terminal/test_adversities.py"

TOOLS: dict[str, tuple[str | Suite, str]] = {
    "fuzz": ("tests.tools.fuzz", "spoiled input to every reader, by chance and at every bound"),
    "monkey": ("tests.tools.monkey", "rude sessions on the line protocol, each checked"),
    "stops": ("tests.tools.stops", "every answer that raises a stop, alone and in pairs"),
    "kills": (Suite(ADVERSITIES, "DIAGNOSE_KILLS", "100"), "walks and closings killed [N]"),
    "adversities": (
        Suite(ADVERSITIES, "DIAGNOSE_ADVERSITIES", "all"),
        "every command where something round it is amiss",
    ),
    "prompts": (
        Suite("tests/terminal/test_hard_terminals.py", "DIAGNOSE_PROMPTS", "1"),
        "Ctrl-C at every kind of prompt",
    ),
    "casebook": (
        Suite("tests/casebook/test_benchmark.py", "DIAGNOSE_BENCHMARK", "10000"),
        "times of a casebook of [N] cases",
    ),
    "benchmarks": ("tests.tools.benchmarks.run", "times of one run against general engines"),
    "growth": ("tests.tools.benchmarks.growth", "times with knowledge and cases doubled"),
    "switches": ("tests.tools.switches", "how often control passes from module to module"),
    "mutation": ("tests.tools.mutation", "share of small slips in a room that tests notice"),
    "coverage": ("tests.tools.coverage", "lines that the tests run, by room"),
    "study": ("tests.study", "how good the ranking is, in two worlds, and how good it could be"),
    "study_record": ("tests.tools.study_record", "what a rig's own readings are worth"),
    "vocabulary": ("tests.tools.vocabulary", "enter new ids in knowledge/vocabulary.yaml"),
    "readme": ("tests.tools.readme", "write anew what README shows"),
    "outside": ("tests.outside", "every outside source, and how far this is from it"),
    "examination": ("tests.examination", "situations, tables and sweeps of handbooks"),
    "recorded": ("tests.recorded", "recorded cases of others against the ranking"),
    "corpus": ("tests.corpus", "sentences as people say them: how many are understood"),
}
"""Each by its name: what is run, and what it is for."""


def lines() -> Iterator[str]:
    for name, (_, what) in TOOLS.items():
        yield f"{name:<14}{what}"


def main(words: Sequence[str]) -> int:
    if not words:
        print("\n".join(lines()))
        return 0
    name, *more = words
    if name not in TOOLS:
        print(f"{name}: name one of {', '.join(TOOLS)}.", file=sys.stderr)
        return 2
    tool, _ = TOOLS[name]
    if isinstance(tool, Suite):
        return tool.run(more)
    sys.argv = [f"python -m tests.tools {name}", *more]
    runpy.run_module(tool, run_name="__main__", alter_sys=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
