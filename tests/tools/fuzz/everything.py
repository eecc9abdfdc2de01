"""Every reader, command lines among them, and the documents whose places are walked one by one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path

from diagnose.audit.differential import load_differential
from diagnose.bench import Shop
from diagnose.catalogue.checklist import read_checklist
from diagnose.catalogue.vocabulary import load_vocabulary
from diagnose.documents import load
from diagnose.drill.told import load_people
from diagnose.drill.words import load_words
from diagnose.report.lessons import load_lessons
from tests.terminal.every_command import KEPT
from tests.tools.fuzz.bounds import Spot, few_of_a_kind, line_spots, yaml_spots
from tests.tools.fuzz.command_lines import read_words, samples, spoiled_words
from tests.tools.fuzz.folders import (
    read_case_beside_others,
    read_rig_by_commands,
    read_walk_beside_others,
)
from tests.tools.fuzz.readers import KNOWLEDGE, Reader, readers, texts, written

FILES: Mapping[str, Callable[[Path], object]] = {
    "lessons": load_lessons,
    "checklist": lambda file: read_checklist(load(file)),
    "vocabulary": load_vocabulary,
    "drill_words": load_words,
    "drill_people": load_people,
    "differential": lambda file: load_differential(file, Shop.shipped()),
}
"""Files of knowledge that are read by themselves."""

UNWALKED = ("strict YAML", "command line", "quantity", "wire size", "--read", "--seen",
            "line protocol", "answer typed", "complaint in words", "case file", "rig file",
            "rig file, any parts",
            "journal of a walk")  # fmt: skip
"""Readers of what has no places, and those that are walked with more around them."""


def _file(name: str, read: Callable[[Path], object]) -> Reader:
    return Reader(
        texts(KNOWLEDGE, f"{name}.yaml"), lambda body: read(written(f"{name}.yaml", body))
    )


@cache
def everything() -> Mapping[str, Reader]:
    """Every reader by name."""
    return {
        **readers(),
        **{f"knowledge: {name}": _file(name, read) for name, read in FILES.items()},
        "command line": Reader(samples(), read_words, 6, spoiled_words, soon=8.0),
    }


@cache
def bounded() -> Mapping[str, tuple[Reader, list[Spot]]]:
    """Readers of whole documents, and the places of each; of each kind of place one.

    Of plain words, which take long to read, every fourth kind."""
    known = everything()
    walked = {
        name: (one, _spots(one.samples, yaml_spots))
        for name, one in known.items()
        if name not in UNWALKED
    }
    slow, spots = walked["knowledge: plain words"]
    walked["knowledge: plain words"] = slow, spots[::4]
    rigs, cases, walks = (known[name] for name in ("rig file", "case file", "journal of a walk"))
    by_command = Reader(rigs.samples, read_rig_by_commands, soon=8.0)
    free = [text for text in cases.samples if not any(path[5:] in text for path in KEPT)]
    beside = Reader(free, read_case_beside_others, soon=8.0)
    gone_on = Reader(walks.samples, read_walk_beside_others, soon=8.0)
    return {
        **walked,
        "rig file, checked and drawn": (by_command, _spots(rigs.samples, yaml_spots)),
        "case file in a casebook": (beside, _spots(free, yaml_spots)),
        "walk gone on with": (gone_on, _spots(walks.samples, line_spots)),
    }


def _spots(documents: Iterable[str], walk: Callable[[str], Iterable[Spot]]) -> list[Spot]:
    return few_of_a_kind(spot for text in documents for spot in walk(text))
