"""FORMAT.md names what a knowledge file may name, so that nobody has to read the program for it."""

from __future__ import annotations

import re

from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit.parameters import NAMES
from diagnose.figures import knowledge_folder

TEXT = (knowledge_folder() / "FORMAT.md").read_text("utf-8")


def names_between(start: str, end: str) -> set[str]:
    """The names in code marks in a stretch of the page."""
    stretch = TEXT.split(start, 1)[1].split(end, 1)[0]
    return set(re.findall(r"`([a-z][a-z0-9._-]*)`", stretch))


def test_every_circuit_parameter_is_explained_and_no_other() -> None:
    assert names_between("| parameter: what it is |", "\n\n") == set(NAMES)


def test_every_rig_fact_is_named_and_no_other() -> None:
    assert names_between("Rig facts: ", "\n\n") == RIG_FACTS.keys()
