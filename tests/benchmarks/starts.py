"""How long the program takes to start, and its knowledge to load."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

from rows import Row, at_most, in_turn, usual

from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.plain_vocabulary import load_plain_words
from diagnose.figures import knowledge_folder
from diagnose.reasoning.rules.book import RuleBook

HELP, LOAD = 3.0, 150.0
"""Targets: start of `diagnose --help` over that of an interpreter that imports rich; loading the
knowledge a second time [ms]."""


def _run(*words: str) -> None:
    subprocess.run([sys.executable, *words], check=True, capture_output=True)


def starts(times: int = 11) -> Iterator[Row]:
    """Process starts, and the stages of loading."""
    bare, full = in_turn(
        lambda: _run("-c", "import rich"), lambda: _run("-m", "diagnose", "--help"), times
    )
    yield Row("interpreter that imports rich", f"{bare * 1e3:.0f} ms")
    yield at_most("diagnose --help, over that", full / bare, HELP, "x")
    folder = knowledge_folder()
    load = usual(lambda: load_catalogue(folder), times)
    yield at_most("knowledge load, warm", load * 1e3, LOAD, "ms")
    catalogue, rules = load_catalogue(folder), shipped_rules()
    words = folder / "plain_words.yaml"
    plain = usual(lambda: load_plain_words(words, catalogue), times)
    yield Row("plain words load, warm", f"{plain * 1e3:.0f} ms")
    yield Row("rules compiled", f"{usual(lambda: RuleBook(rules), 3) * 1e3:.0f} ms")
