"""All that lies under a knowledge folder, opened together for checking."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from diagnose import strict_yaml
from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.load_rules import load_rules, rule_words
from diagnose.catalogue.plain_reader import load_plain_words
from diagnose.catalogue.plain_vocabulary import PlainWords
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rig_shapes import Shape, shape_of, shapes
from diagnose.catalogue.rule_proofs import Proof, load_proofs
from diagnose.catalogue.rule_records import RuleRecord
from diagnose.catalogue.vocabulary import Vocabulary, load_vocabulary
from diagnose.circuit.form import form_in
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import load
from diagnose.errors import DiagnoseError, Mistakes, Place
from diagnose.figures import Figure, Figures, Table, load_figures
from diagnose.record_places import every, under
from diagnose.strict_yaml import Node, Notes


@dataclass(frozen=True)
class Written:
    """The YAML files below a folder, each opened once when it is first asked for."""

    folder: Path
    _trees: dict[str, Node] = field(default_factory=dict, compare=False, repr=False)

    def texts(self) -> Iterator[tuple[Place, str]]:
        """Every text and key of every file, with its place."""
        for path in sorted(self.folder.rglob("*.yaml")):
            yield from _texts(self._tree(str(path)), Place(str(path)))

    def value(self, place: Place) -> object:
        """The plain value that stands at a place; None when there is none."""
        node, rest = strict_yaml.descend(self._tree(place.file), place.key)
        return None if rest else strict_yaml.plain(node)

    def located(self, place: Place) -> Place:
        """The same place with the line on which its key stands, or would have to stand."""
        path = Path(place.file)
        if not place.key or path.suffix != ".yaml" or not path.is_file():
            return place
        node, _ = strict_yaml.descend(self._tree(place.file), place.key)
        return Place(place.file, node.line, place.key)

    def _tree(self, file: str) -> Node:
        if file not in self._trees:
            self._trees[file] = strict_yaml.read(Path(file).read_bytes(), file, Notes(muted=True))
        return self._trees[file]


def _texts(node: Node, place: Place) -> Iterator[tuple[Place, str]]:
    if isinstance(node.value, str):
        yield place, node.value
    elif isinstance(node.value, dict):
        for key, part in node.value.items():
            here = under(Place(place.file, part.line, place.key), key)
            yield here, key
            yield from _texts(part, here)
    elif isinstance(node.value, list):
        for number, part in enumerate(node.value, 1):
            yield from _texts(part, under(Place(place.file, part.line, place.key), number))


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

    def every(self, mark: object) -> Iterator[tuple[Place, Any, Any]]:
        """All that the entries of the book and the figures hold of a type, or under a mark: where,
        what, and in which of them."""
        book = self.catalogue
        tests = (book.failure_modes, book.observations, book.readings, book.quantities)
        others = (book.cautions, book.stops, book.complaints, book.kit.places)
        book_has = (one for group in (*tests, *others) for one in group.values())
        for entry in (*book_has, *self.sourced):
            for place, found in every(entry, mark):
                yield place, found, entry

    @property
    def sourced(self) -> tuple[Figure | Table, ...]:
        """Every figure and every table."""
        return (*self.figures.values.values(), *self.figures.tables.values())

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
