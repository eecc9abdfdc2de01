"""How long the program takes to start, and its knowledge to load."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median

from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.plain_reader import load_plain_words
from diagnose.figures import knowledge_folder
from diagnose.reasoning.rules.book import RuleBook
from tests.tools.benchmarks.rows import Row, at_most, usual

HELP, LOAD = 3.0, 150.0
"""Targets: start of `diagnose --help` over that of an interpreter that imports rich; loading the
knowledge a second time [ms]. Both by processor time, which a busy machine leaves alone."""

PROCESSES = (
    ("-c", "import rich.console"),
    ("-c", "import rich"),
    ("-c", "import typer"),
    ("-m", "diagnose", "--help"),
)
"""What is started. `import rich` alone loads next to nothing; whoever prints loads the console."""


def _busy(*words: str) -> float:
    """Processor time of one process with all that it starts [s]."""
    before = getrusage(RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
    after = getrusage(RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def starts(times: int = 11) -> Iterator[Row]:
    """Process starts, and the stages of loading."""
    console, bare, cli, full = (
        median(column)
        for column in zip(
            *([_busy(*words) for words in PROCESSES] for _ in range(times)), strict=True
        )
    )
    yield Row("interpreter that imports rich's console", f"{console * 1e3:.0f} ms")
    yield at_most("diagnose --help, over that", full / console, HELP, "x")
    yield Row("  over one that imports no more than rich's name", f"{full / bare:.3g} x")
    yield Row("  of which typer alone", f"{cli / bare:.3g} x")
    folder = knowledge_folder()
    load = usual(lambda: load_catalogue(folder), times)
    yield at_most("knowledge load, warm", load * 1e3, LOAD, "ms")
    catalogue, rules = load_catalogue(folder), shipped_rules()
    words = folder / "plain_words.yaml"
    plain = usual(lambda: load_plain_words(words, catalogue), times)
    yield Row("plain words load, warm", f"{plain * 1e3:.0f} ms")
    yield Row("rules compiled", f"{usual(lambda: RuleBook(rules), 3) * 1e3:.0f} ms")
