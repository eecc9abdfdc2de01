"""The sentences that likeness is learnt from: the corpus, phrases from recorded repairs, and the
sentences that the words are tested with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import yaml

from diagnose.catalogue.part_names import template_of
from diagnose.phrases.likeness import SHIPPED, Likeness, Meaning, learn
from tests.corpus.score import texts

PARTS = ("open", "second", "kept", "fourth", "third", "sixth")
TESTS = Path(__file__).parents[1]
TABLES = ("plain_sentences.yaml", "part_sentences.yaml")

Sentence = tuple[str, Sequence[Meaning]]


def sentences(parts: Iterable[str] = PARTS) -> list[Sentence]:
    """Texts with what each means."""
    told = [(one["text"], _meanings(one["means"])) for part in parts for one in texts(part)]
    return [*told, *_recorded(), *_tested()]


def _meanings(means: Iterable[dict[str, Any]]) -> list[Meaning]:
    return [(one["observation"], one["option"]) for one in means]


def _recorded() -> Iterator[Sentence]:
    for file in sorted((TESTS / "recorded").glob("phrases_*.yaml")):
        for one in yaml.safe_load(file.read_text(encoding="utf-8")):
            yield one["text"], _signs(one["means"])


def _tested() -> Iterator[Sentence]:
    for name in TABLES:
        for one in yaml.safe_load((TESTS / "tables" / name).read_text("utf-8"))["sentences"]:
            yield one["text"], _signs([*one.get("means", []), *one.get("either", [])])


def _signs(written: Iterable[str]) -> list[Meaning]:
    """Observations with their options; readings are left out."""
    pairs = (text.partition("=") for text in written)
    return [(template_of(name), option) for name, is_sign, option in pairs if is_sign]


def learnt(parts: Iterable[str] = PARTS) -> Likeness:
    """What these sentences teach."""
    return learn(sentences(parts))


def write() -> None:
    """Put it where the program finds it."""
    found = learnt()
    found.save(SHIPPED)
    print(f"{len(found.features)} features, {found.weight.size} weights: {SHIPPED}")
