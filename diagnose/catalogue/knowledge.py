"""All that lies under a knowledge folder, opened together for checking."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.load_rules import load_rules, rule_words
from diagnose.catalogue.plain_reader import load_plain_words
from diagnose.catalogue.plain_vocabulary import PlainWords
from diagnose.catalogue.read_proofs import Proof, load_proofs
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rig_shapes import Shape, shape_of, shapes
from diagnose.catalogue.rule_records import RuleRecord
from diagnose.catalogue.vocabulary import Vocabulary, load_vocabulary
from diagnose.catalogue.written import Written
from diagnose.circuit.form import form_in
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import load
from diagnose.errors import DiagnoseError, Mistakes
from diagnose.figures import Figures, load_figures


@dataclass(frozen=True)
class Knowledge:
    """What the files say, as records; `written` is how they say it, word for word; plain_words is
    None where the folder has none."""

    folder: Path
    catalogue: Catalogue
    rules: tuple[RuleRecord, ...]
    proofs: tuple[Proof, ...]
    figures: Figures
    vocabulary: Vocabulary
    rigs: tuple[Rig, ...]
    written: Written
    plain_words: PlainWords | None

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """Every shape a rig can have, and every rig that lies in the folder."""
        return (*shapes(), *map(shape_of, self.rigs))


def load_knowledge(folder: Path) -> Knowledge:
    """Everything below `folder`. Raises Mistakes with all problems of all files."""
    problems: list[DiagnoseError] = []
    with _gathering(problems):
        figures = load_figures(folder / "figures")
    with _gathering(problems):
        vocabulary = load_vocabulary(folder / "vocabulary.yaml")
    with _gathering(problems):
        catalogue = load_catalogue(folder)
        with _gathering(problems):
            rules = load_rules(folder / "rules", rule_words(catalogue))
            proofs = load_proofs(folder / "rules", folder / "rigs", rule_words(catalogue))
        with _gathering(problems):
            plain_words = _plain_words(folder / "plain_words.yaml", catalogue)
    if (folder / "rig_form.yaml").is_file():
        with _gathering(problems):
            form_in(load(folder / "rig_form.yaml"))
    rigs = []
    for path in sorted(folder.glob("rigs/*.yaml")):
        with _gathering(problems):
            rigs.append(read_rig(load(path)))
    if problems:
        raise Mistakes(problems)
    return Knowledge(
        folder=folder,
        catalogue=catalogue,
        rules=rules,
        proofs=proofs,
        figures=figures,
        vocabulary=vocabulary,
        rigs=tuple(rigs),
        written=Written(folder),
        plain_words=plain_words,
    )


def _plain_words(file: Path, catalogue: Catalogue) -> PlainWords | None:
    return load_plain_words(file, catalogue) if file.is_file() else None


@contextmanager
def _gathering(problems: list[DiagnoseError]) -> Iterator[None]:
    """Keep what is raised inside, and go on after it."""
    try:
        yield
    except DiagnoseError as problem:
        problems.append(problem)
